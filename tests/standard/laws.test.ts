import {
  type AnyDecoder,
  CvSet,
  decoderFromJson,
  describe as describeDecoder,
  linesOf,
  messageOf,
  schemaOf,
} from "cvset";
import { nmra, nmraAccessory, reservedUse } from "cvset/standard";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { reservedBitsOf } from "../../src/standard/reserved-bits.js";
import { ajv, everyCodec, everyPart } from "./run-vectors.js";
import table1 from "./s922-table1.json" with { type: "json" };

const bytes = Array.from({ length: 256 }, (_, byte) => byte);
const codecs = everyCodec();
const single = everyPart().filter(([, codec]) => codec.bits.length === 1);

// How many of the 256 bytes hold a value, counted from the text of each CV; all of them where not listed.
const values: Readonly<Record<string, number>> = {
  // CV 1: 0-127.
  primaryAddress: 128,
  // CV 10: 1-128, and 0 by common practice.
  "motor.feedbackCutout": 129,
  // CV 25: 0-154.
  "motor.speedTableOrMidStep": 155,
  // Its bits 0-6 alone: 0-26 is step 1-27, with bit 7 either way.
  "motor.speedTableOrMidStep.step": 54,
  // CV 31: 16-255.
  "indexPage.high": 240,
  // CV 29 bit 7.
  "nmra.decoderType": 128,
  "nmraAccessory.decoderType": 128,
  "accessoryAliases.decoderType": 128,
};

describe("each codec of one CV, all 256 bytes", () => {
  test.each(single)("%s", (name, codec) => {
    const [{ cv, mask } = { cv: "", mask: 0 }] = codec.bits;
    const valid = ajv.compile(schemaOf(codec, true) as object);
    let held = 0;
    for (const byte of bytes) {
      const cvs = CvSet.from({ [cv]: byte });
      const result = codec.tryDecode(cvs);
      if (result.ok) {
        held++;
        // Writing back changes nothing; written over anything else, exactly its own bits come.
        const patch = codec.encode(result.value);
        expect(cvs.apply(patch).get(cv)).toBe(byte);
        const other = CvSet.from({ [cv]: byte ^ 255 }).apply(patch);
        expect(other.get(cv)).toBe((byte & mask) | ((byte ^ 255) & ~mask));
        expect(codec.decode(other)).toEqual(result.value);
        expect(linesOf(codec, cvs)).not.toEqual([]);
        expect(valid(result.value), `the schema takes ${cv} = ${byte}`).toBe(true);
      } else {
        expect(result.issues.length).toBeGreaterThan(0);
        for (const issue of result.issues) {
          expect(issue.places?.[0]?.cv).toBe(cv);
          expect(issue.params["found"]).not.toBe(undefined);
          expect(messageOf(issue)).toContain("CV ");
        }
      }
    }
    expect(held).toBe(values[name] ?? 256);
  });

  test("the list of exceptions names codecs", () => {
    expect(Object.keys(values).filter((name) => !single.some(([other]) => other === name))).toEqual([]);
  });
});

describe("each codec of several CVs", () => {
  test.each(codecs.filter(([, codec]) => codec.bits.length > 1))("%s", (_name, codec) => {
    const cvs = codec.bits.map(({ cv }) => cv);
    const list = fc.array(fc.integer({ min: 0, max: 255 }), { minLength: cvs.length, maxLength: cvs.length });
    let decoded = 0;
    fc.assert(
      fc.property(list, (random) => {
        const set = CvSet.from(cvs.map((cv, i) => [cv, random[i] as number] as const));
        const result = codec.tryDecode(set);
        if (!result.ok) {
          for (const { places } of result.issues) expect(cvs).toContain(places?.[0]?.cv);
          return;
        }
        decoded++;
        const patch = codec.encode(result.value);
        expect(set.apply(patch).equals(set)).toBe(true);
        for (const { cv, mask } of patch) {
          expect(mask & ~(codec.bits.find((bits) => bits.cv === cv)?.mask ?? 0)).toBe(0);
        }
      }),
    );
    expect(decoded).toBeGreaterThan(0);
  });
});

describe("what the standard reserves", () => {
  test("no codec owns such a bit, but the one that reads CV 28 by another edition", () => {
    const owners = codecs.flatMap(([name, codec]) => {
      const kind = /accessory/i.test(name) ? "accessory" : "multifunction";
      return codec.bits.some(({ cv, mask }) => {
        const original = kind === "accessory" && Number(cv) > 512 ? Number(cv) - 512 : Number(cv);
        return mask & reservedBitsOf(original, kind);
      })
        ? [name]
        : [];
    });
    expect(owners).toEqual(["biDirectionalLater"]);
  });

  test("every other bit of every uniform CV belongs to a feature of nmra", () => {
    const owned = new Map(nmra.bits.map(({ cv, mask }) => [Number(cv), mask]));
    let seen = 0;
    for (const row of table1.rows) {
      // CV 896-1024 are laid down in another document.
      if (!row.flags.includes("uniform") || row.first === 896) continue;
      for (let number = row.first; number <= row.last; number++, seen++) {
        const mask = 255 & ~reservedBitsOf(number, "multifunction");
        expect(owned.get(number), `CV ${number}`).toBe(mask);
      }
    }
    expect(seen).toBe(39);
  });

  const decoders: [string, AnyDecoder][] = [
    ["nmra", nmra as AnyDecoder],
    ["nmra-accessory", nmraAccessory as AnyDecoder],
  ];
  const anyByte = fc.integer({ min: 0, max: 255 });
  const wholeSpace = fc
    .array(anyByte, { minLength: 1024, maxLength: 1024 })
    .map((values) => CvSet.from(values.map((value, i) => [i + 1, value] as const)));
  const zeros = CvSet.from(Array.from({ length: 1024 }, (_, i) => [i + 1, 0] as const));

  test.each(decoders)(
    "%s: any 1,024 bytes read as far as they mean something, and write back",
    (id, decoder) => {
      expect(decoder.id).toBe(id);
      fc.assert(
        fc.property(wholeSpace, (cvs) => {
          const { value = {} } = decoder.tryDecode(cvs);
          // One bad CV hides no other: with each feature alone, as much can be read.
          for (const [name, codec] of Object.entries(decoder.features)) {
            expect(value[name]).toEqual(codec.tryDecode(cvs).value);
          }
          expect(decoder.encode(value, cvs).equals(cvs)).toBe(true);
        }),
        { numRuns: 60 },
      );
    },
  );

  test.each(decoders)("%s: whatever is set, nothing reserved comes of it", (_id, decoder) => {
    fc.assert(
      fc.property(wholeSpace, fc.boolean(), (cvs, expanded) => {
        const settings: Record<string, unknown> = { ...decoder.tryDecode(cvs).value };
        // CV 107 and 108 are reserved unless CV 8 says that the maker's number is there.
        if ("expandedManufacturer" in settings) {
          if (expanded) settings.manufacturer = "expanded";
          else delete settings.expandedManufacturer;
        }
        expect(reservedUse(decoder.encode(settings, zeros), decoder.kind)).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  test.each(decoders)("%s can be written as JSON, and read from it again", (_id, decoder) => {
    const json = describeDecoder(decoder);
    const again = decoderFromJson(JSON.parse(JSON.stringify(json)));
    expect(describeDecoder(again)).toEqual(json);
    fc.assert(
      fc.property(wholeSpace, (cvs) => {
        expect(again.tryDecode(cvs).value).toEqual(decoder.tryDecode(cvs).value);
      }),
      { numRuns: 20 },
    );
  });
});
