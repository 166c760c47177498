import {
  type Cases,
  CvError,
  choice,
  converted,
  cv,
  type DecoderSpec,
  defineCodec,
  defineDecoder,
  type Fields,
  flag,
  flags,
  type LevelOptions,
  level,
  type Option,
  type Place,
  page,
  type Run,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

const issuesOf = (make: () => unknown) => {
  try {
    make();
  } catch (error) {
    if (error instanceof CvError) return error.issues.map(({ code }) => [code, error.message] as const);
    throw error;
  }
  return [];
};

const c = (place: Place, options: Record<string, Option>) => () => choice(place, options);
const l =
  (options: LevelOptions<string>, place: Place = cv(249)) =>
  () =>
    level(place, options);
const t =
  (options: Parameters<typeof table>[1], run: Run = cv(5).through(7)) =>
  () =>
    table(run, options);
const v = (cases: Cases, tag?: string) => () =>
  variant(cv(9).bits(0, 1), cases, tag === undefined ? {} : { tag });
const d = (spec: Partial<DecoderSpec<Fields>>) => () =>
  defineDecoder({ id: "example-x1", name: "Example X1", kind: "multifunction", features: {}, ...spec });

const noName =
  "cannot be a name: it must have 1 to 100 characters, no dot, and not be a property of every object";
const isAValue = 'CV 1 bit 1: "off" is also a value of what is switched; the two could not be told apart';
const aPad = "CV 5: expected a whole number from 0 to 255 as the pad byte, got";
const anId = "id: expected small letters, digits and single hyphens, got";

const one = flag(cv(1).bit(0));

describe("a definition that contradicts itself is refused when it is made", () => {
  test.each<[() => unknown, string]>([
    [() => flag(cv(29)), "CV 29: a single bit is needed, such as cv(29).bit(5)"],
    [() => flag(cv(29).bits(0, 1)), "CV 29 bits 0-1: a single bit is needed, such as cv(29).bit(5)"],
    [
      () => flag(cv(29).bit(0).with(cv(30).bit(0))),
      "CV 29 bit 0, CV 30 bit 0: a single bit is needed, such as cv(29).bit(5)",
    ],

    [c(cv(1), {}), "CV 1: a choice needs an option"],
    [c(cv(1).bits(0, 1), { a: 4 }), 'CV 1 bits 0-1: option "a" needs a whole number from 0 to 3, got 4'],
    [c(cv(1), { a: -1 }), 'CV 1: option "a" needs a whole number from 0 to 255, got -1'],
    [c(cv(1), { a: 1.5 }), 'CV 1: option "a" needs a whole number from 0 to 255, got 1.5'],
    [c(cv(1), { a: Number.NaN }), 'CV 1: option "a" needs a whole number from 0 to 255, got NaN'],
    [c(cv(1), { a: "3" as never }), 'options.a: expected a stored number, or an object with value, got "3"'],
    [
      c(cv(1), { a: { value: "3" as never } }),
      'CV 1: option "a" needs a whole number from 0 to 255, got "3"',
    ],
    [
      c(cv(1), { a: null as never }),
      "options.a: expected a stored number, or an object with value, got null",
    ],
    [
      c(cv(1), { a: { label: "A" } as never }),
      'CV 1: option "a" needs a whole number from 0 to 255, got undefined',
    ],
    [c(cv(1), { "": 3, b: 3 }), 'CV 1: options "", "b" have the same number 3'],
    [c(cv(1), { a: 3, b: { value: 3 } }), 'CV 1: options "a", "b" have the same number 3'],
    [
      c(cv(1).with(cv(2)), { a: 65536 }),
      'CV 1, CV 2: option "a" needs a whole number from 0 to 65535, got 65536',
    ],

    [l({ min: 9, max: 8 }), "CV 249: min 9 is above max 8"],
    [l({ max: 256 }), "CV 249: max 256 does not fit; 0 to 255 can be stored"],
    [l({ min: -1 }), "CV 249: min -1 does not fit; 0 to 255 can be stored"],
    [l({ min: 4 }, cv(249).bits(0, 1)), "CV 249 bits 0-1: min 4 is above max 3"],
    [l({ step: 0 }), "CV 249: step is 0; a step must change the value"],
    [l({ step: Number.NaN }), "CV 249: step must be a number, got NaN"],
    [l({ step: Infinity }), "CV 249: step must be a number, got Infinity"],
    [l({ offset: "1" as never }), 'CV 249: offset must be a number, got "1"'],
    [l({ min: -Infinity }), "CV 249: min must be a number, got -Infinity"],
    [l({ max: Number.NaN }), "CV 249: max must be a number, got NaN"],
    [l({ step: 0.1, min: 0.25 }), "CV 249: min 0.25 is not on a step of 0.1"],
    [l({ step: 2, max: 9 }), "CV 249: max 9 is not on a step of 2"],
    [l({ decimals: -1 }), "CV 249: decimals must be a whole number from 0 to 12, got -1"],
    [l({ decimals: 13 }), "CV 249: decimals must be a whole number from 0 to 12, got 13"],
    [l({ decimals: 1.5 }), "CV 249: decimals must be a whole number from 0 to 12, got 1.5"],
    [l({ step: 0.1, decimals: 0 }), "CV 249: with 0 decimals two steps of 0.1 would look the same"],
    [l({ step: -0.01, decimals: 1 }), "CV 249: with 1 decimals two steps of -0.01 would look the same"],
    [
      l({ step: 0.1, offset: 0.05, decimals: 1, min: 0.6, max: 19.7 }),
      "CV 249: steps of 0.1 cannot be told apart between 0.6 and 19.7",
    ],
    [
      l({ step: 1, offset: -20.5, decimals: 0, min: -21, max: -1 }),
      "CV 249: steps of 1 cannot be told apart between -21 and -1",
    ],
    [
      l({ step: 1e-9, offset: 1e6 }),
      "CV 249: steps of 1e-9 cannot be told apart between 1000000 and 1000000",
    ],
    [l({ step: 1e308 }), "CV 249: steps of 1e+308 cannot be told apart between 0 and Infinity"],
    [
      l({ step: 1, offset: 2 ** 53 }),
      "CV 249: steps of 1 cannot be told apart between 9007199254740992 and 9007199254741248",
    ],
    [
      l({ names: { off: 256 } }),
      'CV 249: the name "off" needs a stored number of its own, 0 to 255, got 256',
    ],
    [
      l({ names: { off: 0.5 } }),
      'CV 249: the name "off" needs a stored number of its own, 0 to 255, got 0.5',
    ],
    [l({ names: { off: -1 } }), 'CV 249: the name "off" needs a stored number of its own, 0 to 255, got -1'],
    [
      l({ names: { off: 0, never: 0 } }),
      'CV 249: the name "never" needs a stored number of its own, 0 to 255, got 0',
    ],

    [t({ max: 256 }), "CV 5: max 256 does not fit; 0 to 255 can be stored"],
    [t({ min: 3, max: 2 }), "CV 5: min 3 is above max 2"],
    [t({ step: 0 }), "CV 5: step is 0; a step must change the value"],

    [() => text(cv(5).through(7), { pad: 256 }), `${aPad} 256`],
    [() => text(cv(5).through(7), { pad: -1 }), `${aPad} -1`],
    [() => text(cv(5).through(7), { pad: 1.5 }), `${aPad} 1.5`],
    [() => text(cv(5).through(7), { pad: "0" as never }), `${aPad} "0"`],
    [() => text(cv(5).through(7), { pad: -0 }), `${aPad} -0`],

    [() => flags(cv(35), [1, 2]), "CV 35: expected 8 names, one a bit, got 2"],
    [() => flags(cv(35).bits(0, 1), ["a", "b", "c"]), "CV 35 bits 0-1: expected 2 names, one a bit, got 3"],
    [() => flags(cv(35).bits(0, 1), ["a", "a"]), 'CV 35 bits 0-1: two bits have the name "a"'],
    [() => flags(cv(35).bits(0, 1), [null, null]), "CV 35 bits 0-1: no bit has a name"],
    [
      () => flags(cv(35).bits(0, 1), ["a", undefined as never]),
      "CV 35 bits 0-1: expected a text, a number or null as the name of a bit, got undefined",
    ],
    [
      () => flags(cv(35).bits(0, 1), [{} as never, "a"]),
      "CV 35 bits 0-1: expected a text, a number or null as the name of a bit, got {}",
    ],
    [
      () => flags(cv(35).bit(0).with(cv(36).bit(0)), ["a", "b"]),
      "CV 35 bit 0, CV 36 bit 0: expected one run of bits of one CV",
    ],

    [() => record({ a: one, b: one }), 'CV 1 bit 0: "a" and "b" both own the same bits'],
    [
      () => record({ a: level(cv(1).bits(0, 4)), b: level(cv(1).bits(3, 7)) }),
      'CV 1 bits 3-4: "a" and "b" both own the same bits',
    ],
    [
      () => record({ a: level(page(16, 0).cv(300)), b: level(cv("300@16.0")) }),
      'CV 300@16.0: "a" and "b" both own the same bits',
    ],
    [() => record({ "": one }), `"" ${noName}`],
    [() => record({ "a.b": one }), `"a.b" ${noName}`],
    [() => record({ constructor: one }), `"constructor" ${noName}`],
    [() => record({ ["__proto__"]: one }), `"__proto__" ${noName}`],
    [() => record({ toString: one, "a.b": one }), `"toString" ${noName}\n"a.b" ${noName}`],

    [v({}), "CV 9 bits 0-1: a variant needs a case"],
    [
      v({ a: { value: 4, fields: {} } }),
      'CV 9 bits 0-1: case "a" needs a whole number of its own, 0 to 3, got 4',
    ],
    [
      v({ a: { value: 1, fields: {} }, b: { value: 1, fields: {} } }),
      'CV 9 bits 0-1: case "b" needs a whole number of its own, 0 to 3, got 1',
    ],
    [
      v({ a: { value: -1, fields: {} } }),
      'CV 9 bits 0-1: case "a" needs a whole number of its own, 0 to 3, got -1',
    ],
    [
      v({ a: { value: 0.5, fields: {} } }),
      'CV 9 bits 0-1: case "a" needs a whole number of its own, 0 to 3, got 0.5',
    ],
    [v({ a: { value: 1, fields: { kind: one } } }), 'case "a" has a field with the name of the tag, "kind"'],
    [
      v({ a: { value: 1, fields: { is: one } } }, "is"),
      'case "a" has a field with the name of the tag, "is"',
    ],
    [v({ a: { value: 1, fields: { x: one, y: one } } }), 'CV 1 bit 0: "x" and "y" both own the same bits'],
    [
      v({ a: { value: 1, fields: { x: level(cv(9)) } } }),
      'CV 9 bits 0-1: "the discriminator" and "x" both own the same bits',
    ],
    [v({ a: { value: 1, fields: { "x.y": one } } }), `"x.y" ${noName}`],
    [v({ "a.b": { value: 1, fields: {} } }), `"a.b" ${noName}`],
    [v({ a: { value: 1, fields: {} } }, "t.g"), `"t.g" ${noName}`],
    [v({ a: { value: 1, fields: {} } }, ""), `"" ${noName}`],

    [() => switched(cv(1), one), "CV 1: a single bit is needed, such as cv(29).bit(5)"],
    [
      () => switched(cv(1).bit(0), one),
      'CV 1 bit 0: "the enabling bit" and "what it enables" both own the same bits',
    ],
    [() => switched(cv(1).bit(1), choice(cv(2), { off: 0, on: 1 })), isAValue],
    [() => switched(cv(1).bit(1), text(cv(2).through(5))), isAValue],
    [() => switched(cv(1).bit(1), level(cv(2), { names: { off: 0 } })), isAValue],
    [() => switched(cv(1).bit(1), switched(cv(1).bit(2), one)), isAValue],

    [() => converted(level(cv(90)), []), "CV 90: pairs are needed, with each side only once"],
    [
      () =>
        converted(level(cv(90)), [
          [1, "a"],
          [1, "b"],
        ]),
      "CV 90: pairs are needed, with each side only once",
    ],
    [
      () =>
        converted(level(cv(90)), [
          [1, "a"],
          [2, "a"],
        ]),
      "CV 90: pairs are needed, with each side only once",
    ],
    [
      () => converted(level(cv(90), { max: 3 }), [[4, "a"]]),
      "CV 90: the pair of 4 cannot be stored\n4 is out of range; allowed is 0 to 3",
    ],
    [
      () => converted(choice(cv(90), { x: 1 }), [["y" as "x", "a"]]),
      'CV 90: the pair of "y" cannot be stored\n"y" is not an option; the options are "x"',
    ],
    [
      () => converted(level(cv(90), { nearest: true }), [[1.4, "a"]]),
      "CV 90: 1.4 of a pair would be read back as 1",
    ],
    [
      () => converted(level(cv(90), { step: 0.1 }), [[0.1 + 0.2, "a"]]),
      "CV 90: 0.30000000000000004 of a pair would be read back as 0.3",
    ],
    [
      () => converted(flags(cv(90).bits(0, 1), ["x", "y"]), [[["x"], "a"]]),
      'CV 90 bits 0-1: ["x"] of a pair would be read back as ["x"]',
    ],

    [
      () => defineCodec({ kind: "nothing", places: [], read: () => 1, write: () => {} }),
      'a codec of kind "nothing" needs a place',
    ],

    [d({ id: "" }), `${anId} ""`],
    [d({ id: "Example" }), `${anId} "Example"`],
    [d({ id: "a--b" }), `${anId} "a--b"`],
    [d({ id: "-a" }), `${anId} "-a"`],
    [d({ id: "a\n" }), `${anId} "a\\n"`],
    [d({ id: 7 as never }), `${anId} 7`],
    [d({ name: " " }), 'name: expected a name, got " "'],
    [d({ name: 7 as never }), "name: expected a name, got 7"],
    [d({ kind: "sound" as never }), 'kind: expected "multifunction" or "accessory", got "sound"'],
    [d({ features: { a: one, b: one } }), 'features: CV 1 bit 0: "a" and "b" both own the same bits'],
    [d({ features: { "a.b": one } }), `features: "a.b" ${noName}`],
    [d({ factory: { 29: 256 } }), "factory: CV 29: expected a whole number from 0 to 255, got 256"],
    [
      d({ factory: { 0: 1 } }),
      'factory: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "0"',
    ],
  ])("%s", (make, message) => {
    const issues = issuesOf(make);
    expect(issues[0]?.[1] ?? "accepted").toBe(message);
  });

  test("every fault of a decoder is reported, each feature with the first owner of its bits", () => {
    const issues = issuesOf(
      d({
        id: "X",
        name: "",
        features: {
          a: record({ x: level(cv(1)), y: level(cv(2)) }),
          b: record({ x: level(cv(1).bits(0, 3)), y: flag(cv(2).bit(7)) }),
          c: flag(cv(1).bit(0)),
        },
        factory: { x: 1 },
      }),
    );
    expect(issues[0]?.[1].split("\n")).toEqual([
      `${anId} "X"`,
      'name: expected a name, got ""',
      'features: CV 1 bits 0-3, CV 2 bit 7: "a" and "b" both own the same bits',
      'features: CV 1 bit 0: "a" and "c" both own the same bits',
      'factory: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "x"',
    ]);
  });

  test("what looks alike but is fine", () => {
    for (const define of [
      () => record({ a: level(cv(300)), b: level(page(16, 0).cv(300)), c: level(page(16, 1).cv(300)) }),
      () => record({ a: flag(cv(1).bit(0)), b: level(cv(1).bits(1, 7)) }),
      () =>
        variant(cv(9).bit(0), { a: { value: 0, fields: { x: one } }, b: { value: 1, fields: { y: one } } }),
      () => level(cv(1), { min: 5, max: 5 }),
      () => level(cv(1), { step: 0.1, decimals: 1 }),
      () => choice(cv(1), { "a.b": 0, "": 1, constructor: 2 }),
      d({ id: "a-1-b", features: {} }),
    ]) {
      expect(define).not.toThrow();
    }
  });
});
