import type { StandardSchemaV1 } from "@standard-schema/spec";
import {
  type AnyCodec,
  type Codec,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  defineDecoder,
  flag,
  flags,
  type InputOf,
  level,
  page,
  record,
  type SettingsOf,
  switched,
  table,
  text,
  type ValueOf,
  variant,
} from "cvset";
import { checkCodecLaws, valuesOf } from "cvset/testing";
import type { Arbitrary } from "fast-check";
import { describe, expectTypeOf, test } from "vitest";

const decoder = defineDecoder({
  id: "example-x1",
  name: "Example X1",
  kind: "multifunction",
  features: {
    whistle: choice(cv(218), { "one-note": 6, "three-chime": { value: 5, label: "Three chime" } }),
    fuel: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }),
    drains: switched(
      cv(252).bit(1),
      record({ seconds: level(page(73, 9).cv(389), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
    ),
    front: record({
      effect: choice(cv(216).bits(1, 4), { plain: 7, flickers: 2 }),
      forLed: flag(cv(243).bit(7), { inverted: true }),
    }),
    blow: variant(
      cv(130).bit(7),
      {
        timed: { value: 0, fields: { seconds: level(cv(131)) } },
        counted: { value: 1, fields: { times: level(cv(131)), loud: flag(cv(132).bit(0)) } },
      },
      { tag: "mode" },
    ),
    outputs: flags(cv(35).bits(0, 2), [1, null, "two"]),
    pause: level(cv(4), { names: { never: 0, always: 255 } }),
    notches: table(cv(120).through(123)),
    name: text(cv(200).through(203)),
    load: converted(level(cv(90), { max: 3 }), [
      [0, "empty"],
      [3, "full"],
    ]),
  },
});
type Settings = SettingsOf<typeof decoder>;

describe("what a decoder decodes", () => {
  test("literals are kept without `as const`", () => {
    expectTypeOf<Settings["whistle"]>().toEqualTypeOf<"one-note" | "three-chime">();
    expectTypeOf<Settings["fuel"]>().toEqualTypeOf<"slabwood" | "coal" | "oil">();
    expectTypeOf<Settings["drains"]>().toEqualTypeOf<{ readonly seconds: number } | "off">();
    expectTypeOf<Settings["front"]>().toEqualTypeOf<{
      readonly effect: "plain" | "flickers";
      readonly forLed: boolean;
    }>();
    expectTypeOf<Settings["outputs"]>().toEqualTypeOf<readonly (1 | "two")[]>();
    expectTypeOf<Settings["pause"]>().toEqualTypeOf<number | "never" | "always">();
    expectTypeOf<Settings["notches"]>().toEqualTypeOf<readonly number[]>();
    expectTypeOf<Settings["name"]>().toEqualTypeOf<string>();
    expectTypeOf<Settings["load"]>().toEqualTypeOf<"empty" | "full">();
  });

  test("a variant is told apart by its tag", () => {
    const read = (blow: Settings["blow"]): number => (blow.mode === "timed" ? blow.seconds : blow.times);
    expectTypeOf(read).returns.toEqualTypeOf<number>();
    expectTypeOf<Settings["blow"]["mode"]>().toEqualTypeOf<"timed" | "counted">();
    // @ts-expect-error: only one case has it
    const loud = (blow: Settings["blow"]): boolean => blow.loud;
    expectTypeOf(loud).returns.toEqualTypeOf<boolean>();
  });

  test("decode is whole, the value of a failed tryDecode is in part, and nothing can be assigned", () => {
    expectTypeOf(decoder.decode).returns.toEqualTypeOf<Settings>();
    const result = decoder.tryDecode(CvSet.empty);
    if (result.ok) expectTypeOf(result.value).toEqualTypeOf<Settings>();
    else expectTypeOf(result.value?.whistle).toEqualTypeOf<"one-note" | "three-chime" | undefined>();
    const change = (settings: Settings) => {
      // @ts-expect-error: readonly
      settings.whistle = "one-note";
      // @ts-expect-error: readonly
      settings.notches.push(1);
    };
    expectTypeOf(change).toBeFunction();
  });
});

describe("what a decoder encodes", () => {
  const accepts = (settings: Parameters<typeof decoder.encode>[0]): void => void settings;

  test("any of the features, and any of the fields of a record", () => {
    accepts({});
    accepts({ whistle: "three-chime", front: { forLed: true }, drains: "off" });
    accepts({ drains: { seconds: 3 }, outputs: [1, "two"], pause: "never", load: "full" });
    accepts({ blow: { mode: "timed", seconds: 3 } });
  });

  test("mistakes are compile errors", () => {
    // @ts-expect-error: misspelt feature
    accepts({ wistle: "one-note" });
    // @ts-expect-error: misspelt option
    accepts({ whistle: "three-chim" });
    // @ts-expect-error: wrong type
    accepts({ whistle: 6 });
    // @ts-expect-error: wrong type
    accepts({ notches: "1,2" });
    // @ts-expect-error: wrong type within a record
    accepts({ front: { forLed: 1 } });
    // @ts-expect-error: misspelt field
    accepts({ front: { forLad: true } });
    // @ts-expect-error: "on" is no value of it
    accepts({ drains: "on" });
    // @ts-expect-error: a number alone is not the record
    accepts({ drains: 20 });
    // @ts-expect-error: no such case
    accepts({ blow: { mode: "time", seconds: 3 } });
    // @ts-expect-error: a case needs all of its fields
    accepts({ blow: { mode: "counted", times: 3 } });
    // @ts-expect-error: a field of the other case
    accepts({ blow: { mode: "timed", seconds: 3, loud: true } });
    // @ts-expect-error: no such output
    accepts({ outputs: [2] });
    // @ts-expect-error: no such name
    accepts({ pause: "sometimes" });
    // @ts-expect-error: undefined is not a setting; leave the feature out
    accepts({ whistle: undefined });
    // @ts-expect-error: a misspelt feature in a patch
    decoder.patch({ bell: true });
  });
});

describe("mistakes in a definition", () => {
  test("bits that a byte does not have", () => {
    const make = () => [
      // @ts-expect-error: there are bits 0 to 7
      cv(29).bit(9),
      // @ts-expect-error: there are bits 0 to 7
      cv(29).bits(0, 8),
      // @ts-expect-error: a part of a byte has no bits of its own
      cv(29).bit(1).bit(0),
      // @ts-expect-error: a pair is no run
      table(cv(1).with(cv(2))),
      // @ts-expect-error: a text needs a run
      text(cv(1)),
      // @ts-expect-error: a run is no place of one value
      level(cv(1).through(3)),
      // @ts-expect-error: pages have CVs, not bits
      page(16, 0).bit(3),
    ];
    expectTypeOf(make).toBeFunction();
  });

  test("options and specs", () => {
    const make = () => [
      // @ts-expect-error: an option is a number
      choice(cv(1), { a: "1" }),
      // @ts-expect-error: an option needs its value
      choice(cv(1), { a: { label: "A" } }),
      // @ts-expect-error: misspelt
      level(cv(1), { minimum: 1 }),
      // @ts-expect-error: a record takes codecs
      record({ a: 1 }),
      // @ts-expect-error: pairs begin with a value of the inner codec
      converted(choice(cv(1), { a: 1 }), [["b", 1]]),
      // @ts-expect-error: there are two kinds of decoder
      defineDecoder({ id: "a", name: "A", kind: "sound", features: {} }),
      // @ts-expect-error: it reads another type than it declares
      defineCodec<number>({ kind: "x", places: [cv(1)], read: () => "1", write: () => {} }),
    ];
    expectTypeOf(make).toBeFunction();
  });
});

describe("codecs of any kind", () => {
  test("values and inputs", () => {
    const front = record({ a: flag(cv(1).bit(0)), b: record({ c: level(cv(2)) }) });
    expectTypeOf<ValueOf<typeof front>>().toEqualTypeOf<{
      readonly a: boolean;
      readonly b: { readonly c: number };
    }>();
    expectTypeOf<InputOf<typeof front>>().toEqualTypeOf<{
      readonly a?: boolean;
      readonly b?: { readonly c?: number };
    }>();
    const ratio = defineCodec<[number, number]>({
      kind: "ratio",
      places: [cv(1)],
      read: () => [1, 2],
      write: () => {},
    });
    expectTypeOf(ratio).toEqualTypeOf<Codec<[number, number]>>();
    const square = converted(level(cv(1)), { decode: (n: number) => `${n}`, encode: Number });
    expectTypeOf<ValueOf<typeof square>>().toEqualTypeOf<string>();
    expectTypeOf(front).toExtend<AnyCodec>();
  });

  test("codecs and decoders are Standard Schemas, with the types of their settings", () => {
    expectTypeOf(decoder).toExtend<StandardSchemaV1>();
    expectTypeOf(decoder.features.whistle).toExtend<StandardSchemaV1<"one-note" | "three-chime">>();
    expectTypeOf<StandardSchemaV1.InferInput<typeof decoder>>().toEqualTypeOf<
      Parameters<typeof decoder.encode>[0]
    >();
    expectTypeOf<StandardSchemaV1.InferOutput<typeof decoder.features.fuel>>().toEqualTypeOf<
      "slabwood" | "coal" | "oil"
    >();
  });

  test("cvset/testing gives values of their types", () => {
    expectTypeOf(valuesOf(decoder.features.fuel)).toEqualTypeOf<Arbitrary<"slabwood" | "coal" | "oil">>();
    expectTypeOf(valuesOf(decoder)).toEqualTypeOf<Arbitrary<Settings>>();
    expectTypeOf(valuesOf(decoder, { partial: true })).toEqualTypeOf<
      Arbitrary<Parameters<typeof decoder.encode>[0]>
    >();
    checkCodecLaws(decoder.features.fuel, { runs: 1, equal: (a, b) => a === b });
  });
});
