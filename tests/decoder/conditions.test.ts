import {
  CvError,
  choice,
  converted,
  cv,
  type DecoderRule,
  defineCodec,
  defineDecoder,
  flag,
  flags,
  level,
  messageOf,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

// What a condition of a rule may name: the path of every kind of setting, and every value that it can have. A rule
// that names something else could never hold or never fail, and is refused.

const own = defineCodec<number>({ kind: "own", places: [cv(50)], read: () => 1, write: () => {} });
const known = defineCodec<number>({
  kind: "known",
  places: [cv(51)],
  read: (cvs) => cv(51).read(cvs),
  write: (cvs, value) => {
    if (value !== 7) throw new Error("only 7");
    cv(51).write(cvs, value);
  },
  schema: () => ({ const: 7 }),
});

const features = {
  fuel: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }),
  sparkCage: flag(cv(246).bit(2)),
  address: variant(
    cv(29).bit(5),
    {
      short: { value: 0, fields: { number: level(cv(1), { min: 1, max: 127 }) } },
      long: {
        value: 1,
        fields: { number: level(cv(17).with(cv(18)), { max: 10239 }), spare: flag(cv(2).bit(0)) },
      },
    },
    { tag: "form" },
  ),
  drains: switched(
    cv(252).bit(1),
    record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
  ),
  blower: switched(cv(162).bit(0), level(cv(163), { max: 9, names: { "as it was": 255 } })),
  lamp: record({
    outputs: flags(cv(170), [1, "two", null, 4, null, null, null, null]),
    inner: record({ dim: flag(cv(197).bit(3)) }),
  }),
  notches: table(cv(120).through(122), { max: 9 }),
  levels: switched(cv(164).bit(0), table(cv(123).through(125), { max: 9 })),
  name: text(cv(130).through(133)),
  gear: converted(choice(cv(140), { a: 0, b: 1 }), [
    ["a", "low"],
    ["b", 2],
  ] as ["a" | "b", string | number][]),
  squared: converted(level(cv(188)), { decode: (n) => `${n}`, encode: (n: string) => Number(n) }),
  summed: converted(record({ a: level(cv(189)) }), {
    decode: ({ a }) => `${a}`,
    encode: (text: string) => ({ a: Number(text) }),
  }),
  around: defineCodec({
    kind: "around",
    item: variant(cv(190).bit(0), {
      timed: { value: 0, fields: { seconds: level(cv(191)) } },
      never: { value: 1, fields: {} },
    }),
  }),
  locked: defineCodec({ kind: "locked", item: record({ tones: level(cv(151), { max: 8 }) }) }),
  blow: switched(
    cv(164).bit(1),
    variant(cv(165).bit(0), {
      timed: { value: 0, fields: { seconds: level(cv(166)) } },
      never: { value: 1, fields: {} },
    }),
  ),
  wrapped: defineCodec({ kind: "wrapped", item: own2() }),
  own,
  known,
};

function own2() {
  return defineCodec<number>({ kind: "own", places: [cv(52)], read: () => 1, write: () => {} });
}

type Value = string | number | boolean;

/** What is said of a condition; nothing when it can be used. */
function saidOf(path: string, is: Value, how: "is" | "not" = "is"): string[] {
  const condition = how === "is" ? { path, is } : { path, not: is };
  const rules: DecoderRule[] = [
    { rule: "needs", name: "r", when: condition, needs: { path: "sparkCage", is: true } },
  ];
  try {
    defineDecoder({ id: "x1", name: "X1", kind: "multifunction", features, rules });
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    return error.issues.map((issue) => messageOf(issue));
  }
  return [];
}

test.each<[string, Value]>([
  ["fuel", "coal"],
  ["fuel", "oil"],
  ["sparkCage", true],
  ["sparkCage", false],
  ["address.form", "short"],
  ["address.form", "long"],
  // A number that only one of the cases can have.
  ["address.number", 127],
  ["address.number", 10239],
  ["address.spare", true],
  ["drains", "off"],
  ["drains.seconds", 1.5],
  ["drains.seconds", 40],
  ["blower", "off"],
  ["blower", 9],
  ["blower", "as it was"],
  ["lamp.outputs", 1],
  ["lamp.outputs", "two"],
  ["lamp.outputs.0", 4],
  ["lamp.outputs.12", 4],
  ["lamp.inner.dim", true],
  ["notches", 9],
  ["notches.0", 0],
  ["notches.11", 0],
  ["levels", "off"],
  ["levels", 9],
  ["levels.2", 9],
  ["name", "No 9"],
  ["blow", "off"],
  ["blow.kind", "timed"],
  ["blow.seconds", 255],
  ["gear", "low"],
  ["gear", 2],
  // What holds code can have any value of which its code makes something.
  ["squared", "7"],
  ["squared.x", "7"],
  ["summed", "7"],
  ["summed.a", "7"],
  ["around.kind", "never"],
  ["around.seconds", 255],
  ["locked.tones", 8],
  ["wrapped", 3],
  ["wrapped.x", 3],
  ["own", "x"],
  ["own.x.y", "x"],
  ["known", 7],
])("%s can be %j", (path, value) => {
  expect(saidOf(path, value)).toEqual([]);
  expect(saidOf(path, value, "not")).toEqual([]);
});

test.each<[string, Value, string]>([
  ["fuel", "gas", '"slabwood", "coal", "oil"'],
  ["fuel", 0, '"slabwood", "coal", "oil"'],
  ["sparkCage", 1, ""],
  ["address.form", "medium", '"short", "long"'],
  ["address.number", 10240, ""],
  ["drains.seconds", 0, ""],
  ["drains", "on", '"off"'],
  ["blower", 10, '"off", "as it was"'],
  ["blower", "on", '"off", "as it was"'],
  ["lamp.outputs", 2, '1, "two", 4'],
  ["lamp.outputs.0", "one", '1, "two", 4'],
  ["notches", 10, ""],
  ["levels", 10, '"off"'],
  ["notches.1", 1.5, ""],
  ["name", "No 10", ""],
  ["gear", "a", '"low", 2'],
  ["blow.kind", "off", '"timed", "never"'],
  ["locked.tones", 9, ""],
  ["known", 8, ""],
])("%s is never %j", (path, value, allowed) => {
  const never = `rules.0.when: "${path}" is never ${JSON.stringify(value)}`;
  expect(saidOf(path, value)).toEqual([allowed ? `${never}; it can be ${allowed}` : never]);
});

test.each<[string, string]>([
  ["", 'there is no setting ""'],
  ["feul", 'there is no setting "feul"; nearest: "fuel"'],
  ["fuel.x", 'there is no setting "fuel.x"'],
  ["sparkCage.0", 'there is no setting "sparkCage.0"'],
  ["address.kind", 'there is no setting "address.kind"'],
  ["address.numbr", 'there is no setting "address.numbr"; nearest: "address.number"'],
  ["address.from", 'there is no setting "address.from"; nearest: "address.form"'],
  // The first name that does not exist is named, not what follows it.
  ["address.numbr.x.y", 'there is no setting "address.numbr"; nearest: "address.number"'],
  ["drains.secnds", 'there is no setting "drains.secnds"; nearest: "drains.seconds"'],
  ["blow.kid", 'there is no setting "blow.kid"; nearest: "blow.kind"'],
  ["blow.secnds", 'there is no setting "blow.secnds"; nearest: "blow.seconds"'],
  ["around.kid", 'there is no setting "around.kid"; nearest: "around.kind"'],
  ["around.secnds", 'there is no setting "around.secnds"; nearest: "around.seconds"'],
  ["lamp.iner.dim", 'there is no setting "lamp.iner"; nearest: "lamp.inner"'],
  ["lamp.inner.dimm", 'there is no setting "lamp.inner.dimm"; nearest: "lamp.inner.dim"'],
  ["lamp.outputs.one", 'there is no setting "lamp.outputs.one"'],
  ["lamp.outputs.1x", 'there is no setting "lamp.outputs.1x"'],
  ["notches.x1", 'there is no setting "notches.x1"'],
  ["locked.tons", 'there is no setting "locked.tons"; nearest: "locked.tones"'],
  ["known.x", 'there is no setting "known.x"'],
  ["lamp.toString", 'there is no setting "lamp.toString"'],
])("there is no setting %j", (path, said) => {
  expect(saidOf(path, 1)).toEqual([`rules.0.when.path: ${said}`]);
});

describe("rules whose parts do not fit", () => {
  const fine = { path: "sparkCage", is: true } as const;
  const issuesOf = (rules: unknown[]): string[] => {
    try {
      defineDecoder({ id: "x1", name: "X1", kind: "multifunction", features, rules: rules as DecoderRule[] });
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      return error.issues.map((issue) => messageOf(issue));
    }
    return [];
  };

  test.each<[string, unknown[], string[]]>([
    [
      "every severity",
      ["error", "warning", "note"].map((severity) => ({
        rule: "needs",
        name: severity,
        severity,
        when: fine,
        needs: fine,
      })),
      [],
    ],
    [
      "an unknown severity",
      [{ rule: "needs", name: "r", severity: "eror", when: fine, needs: fine }],
      [
        'rules.0.severity: "eror" is not an option; the options are "error", "warning", "note"; nearest: "error"',
      ],
    ],
    [
      "names that are no names",
      ["", "A", "a-", "-a", "a--b", "a b", 7].map((name) => ({
        rule: "needs",
        name,
        when: fine,
        needs: fine,
      })),
      ['""', '"A"', '"a-"', '"-a"', '"a--b"', '"a b"', "7"].map(
        (name, i) => `rules.${i}.name: expected small letters, digits and single hyphens, got ${name}`,
      ),
    ],
    ["names of digits and hyphens", [{ rule: "needs", name: "1-a-2b", when: fine, needs: fine }], []],
    [
      "a name that two rules have",
      [
        { rule: "needs", name: "r", when: fine, needs: fine },
        { rule: "outputs", outputs: [1] },
        { rule: "at-most-one", name: "r", of: [fine, fine] },
      ],
      ['rules.2.name: two rules have the name "r"'],
    ],
    [
      "too few conditions",
      [
        { rule: "at-most-one", name: "a", of: [] },
        { rule: "at-most-one", name: "b", of: [fine] },
        { rule: "at-most-one", name: "c", of: [fine, fine] },
      ],
      [
        "rules.0.of: two conditions or more are needed, got 0",
        "rules.1.of: two conditions or more are needed, got 1",
      ],
    ],
    [
      "each of several conditions is looked at, and so is what is needed",
      [
        { rule: "at-most-one", name: "a", of: [fine, { path: "x", is: 1 }, { path: "fuel", not: "gas" }] },
        { rule: "needs", name: "b", when: fine, needs: { path: "y", not: 1 } },
      ],
      [
        'rules.0.of.1.path: there is no setting "x"',
        'rules.0.of.2: "fuel" is never "gas"; it can be "slabwood", "coal", "oil"',
        'rules.1.needs.path: there is no setting "y"',
      ],
    ],
    [
      "conditions with neither is nor not, and with both",
      [
        { rule: "needs", name: "a", when: { path: "sparkCage" }, needs: fine },
        { rule: "needs", name: "b", when: fine, needs: { path: "sparkCage", is: true, not: false } },
        { rule: "needs", name: "c", when: { path: "sparkCage", is: undefined }, needs: fine },
      ],
      [
        'rules.0.when: a condition needs either "is" or "not", got {"path":"sparkCage"}',
        'rules.1.needs: a condition needs either "is" or "not", got {"path":"sparkCage","is":true,"not":false}',
        'rules.2.when: a condition needs either "is" or "not", got {"path":"sparkCage","is":undefined}',
      ],
    ],
    ["outputs", [{ rule: "outputs", outputs: [1, 2, 8] }], []],
    [
      "an output 0",
      [{ rule: "outputs", outputs: [1, 0] }],
      ["rules.0.outputs: an output has a whole number from 1, got 0"],
    ],
    [
      "half an output",
      [{ rule: "outputs", outputs: [1, 2.5] }],
      ["rules.0.outputs: an output has a whole number from 1, got 2.5"],
    ],
    [
      "outputs twice",
      [
        { rule: "needs", name: "r", when: fine, needs: fine },
        { rule: "outputs", outputs: [1] },
        { rule: "outputs", outputs: [2] },
      ],
      ["rules.2: the outputs are given twice"],
    ],
  ])("%s", (_, rules, said) => {
    expect(issuesOf(rules)).toEqual(said);
  });
});
