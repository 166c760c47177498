import { CvSet, choice, cv, defineDecoder, flag, level, page, record, switched } from "cvset";
import type { AccessMode } from "cvset/packets";
import { plan, verify } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { play, readBack } from "./harness.js";

// Random descriptions of decoders, random settings for them, random contents to begin with: what is
// decoded from what was read back is what was asked for.

/** A feature at a place of its own, and a value for it. */
interface Feature {
  readonly name: string;
  readonly cv: string;
  readonly codec: ReturnType<typeof makeCodec>["codec"];
  readonly value: unknown;
}

type Kind = "level" | "flag" | "choice" | "pair" | "switched" | "record";

function placeOf(name: string) {
  const at = name.indexOf("@");
  if (at < 0) return cv(Number(name));
  const [high, low] = name
    .slice(at + 1)
    .split(".")
    .map(Number) as [number, number];
  return page(high, low).cv(Number(name.slice(0, at)));
}

function makeCodec(kind: Kind, name: string, seed: number) {
  const place = placeOf(name);
  switch (kind) {
    case "level":
      return { codec: level(place, { min: 0, max: 255 }), value: seed & 255 };
    case "flag":
      return { codec: flag(place.bit((seed & 7) as 0)), value: (seed & 8) !== 0 };
    case "choice":
      return {
        codec: choice(place.bits(2, 4), { coal: 0, wood: 3, oil: 7 }),
        value: (["coal", "wood", "oil"] as const)[seed % 3] as string,
      };
    case "pair":
      return {
        codec: level(place.bits(0, 3).with(place.bits(4, 6)), { min: 0, max: 127 }),
        value: seed & 127,
      };
    case "switched":
      return {
        codec: switched(place.bit(0), record({ seconds: level(place.bits(1, 5), { min: 1, max: 31 }) })),
        value: seed & 1 ? "off" : { seconds: 1 + (seed % 31) },
      };
    case "record":
      return {
        codec: record({ low: level(place.bits(0, 2), { min: 0, max: 7 }), high: flag(place.bit(7)) }),
        value: { low: seed & 7, high: (seed & 8) !== 0 },
      };
  }
}

const kinds = fc.constantFrom<Kind>("level", "flag", "choice", "pair", "switched", "record");
const cvName = fc.oneof(
  fc
    .integer({ min: 33, max: 1024 })
    .filter((number) => (number < 257 || number > 512) && (number < 880 || number > 895))
    .map(String),
  fc
    .tuple(fc.integer({ min: 257, max: 512 }), fc.constantFrom("16.0", "16.1", "20.0"))
    .map(([number, index]) => `${number}@${index}`),
);
const feature = fc.tuple(cvName, kinds, fc.nat(255)).map(([name, kind, seed]): Feature => {
  return { name: `f${name.replace(/\D/g, "x")}`, cv: name, ...makeCodec(kind, name, seed) };
});
const byte = fc.nat(255);

const described = fc
  .record({
    features: fc.uniqueArray(feature, { minLength: 1, maxLength: 10, selector: ({ cv: name }) => name }),
    address: fc.integer({ min: 1, max: 127 }),
    long: fc.tuple(fc.integer({ min: 192, max: 231 }), byte),
    newLong: fc.tuple(fc.integer({ min: 192, max: 231 }), byte),
    configuration: fc.nat(63),
    newConfiguration: fc.nat(63),
    newAddress: fc.integer({ min: 1, max: 127 }),
    consist: byte,
    index: fc.constantFrom([16, 0], [16, 1], [0, 0], [20, 0]),
    bytes: fc.array(byte, { minLength: 20, maxLength: 20 }),
    known: fc.boolean(),
  })
  .map((given) => {
    const standing = {
      1: given.address,
      8: 13,
      17: given.long[0],
      18: given.long[1],
      19: given.consist,
      29: given.configuration,
      31: given.index[0] as number,
      32: given.index[1] as number,
    };
    const owned = Object.fromEntries(
      given.features.map(({ cv: name }, i) => [name, given.bytes[i] as number]),
    );
    const contents = CvSet.from({ ...standing, ...owned });
    const decoder = defineDecoder({
      id: "random-r1",
      name: "Random R1",
      kind: "multifunction",
      features: {
        primary: level(cv(1), { min: 1, max: 127 }),
        configuration: level(cv(29).bits(0, 5), { min: 0, max: 63 }),
        extended: level(cv(17).with(cv(18)), { min: 192 * 256, max: 231 * 256 + 255 }),
        ...Object.fromEntries(given.features.map(({ name, codec }) => [name, codec])),
      },
      factory: { ...standing, ...Object.fromEntries(given.features.map(({ cv: name }) => [name, 0])) },
    });
    const settings = {
      primary: given.newAddress,
      configuration: given.newConfiguration,
      extended: given.newLong[0] * 256 + given.newLong[1],
      ...Object.fromEntries(given.features.map(({ name, value }) => [name, value])),
    };
    return { contents, decoder, settings, known: given.known };
  });

describe("from settings to the decoder and back", () => {
  test.each(["direct", "paged", "main"] as const)("%s mode", (mode: AccessMode) => {
    fc.assert(
      fc.property(described, ({ contents, decoder, settings, known }) => {
        // Whatever the codecs do not own stays as it is, so the base is what the decoder holds.
        const wanted = decoder.tryEncode(settings, contents);
        if (!wanted.ok) throw new Error(JSON.stringify(wanted.issues));
        const simulated = new SimulatedDecoder(decoder, contents);
        const from = known || mode === "main" ? contents : CvSet.from({ 29: contents.get(29) as number });
        const made = plan(from, wanted.value, { mode, decoder, changeAddress: true });
        play(made, simulated);
        const names = [...wanted.value].map(([name]) => name);
        const read = readBack(simulated, mode, names, (name) => wanted.value.get(name));
        expect(verify(wanted.value, read, { decoder })).toEqual({
          ok: true,
          mismatches: [],
          unread: [],
          settings: [],
        });
        expect(decoder.decode(read)).toEqual(settings);
      }),
      { numRuns: 400 },
    );
  });
});
