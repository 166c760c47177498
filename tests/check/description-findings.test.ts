import { type AnyDecoder, CvSet, type DecoderRule, defineDecoder } from "cvset";
import { checkSet, defineRule, type Finding, ruleList } from "cvset/check";
import { describe, expect, test } from "vitest";
import { features } from "./described.js";

// What the rules of a description find in sets, and what they do not.

const define = (...rules: DecoderRule[]): AnyDecoder =>
  defineDecoder({ id: "x1", name: "X1", kind: "multifunction", features, rules });
type Condition = Extract<DecoderRule, { rule: "needs" }>["when"];
const needs = (when: Condition, then: Condition): AnyDecoder =>
  define({ rule: "needs", name: "one", when, needs: then });

/** Coal with a cage, drains open for 5 s, the lamp at outputs 1 and 3 and not dim. */
const set = CvSet.from({ 194: 0b101, 197: 0, 246: 0b0110_0100, 249: 20, 252: 2 });
const found = (decoder: AnyDecoder, cvs: CvSet = set): Finding[] =>
  checkSet(cvs, { decoder }).filter(({ rule }) => rule.startsWith("x1/"));

describe("a rule about what needs what", () => {
  test("finds a condition that holds without the other, told as the description has it", () => {
    const bare = needs({ path: "fuel", is: "coal" }, { path: "sparkCage", is: false });
    const finding = {
      file: "CV set",
      rule: "x1/one",
      severity: "error",
      message: 'fuel is "coal", which needs sparkCage is false',
      cvs: ["246"],
      source: "description of X1",
      fix: "Change one of the settings.",
    };
    expect(found(bare)).toEqual([finding]);
    const told = define({
      rule: "needs",
      name: "one",
      severity: "note",
      why: "Coal burns clean.",
      fix: "Take the cage off.",
      source: "manual, page 3",
      when: { path: "fuel", is: "coal" },
      needs: { path: "sparkCage", not: true },
    });
    expect(found(told)).toEqual([
      {
        ...finding,
        severity: "note",
        message: 'fuel is "coal", which needs sparkCage is not true (Coal burns clean.)',
        source: "manual, page 3",
        fix: "Take the cage off.",
      },
    ]);
    const summaries = ruleList([], [bare, told]).slice(0, 2);
    expect(summaries.map(({ summary }) => summary)).toEqual([
      'Where fuel is "coal", sparkCage is false is needed.',
      "Coal burns clean.",
    ]);
  });

  const cage: Condition = { path: "sparkCage", is: true };
  const noCage: Condition = { path: "sparkCage", is: false };
  const coal: Condition = { path: "fuel", is: "coal" };
  // [what holds and what does not, when, needs, whether something is found]
  test.each<[string, Condition, Condition, boolean]>([
    ["both hold", coal, cage, false],
    ["the first does not hold", { path: "fuel", is: "oil" }, noCage, false],
    ["the first is a not that holds", { path: "fuel", not: "oil" }, noCage, true],
    ["the first is a not that does not hold", { path: "fuel", not: "coal" }, noCage, false],
    ["an output is among those of a list", { path: "lamp.outputs", is: 3 }, noCage, true],
    ["an output is not among them", { path: "lamp.outputs", is: 2 }, noCage, false],
    ["an output need not be among them, and is not", coal, { path: "lamp.outputs", not: 2 }, false],
    ["an output need not be among them, and is", coal, { path: "lamp.outputs", not: 3 }, true],
    ["a number of a record within", { path: "drains.seconds", is: 5 }, noCage, true],
    ["another number of it", { path: "drains.seconds", is: 6 }, noCage, false],
    ["a setting that is on is not off", { path: "drains", not: "off" }, noCage, true],
  ])("%s", (_, when, then, isFound) => {
    expect(found(needs(when, then))).toHaveLength(isFound ? 1 : 0);
  });

  const off = set.with(252, 0);
  // A field of something that is off does not exist.
  test.each<[string, Condition, Condition, number]>([
    ["is", { path: "drains.seconds", is: 5 }, noCage, 0],
    ["is not", { path: "drains.seconds", not: 5 }, noCage, 0],
    ["needs to be", coal, { path: "drains.seconds", is: 5 }, 1],
    ["needs not to be", coal, { path: "drains.seconds", not: 5 }, 1],
  ])("a field that does not exist %s nothing", (_, when, then, count) => {
    expect(found(needs(when, then), off)).toHaveLength(count);
  });

  // 255 is above 40 s; the field then is unknown, and so is whether a condition about it holds.
  test.each([
    ["cannot be read", set.with(249, 255)],
    ["has no CV in the set", set.without(249)],
    ["has none of its feature in the set", set.without(249).without(252)],
  ])("a setting that %s neither holds nor fails", (_, unread) => {
    for (const condition of [
      { path: "drains.seconds", is: 5 },
      { path: "drains.seconds", not: 5 },
    ]) {
      expect(found(needs(condition, noCage), unread)).toEqual([]);
      expect(found(needs(coal, condition), unread)).toEqual([]);
    }
  });
});

describe("a rule about at most one", () => {
  const three = (more: object = {}): AnyDecoder =>
    define({
      rule: "at-most-one",
      name: "one",
      of: [
        { path: "drains", not: "off" },
        { path: "lamp.dim", is: true },
        { path: "fuel", is: "oil" },
      ],
      ...more,
    });

  test("names those that hold, and their CVs", () => {
    expect(found(three())).toEqual([]);
    expect(found(three(), set.with(197, 8))).toEqual([
      {
        file: "CV set",
        rule: "x1/one",
        severity: "error",
        message: 'drains is not "off" and lamp.dim is true: at most one of these is allowed',
        cvs: ["252", "249", "197"],
        source: "description of X1",
        fix: "Change one of the settings.",
      },
    ]);
    expect(
      found(three({ why: "One at a time.", severity: "note" }), set.with(197, 8).with(246, 0b0010_0100)).map(
        ({ message, cvs, severity }) => [message, severity, ...cvs],
      ),
    ).toEqual([
      [
        'drains is not "off" and lamp.dim is true and fuel is "oil": at most one of these is allowed (One at a time.)',
        "note",
        ...["252", "249", "197", "246"],
      ],
    ]);
    expect(found(three(), set.without(252).with(197, 8))).toEqual([]);
    expect(ruleList([], [three()])[0]?.summary).toBe(
      'At most one of these is allowed: drains is not "off"; lamp.dim is true; fuel is "oil".',
    );
  });

  test("leaves out a rule about outputs, which is none about settings", () => {
    const outputs: DecoderRule = { rule: "outputs", outputs: [1, 2] };
    const names = ruleList([], [define(outputs)]).map(({ name }) => name);
    expect(names.filter((name) => name.startsWith("x1/"))).toEqual([]);
  });
});

test("a finding is about the bits of the settings that it names, and no others", () => {
  const bits: [string, number][] = [
    ["194", 0xff],
    ["197", 0xff],
    ["246", 0xff],
    ["249", 0xff],
    ["252", 0xff],
  ];
  const reportedBy = (decoder: AnyDecoder, cvs: CvSet) => {
    const seen: string[] = [];
    const look = defineRule({
      name: "club/last",
      severity: "note",
      summary: "Looks what is reported.",
      source: "test",
      fix: "None.",
      last: true,
      find: ({ isReported }) => {
        for (const [name, all] of bits) {
          for (let bit = 0; bit < 8; bit++) {
            if (all & (1 << bit) && isReported([{ cv: name, mask: 1 << bit }])) seen.push(`${name}.${bit}`);
          }
        }
        return [];
      },
    });
    checkSet(cvs, { decoder, rules: [look] });
    return seen;
  };
  const one = needs({ path: "fuel", is: "coal" }, { path: "sparkCage", is: false });
  expect(reportedBy(one, set)).toEqual(["246.2", "246.5", "246.6", "246.7"]);
  const dim = needs({ path: "lamp.dim", is: false }, { path: "fuel", is: "oil" });
  expect(reportedBy(dim, set)).toEqual(["197.3", "246.5", "246.6", "246.7"]);
  // Of something with fields all of them.
  const drains = needs({ path: "drains", not: "off" }, { path: "fuel", is: "oil" });
  expect(reportedBy(drains, set)).toEqual([
    ...["246.5", "246.6", "246.7"],
    ...[0, 1, 2, 3, 4, 5, 6, 7].map((bit) => `249.${bit}`),
    "252.1",
  ]);
  // A field that does not exist stands for its whole feature.
  const seconds = needs({ path: "fuel", is: "coal" }, { path: "drains.seconds", is: 5 });
  expect(reportedBy(seconds, set.with(252, 0)).filter((name) => !name.startsWith("246"))).toEqual([
    ...[0, 1, 2, 3, 4, 5, 6, 7].map((bit) => `249.${bit}`),
    "252.1",
  ]);
  expect(found(seconds, set.with(252, 0).without(249)).map(({ cvs }) => cvs)).toEqual([["246", "252"]]);
});
