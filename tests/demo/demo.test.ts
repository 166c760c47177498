import { readFileSync, writeFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import {
  type AnyDecoder,
  type CvSet,
  decoderFromJson,
  describe as describeDecoder,
  settingsSchema,
} from "cvset";
import { readCvSet, readSettings, writeCvSet, writeSettings } from "cvset/files";
import { checkCodecLaws, cvSetsOf, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { quillback } from "../../src/demo/quillback-s8.js";
import { examples } from "../cli/run.js";

const example = (name: string): string => readFileSync(examples + name, "utf8");
const settings = JSON.parse(example("no9.settings.json"));
const decoders = [quillback as AnyDecoder, dunlin as AnyDecoder];

describe.each(decoders)("$name", (decoder) => {
  const file = `${decoder.id}.json`;
  const text = `${JSON.stringify(describeDecoder(decoder), null, 2)}\n`;
  if (process.env["CVSET_UPDATE"]) writeFileSync(examples + file, text);

  test("is the same decoder in TypeScript and in JSON", () => {
    expect(example(file)).toBe(text);
    const other = decoderFromJson(JSON.parse(example(file)));
    expect(describeDecoder(other)).toEqual(describeDecoder(decoder));
    expect(other.defaults().equals(decoder.defaults())).toBe(true);
    fc.assert(
      fc.property(valuesOf(decoder), cvSetsOf(decoder), (values, base) => {
        const cvs = decoder.encode(values, base);
        expect(other.encode(values, base).equals(cvs)).toBe(true);
        expect(other.decode(cvs)).toEqual(decoder.decode(cvs));
      }),
    );
  });

  test("says that it is invented, in words for people and as maker 13", () => {
    // CV 8 = 13: public domain and do-it-yourself decoders, from memory.
    expect(decoder.note).toMatch(/invented/);
    expect(decoder.defaults().get(8)).toBe(13);
  });

  test("has factory values for every bit that it owns, and they decode", () => {
    const absent = decoder.bits.filter(({ cv }) => !decoder.defaults().has(cv));
    expect(absent).toEqual([]);
    expect(decoder.tryDecode(decoder.defaults()).ok).toBe(true);
  });

  test("keeps the laws of codecs, each feature and all together", () => {
    for (const codec of Object.values(decoder.features)) checkCodecLaws(codec);
    fc.assert(
      fc.property(valuesOf(decoder), cvSetsOf(decoder), (values, base) => {
        const cvs = decoder.encode(values, base);
        // decode(encode(v)) = v
        expect(decoder.decode(cvs)).toEqual(values);
        // encoding what was decoded changes nothing; encoding twice is encoding once
        expect(decoder.encode(decoder.decode(cvs), cvs).equals(cvs)).toBe(true);
        // bits that no feature owns stay
        const owned = new Map(decoder.bits.map(({ cv, mask }) => [cv, mask]));
        const foreign = (set: CvSet) => [...set].map(([cv, value]) => [cv, value & ~(owned.get(cv) ?? 0)]);
        expect(foreign(cvs)).toEqual(foreign(base));
      }),
    );
  });

  test("its settings schema accepts its settings, and refuses what encode refuses", () => {
    const validate = new Ajv2020({ strict: false }).compile(settingsSchema(decoder));
    fc.assert(
      fc.property(valuesOf(decoder), (values) => {
        expect(validate({ decoder: decoder.id, settings: values }), JSON.stringify(validate.errors)).toBe(
          true,
        );
      }),
    );
    const wrong = [null, -1, 1e9, "no such thing", [], { nothing: 1 }];
    for (const settings of [...Object.keys(decoder.features), "nothing"].flatMap((name) =>
      wrong.map((value) => ({ [name]: value })),
    )) {
      const isTaken = decoder.tryEncode(settings).ok;
      expect(validate({ decoder: decoder.id, settings }), JSON.stringify(settings)).toBe(isTaken);
    }
    expect(validate({ decoder: "another", settings: {} })).toBe(false);
  });
});

describe("No. 9", () => {
  const cvs = (quillback as AnyDecoder).encode(settings.settings);

  test("encodes to the CV set beside it, and back, byte for byte", () => {
    const head = { decoder: settings.decoder, name: settings.name };
    expect(writeCvSet({ ...head, cvs })).toBe(example("no9.cvs.json"));
    const read = readCvSet(example("no9.cvs.json"));
    if (!read.ok) throw new Error("unreadable");
    expect(writeSettings({ ...head, settings: quillback.decode(read.value.cvs) })).toBe(
      example("no9.settings.json"),
    );
    expect(readSettings(example("no9.settings.json")).ok).toBe(true);
  });

  test.each([
    // Worked out by hand from the option values of the description.
    ["1", 3],
    ["17", 196],
    ["18", 210],
    ["29", 0b0011_0010], // long address, speed table, 28/128 steps: S-9.2.2 (July 2012), CV 29
    ["3", 25], // 22.4 s / 0.896 s: S-9.2.2 (July 2012), CV 3
    ["66", 128],
    ["95", 122],
    ["218", 5 * 16 + 1], // three chime in bits 4-6, a pair of safety valves in bits 0-1
    ["237", 90],
    ["231", 3 * 64 + (66 - 18) / 4], // compound; 66 strokes a minute, from 18 in steps of 4
    ["221", 1 * 4 + 3 * 16],
    ["224", 6 + 4 * 8], // rung by air: bit 7 is 0
    ["246", 3 * 32 + 2 * 8 + 4],
    ["252", 2 + 16 + 64],
    ["389@73.9", 12 * 4], // quarter seconds
    ["404@73.9", (15 - 3) / 1.5], // from 3 minutes in steps of a minute and a half
    ["216", 14 * 2 + 3 * 64],
    ["215", 2 * 2 + 1 * 64],
    ["213", 5 * 2 + 2 * 64],
    ["243", 0b0000_0111], // outputs 1-5 are corrected, bits 7-3: 0 for yes
    ["239", 8], // 0.4 s in twentieths of a second
    ["234", 65 * 2],
    ["466@73.14", 56 / 2],
    ["206", 5 * 4],
    ["337@73.22", 12], // 2.4 s in fifths of a second
    ["350@73.22", 30],
    ["344@73.22", 5],
    ["426@112.5", 78], // "N"
  ])("CV %s is %i", (cv, value) => {
    expect(cvs.get(cv)).toBe(value);
  });
});
