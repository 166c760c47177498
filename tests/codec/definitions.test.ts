import {
  type Case,
  CvError,
  choice,
  converted,
  cv,
  type DecoderSpec,
  defineCodec,
  defineDecoder,
  type Fields,
  flag,
  type LevelOptions,
  level,
  type Option,
  type Place,
  page,
  type Run,
  record,
  several,
  switched,
  type TableOptions,
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
  (options: LevelOptions<string>, place: Place = cv(161)) =>
  () =>
    level(place, options);
const t =
  (options: TableOptions, run: Run = cv(5).through(7)) =>
  () =>
    table(run, options);
const v = (cases: Record<string, Case>, tag?: string) => () =>
  variant(cv(9).bits(0, 1), cases, tag === undefined ? {} : { tag });
const d = (spec: Partial<DecoderSpec<Fields>>) => () =>
  defineDecoder({ id: "example-x1", name: "Example X1", kind: "multifunction", features: {}, ...spec });

const one = flag(cv(1).bit(0));

describe("a definition that contradicts itself is refused when it is made", () => {
  test.each<[() => unknown, string]>([
    [() => flag(cv(29)), "CV 29: a flag needs a single bit, such as cv(29).bit(5)"],
    [() => flag(cv(29).bits(0, 1)), "CV 29 bits 0-1: a flag needs a single bit"],
    [() => flag(cv(29).bit(0).with(cv(30).bit(0))), "a flag needs a single bit"],

    [c(cv(1), {}), "CV 1: a choice needs an option"],
    [c(cv(1).bits(0, 1), { a: 4 }), 'CV 1 bits 0-1: option "a" is 4, which does not fit 0 to 3'],
    [c(cv(1), { a: -1 }), 'option "a" is -1, which does not fit 0 to 255'],
    [c(cv(1), { a: 1.5 }), 'option "a" is 1.5'],
    [c(cv(1), { a: Number.NaN }), 'option "a" is NaN'],
    [c(cv(1), { a: "3" as never }), 'option "a" is'],
    [c(cv(1), { a: { label: "A" } as never }), 'option "a" is undefined'],
    [c(cv(1), { a: 3, b: { value: 3 } }), 'options "a" and "b" are both 3'],
    [c(cv(1).with(cv(2)), { a: 65536 }), "does not fit 0 to 65535"],

    [l({ min: 9, max: 8 }), "CV 161: min 9 is above max 8"],
    [l({ max: 256 }), "max 256 does not fit: 0 to 255 can be stored"],
    [l({ min: -1 }), "min -1 does not fit: 0 to 255 can be stored"],
    [l({ min: 4 }, cv(161).bits(0, 1)), "min 4 is above max 3"],
    [l({ step: 0 }), "step is 0; a step must change the value"],
    [l({ step: Number.NaN }), "step is NaN, which is not a number"],
    [l({ step: Infinity }), "step is Infinity, which is not a number"],
    [l({ offset: "1" as never }), 'offset is "1", which is not a number'],
    [l({ min: -Infinity }), "min is -Infinity"],
    [l({ max: Number.NaN }), "max is NaN"],
    [l({ step: 0.1, min: 0.25 }), "min 0.25 is not on a step of 0.1"],
    [l({ step: 2, max: 9 }), "max 9 is not on a step of 2"],
    [l({ decimals: -1 }), "decimals is -1; give 0 to 12"],
    [l({ decimals: 13 }), "decimals is 13; give 0 to 12"],
    [l({ decimals: 1.5 }), "decimals is 1.5; give 0 to 12"],
    [l({ step: 0.1, decimals: 0 }), "with 0 decimals two steps of 0.1 would look the same"],
    [l({ step: -0.01, decimals: 1 }), "with 1 decimals two steps of -0.01 would look the same"],
    [
      l({ step: 0.1, offset: 0.05, decimals: 1, min: 0.6, max: 19.7 }),
      "steps of 0.1 cannot be told apart between 0.6 and 19.7",
    ],
    [l({ step: 1, offset: -20.5, decimals: 0, min: -21, max: -1 }), "steps of 1 cannot be told apart"],
    [l({ step: 1e-9, offset: 1e6 }), "steps of 1e-9 cannot be told apart between 1000000 and 1000000"],
    [l({ step: 1e308 }), "steps of 1e+308 cannot be told apart"],
    [l({ step: 1, offset: 2 ** 53 }), "steps of 1 cannot be told apart"],
    [l({ names: { off: 256 } }), 'the name "off" needs a stored number of its own, 0 to 255'],
    [l({ names: { off: 0.5 } }), 'the name "off" needs a stored number of its own'],
    [l({ names: { off: -1 } }), 'the name "off" needs a stored number of its own'],
    [l({ names: { off: 0, never: 0 } }), 'the name "never" needs a stored number of its own'],

    [t({ max: 256 }), "CV 5: max 256 does not fit"],
    [t({ min: 3, max: 2 }), "min 3 is above max 2"],
    [t({ step: 0 }), "step is 0"],

    [() => text(cv(5).through(7), { pad: 256 }), "CV 5: pad is 256; it is a byte, 0 to 255"],
    [() => text(cv(5).through(7), { pad: -1 }), "pad is -1"],
    [() => text(cv(5).through(7), { pad: 1.5 }), "pad is 1.5"],

    [() => several(cv(35), [1, 2]), "CV 35: 8 names are needed, one a bit, not 2"],
    [() => several(cv(35).bits(0, 1), ["a", "b", "c"]), "2 names are needed, one a bit, not 3"],
    [() => several(cv(35).bits(0, 1), ["a", "a"]), 'the name "a" is there twice'],
    [() => several(cv(35).bits(0, 1), [null, null]), "no bit has a name"],
    [() => several(cv(35).bit(0).with(cv(36).bit(0)), ["a", "b"]), "1 names are needed"],

    [() => record({ a: one, b: one }), 'CV 1 bit 0: "a" and "b" both own the same bits'],
    [
      () => record({ a: level(cv(1).bits(0, 4)), b: level(cv(1).bits(3, 7)) }),
      'CV 1 bits 3-4: "a" and "b" both own the same bits',
    ],
    [() => record({ a: level(page(16, 0).cv(300)), b: level(cv("300@16.0")) }), 'CV 300@16.0: "a" and "b"'],
    [() => record({ "": one }), '"" cannot be a name: it must not be empty'],
    [() => record({ "a.b": one }), '"a.b" cannot be a name'],
    [() => record({ constructor: one }), '"constructor" cannot be a name'],
    [() => record({ ["__proto__"]: one }), '"__proto__" cannot be a name'],
    [() => record({ toString: one, "a.b": one }), '"toString", "a.b" cannot be a name'],

    [v({}), "CV 9 bits 0-1: a variant needs a case"],
    [v({ a: { value: 4, fields: {} } }), 'case "a" needs a number of its own, 0 to 3, not 4'],
    [v({ a: { value: 1, fields: {} }, b: { value: 1, fields: {} } }), 'case "b" needs a number of its own'],
    [v({ a: { value: -1, fields: {} } }), 'case "a" needs a number of its own'],
    [v({ a: { value: 0.5, fields: {} } }), 'case "a" needs a number of its own'],
    [v({ a: { value: 1, fields: { kind: one } } }), 'case "a" has a field with the name of the tag, "kind"'],
    [v({ a: { value: 1, fields: { is: one } } }, "is"), 'has a field with the name of the tag, "is"'],
    [v({ a: { value: 1, fields: { x: one, y: one } } }), '"x" and "y" both own the same bits'],
    [
      v({ a: { value: 1, fields: { x: level(cv(9)) } } }),
      '"the discriminator" and "x" both own the same bits',
    ],
    [v({ a: { value: 1, fields: { "x.y": one } } }), '"x.y" cannot be a name'],
    [v({ "a.b": { value: 1, fields: {} } }), '"a.b" cannot be a name'],
    [v({ a: { value: 1, fields: {} } }, "t.g"), '"t.g" cannot be a name'],
    [v({ a: { value: 1, fields: {} } }, ""), '"" cannot be a name'],

    [() => switched(cv(1), one), "CV 1: what switches is a single bit, such as cv(160).bit(3)"],
    [() => switched(cv(1).bit(0), one), '"the enabling bit" and "what it enables" both own the same bits'],
    [
      () => switched(cv(1).bit(1), choice(cv(2), { off: 0, on: 1 })),
      '"off" is also a value of what is switched',
    ],
    [() => switched(cv(1).bit(1), text(cv(2).through(5))), '"off" is also a value'],
    [() => switched(cv(1).bit(1), level(cv(2), { names: { off: 0 } })), '"off" is also a value'],
    [() => switched(cv(1).bit(1), switched(cv(1).bit(2), one)), '"off" is also a value'],

    [() => converted(level(cv(90)), []), "CV 90: pairs are needed, with each side only once"],
    [
      () =>
        converted(level(cv(90)), [
          [1, "a"],
          [1, "b"],
        ]),
      "with each side only once",
    ],
    [
      () =>
        converted(level(cv(90)), [
          [1, "a"],
          [2, "a"],
        ]),
      "with each side only once",
    ],
    [() => converted(level(cv(90), { max: 3 }), [[4, "a"]]), "a pair cannot be stored: 0 to 3, not 4"],
    [() => converted(choice(cv(90), { x: 1 }), [["y" as "x", "a"]]), "a pair cannot be stored"],

    [
      () => defineCodec({ kind: "nothing", places: [], read: () => 1, write: () => {} }),
      'a codec of kind "nothing" needs a place',
    ],

    [d({ id: "" }), "id: small letters, digits and single hyphens are needed, not"],
    [d({ id: "Example" }), "id: small letters"],
    [d({ id: "a--b" }), "id: small letters"],
    [d({ id: "-a" }), "id: small letters"],
    [d({ id: "a\n" }), "id: small letters"],
    [d({ id: 7 as never }), "id: small letters"],
    [d({ name: " " }), "name: a name is needed"],
    [d({ name: 7 as never }), "name: a name is needed, not 7"],
    [d({ kind: "sound" as never }), 'kind: "multifunction" or "accessory" is needed, not "sound"'],
    [d({ features: { a: one, b: one } }), 'features: CV 1 bit 0: "a" and "b" both own the same bits'],
    [d({ features: { "a.b": one } }), 'features: "a.b" cannot be a name'],
    [d({ factory: { 29: 256 } }), "factory: CV 29: 256 is not a CV value"],
    [d({ factory: { 0: 1 } }), 'factory: "0" is not a CV'],
  ])("%s", (make, part) => {
    const issues = issuesOf(make);
    expect(issues[0]?.[1] ?? "accepted").toContain(part);
  });

  test("every fault of a decoder is reported, each pair of features once with all their bits", () => {
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
      'id: small letters, digits and single hyphens are needed, not "X"',
      'name: a name is needed, not ""',
      'features: CV 1 bits 0-3, CV 2 bit 7: "a" and "b" both own the same bits',
      'features: CV 1 bit 0: "a" and "c" both own the same bits',
      'features: CV 1 bit 0: "b" and "c" both own the same bits',
      'factory: "x" is not a CV; write a CV number from 1 to 1024, or "300@16.0" for a CV of an index page',
    ]);
  });

  test("what looks alike but is fine", () => {
    record({ a: level(cv(300)), b: level(page(16, 0).cv(300)), c: level(page(16, 1).cv(300)) });
    record({ a: flag(cv(1).bit(0)), b: level(cv(1).bits(1, 7)) });
    variant(cv(9).bit(0), { a: { value: 0, fields: { x: one } }, b: { value: 1, fields: { y: one } } });
    level(cv(1), { min: 5, max: 5 });
    level(cv(1), { step: 0.1, decimals: 1 });
    choice(cv(1), { "a.b": 0, "": 1, constructor: 2 });
    d({ id: "a-1-b", features: {} })();
  });
});
