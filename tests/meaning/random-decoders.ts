// Descriptions made by chance from shared terms: each thing may be there or not, and is stored in another form, at
// another place, with other numbers. Every setting knows by itself what its values mean, apart from the code under
// test.

import {
  type AnyCodec,
  type AnyDecoder,
  choice,
  cv,
  defineDecoder,
  flag,
  level,
  record,
  switched,
} from "cvset";
import { vocabulary } from "cvset/meaning";
import fc from "fast-check";

const optionsOf = (of: string): string[] => [
  ...vocabulary.filter((term) => term.type === "option" && term.of === of).map(({ name }) => name),
  "none",
];

/** How a thing is stored, decided by chance. */
export interface Form {
  readonly name: string;
  readonly means: string;
  readonly codec: (at: number) => AnyCodec;
  /** How many CVs it takes. */
  readonly size: number;
}

const named = (means: string): string => means.replaceAll(/[ ,]+/g, "-");

/** A choice among some of a term's options, with numbers of its own. */
const choiceOf = (means: string, names: readonly string[]): fc.Arbitrary<Form> =>
  fc
    .tuple(
      fc.shuffledSubarray([...names], { minLength: 2 }),
      fc.shuffledSubarray(
        Array.from({ length: 16 }, (_, i) => i),
        { minLength: names.length },
      ),
      fc.integer({ min: 0, max: 4 }),
    )
    .map(([some, numbers, low]) => ({
      name: named(means),
      means,
      size: 1,
      codec: (at) =>
        choice(
          cv(at).bits(low as 0, (low + 3) as 3),
          Object.fromEntries(
            some.map((option, i) => [`o${i}`, { value: numbers[i] as number, means: option }]),
          ),
          { means },
        ) as AnyCodec,
    }));

const flagOf = (means: string): fc.Arbitrary<Form> =>
  fc.record({ bit: fc.integer({ min: 0, max: 7 }), inverted: fc.boolean() }).map(({ bit, inverted }) => ({
    name: named(means),
    means,
    size: 1,
    codec: (at) => flag(cv(at).bit(bit as 0), { inverted, means }) as AnyCodec,
  }));

type Scale = NonNullable<Parameters<typeof level>[1]>;

const levelOf = (means: string, scales: readonly Scale[]): fc.Arbitrary<Form> =>
  fc.constantFrom(...scales).map((scale) => ({
    name: named(means),
    means,
    size: 1,
    codec: (at) => level(cv(at), { ...scale, means }) as AnyCodec,
  }));

const shares: Scale[] = [
  { max: 15 },
  { max: 255 },
  { max: 64 },
  { unit: "%", max: 100 },
  { unit: "%", step: 2.5, max: 100 },
  { unit: "dB", min: -51, max: 0, step: 0.5, offset: -51 },
  { unit: "dB", min: -40, max: 6, offset: -40, names: { silent: 255 } },
];
const times: Scale[] = [
  { unit: "s", max: 60 },
  { unit: "s", step: 0.25, min: 0.25, max: 40 },
  { unit: "ms", step: 100, max: 20000 },
  { unit: "min", step: 0.1, decimals: 1, max: 10 },
];
const keys: Scale[] = [
  { max: 28, names: { none: 255 } },
  { max: 12, names: { none: 15 } },
  { max: 31, names: { none: 128 } },
];
const counts: Scale[] = [{ max: 4 }, { min: 1, max: 8 }];

const withDuration = (means: string): fc.Arbitrary<Form> =>
  fc.constantFrom(...times).map((scale) => ({
    name: named(means),
    means,
    size: 2,
    codec: (at) =>
      switched(cv(at).bit(6), record({ time: level(cv(at + 1), { ...scale, means: "duration" }) }), {
        means,
      }) as AnyCodec,
  }));

const lampOf = (means: string): fc.Arbitrary<Form> =>
  fc
    .tuple(
      choiceOf(
        "lamp effect",
        optionsOf("lamp effect").filter((name) => name !== "none"),
      ),
      flagOf("LED correction"),
    )
    .map(([effect, led]) => ({
      name: named(means),
      means,
      size: 2,
      codec: (at) => record({ effect: effect.codec(at), led: led.codec(at + 1) }, { means }) as AnyCodec,
    }));

const things: readonly fc.Arbitrary<Form>[] = [
  choiceOf("whistle", optionsOf("whistle")),
  choiceOf("bell", optionsOf("bell")),
  choiceOf("exhaust", optionsOf("exhaust")),
  fc.oneof(choiceOf("air pump", optionsOf("air pump")), flagOf("air pump")),
  fc.oneof(choiceOf("dynamo", ["none", "1", "2", "3"]), levelOf("dynamo, sound level", shares)),
  choiceOf("firing", optionsOf("firing")),
  fc.oneof(
    choiceOf("cylinders", ["2", "3", "4", "two engines of two cylinders"]),
    levelOf("cylinders", counts),
  ),
  fc.oneof(withDuration("drain cocks"), flagOf("drain cocks")),
  levelOf("all sounds, sound level", shares),
  levelOf("whistle, sound level", shares),
  levelOf("wheel slip", shares),
  levelOf("blowdown, interval", times),
  levelOf("whistle, key", keys),
  levelOf("mute, key", keys),
  lampOf("headlight, output 1"),
  lampOf("rear light, output 2"),
  lampOf("lamp, output 3"),
  lampOf("lamp, output 4"),
  flagOf("bell, rung by air"),
  // The same meaning once more, which leaves open which of two is meant.
  flagOf("bell, rung by air").map((form) => ({ ...form, name: "rung-by-air-again" })),
  // Without a meaning, and with one that the vocabulary does not have.
  flagOf("").map((form) => ({ ...form, name: "unexplained" })),
  flagOf("hooter of the mill").map((form) => ({ ...form, name: "hooter" })),
];

const chosen: fc.Arbitrary<Form[]> = fc
  .tuple(...things.map((thing) => fc.option(thing, { freq: 4 })))
  .map((all) => all.filter((form) => form !== null))
  .chain((forms) => fc.shuffledSubarray(forms, { minLength: forms.length }));

/** A decoder with factory values for all of its CVs. */
export function decoderOf(id: string): fc.Arbitrary<AnyDecoder> {
  return fc.tuple(chosen, fc.integer({ min: 112, max: 160 })).map(([forms, first]) => {
    const features: Record<string, AnyCodec> = {};
    let at = first;
    for (const form of forms) {
      features[form.name] = form.codec(at);
      at += form.size;
    }
    const bare = defineDecoder({ id, name: id, kind: "multifunction", features });
    return withFactory(bare);
  });
}

/** The decoder with the first values of each codec as its factory values. */
function withFactory(decoder: AnyDecoder): AnyDecoder {
  const factory: Record<string, number> = {};
  const put = (codec: AnyCodec): void => {
    const { data } = codec;
    switch (data.kind) {
      case "record":
        Object.values(data.fields).forEach(put);
        return;
      case "switched":
        put(data.item);
        for (const { cv: name } of data.place.bitsOfCvs) factory[name] ??= 0;
        return;
    }
    for (const { cv: name } of codec.bits) factory[name] ??= 0;
    const value =
      data.kind === "choice" ? Object.keys(data.options)[0] : data.kind === "level" ? data.scale.max : false;
    for (const { cv: name, mask, value: bits } of codec.encode(value))
      factory[name] = ((factory[name] ?? 0) & ~mask) | bits;
  };
  Object.values<AnyCodec>(decoder.features).forEach(put);
  return defineDecoder({
    id: decoder.id,
    name: decoder.name,
    kind: decoder.kind,
    features: decoder.features,
    factory,
  });
}
