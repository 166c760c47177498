import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import {
  type Condition,
  CvError,
  cv,
  type DecoderRule,
  decoderFromJson,
  defineCodec,
  defineDecoder,
  describe as describeDecoder,
  type Issue,
  messageOf,
  tryDecoderFromJson,
} from "cvset";
import { describe, expect, it, test } from "vitest";
import { features } from "./described.js";

const own = defineCodec<number>({ kind: "own", places: [cv(50)], read: () => 1, write: () => {} });
const define = (rules: readonly DecoderRule[]) =>
  defineDecoder({ id: "x1", name: "X1", kind: "multifunction", features: { ...features, own }, rules });

const good: readonly DecoderRule[] = [
  {
    rule: "needs",
    name: "slabwood-needs-cage",
    severity: "warning",
    why: "Slabwood throws sparks.",
    fix: "Fit the spark cage.",
    source: "common practice",
    when: { path: "fuel", is: "slabwood" },
    needs: { path: "sparkCage", is: true },
  },
  {
    rule: "at-most-one",
    name: "one-of-them",
    of: [
      { path: "drains", not: "off" },
      { path: "drains.seconds", is: 40 },
      { path: "lamp.outputs", is: 3 },
      { path: "lamp.outputs.0", is: 3 },
      { path: "own", is: 3 },
      { path: "own.anything", is: "x" },
    ],
  },
  { rule: "outputs", outputs: [1, 2, 3] },
];

describe("rules of a description", () => {
  it("are kept as they are, and a decoder without them has none", () => {
    expect(define(good).rules).toEqual(good);
    expect(define([]).rules).toEqual([]);
    expect(defineDecoder({ id: "x1", name: "X1", kind: "multifunction", features }).rules).toEqual([]);
  });

  const when = (one: Condition): DecoderRule => ({
    rule: "needs",
    name: "r",
    when: one,
    needs: { path: "sparkCage", is: true },
  });
  // [what is wrong, the rules, path of the issue, what its text says]
  const bad: [string, DecoderRule[], string, RegExp][] = [
    [
      "an unknown feature",
      [when({ path: "feul", is: "oil" })],
      "rules.0.when.path",
      /no setting "feul"; nearest: "fuel"/,
    ],
    [
      "an unknown field",
      [when({ path: "lamp.dimm", is: true })],
      "rules.0.when.path",
      /no setting "lamp.dimm"/,
    ],
    ["a path beyond a leaf", [when({ path: "sparkCage.x", is: true })], "rules.0.when.path", /no setting/],
    [
      "an unknown option",
      [when({ path: "fuel", is: "gas" })],
      "rules.0.when",
      /can be "slabwood", "coal", "oil"/,
    ],
    ["a type that never fits", [when({ path: "sparkCage", is: "on" })], "rules.0.when", /never "on"/],
    ["a number out of range", [when({ path: "drains.seconds", is: 41 })], "rules.0.when", /never 41/],
    ["a name not in a list", [when({ path: "lamp.outputs", not: 9 })], "rules.0.when", /it can be 1, 2/],
    ["a name of every object", [when({ path: "constructor", is: 1 })], "rules.0.when.path", /no setting/],
    [
      "two rules of one name",
      [when({ path: "sparkCage", is: true }), when({ path: "sparkCage", is: true })],
      "rules.1.name",
      /two rules/,
    ],
    [
      "a bad name",
      [{ ...when({ path: "sparkCage", is: true }), name: "Bad name" } as DecoderRule],
      "rules.0.name",
      /small letters/,
    ],
    [
      "only one condition",
      [{ rule: "at-most-one", name: "r", of: [{ path: "sparkCage", is: true }] }],
      "rules.0.of",
      /two conditions/,
    ],
    [
      "outputs twice",
      [
        { rule: "outputs", outputs: [1] },
        { rule: "outputs", outputs: [2] },
      ],
      "rules.1",
      /twice/,
    ],
    ["an output 0", [{ rule: "outputs", outputs: [0] }], "rules.0.outputs", /from 1/],
  ];
  test.each(bad)("%s is refused", (_name, rules, path, text) => {
    let issues: readonly Issue[] = [];
    try {
      define(rules);
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      issues = error.issues;
    }
    expect(issues.map((issue) => issue.path)).toEqual([path]);
    expect(issues.map((issue) => messageOf(issue)).join()).toMatch(text);
  });
});

describe("rules in JSON", () => {
  const decoder = defineDecoder({
    id: "x1",
    name: "X1",
    kind: "multifunction",
    features,
    rules: good.slice(0, 1),
  });
  const schema: unknown = JSON.parse(
    readFileSync(new URL("../../src/decoder/decoder.schema.json", import.meta.url), "utf8"),
  );
  const valid = new Ajv2020({ strict: false }).compile(schema as object);

  it("go there and back, and the published schema takes them", () => {
    const json: unknown = JSON.parse(JSON.stringify(describeDecoder(decoder)));
    expect(decoderFromJson(json).rules).toEqual(decoder.rules);
    expect(valid(json), JSON.stringify(valid.errors)).toBe(true);
  });

  const base = describeDecoder(decoder);
  const condition = { path: "sparkCage", is: true };
  // [what is wrong, the rule, path of the issue]
  const bad: [string, unknown, string][] = [
    ["no object", 3, "rules.0"],
    ["a misspelt kind", { rule: "need", name: "r" }, "rules.0.rule"],
    ["an unknown key", { rule: "outputs", outputs: [1], name: "r" }, "rules.0.name"],
    ["a missing key", { rule: "needs", name: "r", when: condition }, "rules.0.needs"],
    [
      "neither is nor not",
      { rule: "needs", name: "r", when: { path: "sparkCage" }, needs: condition },
      "rules.0.when",
    ],
    [
      "both",
      { rule: "needs", name: "r", when: { ...condition, not: false }, needs: condition },
      "rules.0.when",
    ],
    [
      "a severity that is none",
      { rule: "needs", name: "r", severity: "fatal", when: condition, needs: condition },
      "rules.0.severity",
    ],
  ];
  test.each(bad)("%s is refused, by the schema too", (_name, rule, path) => {
    const json = { ...base, rules: [rule] };
    const result = tryDecoderFromJson(json);
    expect(result.ok ? [] : result.issues.map((issue) => issue.path)).toEqual([path]);
    expect(valid(JSON.parse(JSON.stringify(json)))).toBe(false);
  });
});
