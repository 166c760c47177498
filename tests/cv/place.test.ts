import { CvError, CvSet, cv, type Place, page } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { PatchWriter } from "../../src/cv/cvpatch.js";
import { readerOf } from "../../src/cv/cvset.js";
import type { Bit } from "../../src/cv/place.js";
import { imageOf } from "../support/image.js";

const messageOf = (make: () => unknown): string => {
  try {
    make();
  } catch (error) {
    if (error instanceof CvError) return error.message;
    throw error;
  }
  return "nothing thrown";
};

describe("places: what they are called and how descriptions write them", () => {
  test.each<[Place | { toString(): string; toJSON(): unknown }, string, unknown]>([
    [cv(29), "CV 29", 29],
    [cv("29"), "CV 29", 29],
    [cv(29).bit(5), "CV 29 bit 5", { cv: 29, bit: 5 }],
    [cv(29).bit(0), "CV 29 bit 0", { cv: 29, bit: 0 }],
    [cv(150).bits(0, 2), "CV 150 bits 0-2", { cv: 150, bits: [0, 2] }],
    [cv(150).bits(6, 7), "CV 150 bits 6-7", { cv: 150, bits: [6, 7] }],
    [cv(150).bits(0, 7), "CV 150", 150],
    [cv(17).with(cv(18)), "CV 17, CV 18", { cv: 17, with: 18 }],
    [cv(1).with(cv(2)).with(cv(3)), "CV 1-3", { cv: 1, with: { cv: 2, with: 3 } }],
    [cv(17).bits(0, 5).with(cv(18)), "CV 17 bits 0-5, CV 18", { cv: 17, bits: [0, 5], with: 18 }],
    [cv(67).through(94), "CV 67-94", { cv: 67, through: 94 }],
    [page(16, 0).cv(300), "CV 300@16.0", "300@16.0"],
    [page(16, 0).cv(300).bit(7), "CV 300@16.0 bit 7", { cv: "300@16.0", bit: 7 }],
    [cv("300@16.0").through(303), "CV 300@16.0-303@16.0", { cv: "300@16.0", through: 303 }],
    [
      page(0, 0).cv(257).with(page(255, 255).cv(512)),
      "CV 257@0.0, CV 512@255.255",
      { cv: "257@0.0", with: "512@255.255" },
    ],
  ])("%s", (place, text, json) => {
    expect(String(place)).toBe(text);
    expect(JSON.parse(JSON.stringify(place))).toEqual(json);
  });

  const aCv = 'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got';
  const twoBits = "expected two bits from 0 to 7, the lower first, got";
  const aRun = "expected this CV or a later one of the same page as the end of the run, got";
  const aPage = "expected two numbers from 0 to 255, for CV 31 and CV 32, got";

  const pair = cv(17).bit(0).with(cv("300@16.0"));

  test.each<[string, unknown]>([
    ["cvs: expected what a codec gets to read from, with a function get, got null", null],
    ["cvs: expected what a codec gets to read from, with a function get, got {}", {}],
    ["CV 17: not in the CV set", { get: () => undefined }],
    ["CV 300@16.0: not in the CV set", { get: (key: number) => (key === 17 ? 1 : undefined) }],
    ["CV 17: expected a whole number from 0 to 255, got -1", { get: () => -1 }],
    ["CV 17: expected a whole number from 0 to 255, got NaN", { get: () => Number.NaN }],
    ['CV 17: expected a whole number from 0 to 255, got "x"', { get: () => "x" }],
  ])("a reader that gives no byte: %s", (words, reader) => {
    expect(messageOf(() => pair.read(reader as never))).toBe(words);
  });

  test.each<[string, unknown, unknown]>([
    ["cvs: expected what a codec gets to write to, with a function put, got null", null, 1],
    ["cvs: expected what a codec gets to write to, with a function put, got {}", {}, 1],
    ...[512, -1, 0.5, Number.NaN, "1", undefined].map((value): [string, unknown, unknown] => [
      `expected a whole number from 0 to 511, got ${typeof value === "string" ? `"${value}"` : value}`,
      new PatchWriter(),
      value,
    ]),
  ])("a writer that is none, or a number that does not fit: %s", (words, writer, value) => {
    expect(messageOf(() => pair.write(writer as never, value as never))).toBe(words);
  });

  test("widths and largest numbers", () => {
    expect([cv(1).width, cv(1).max]).toEqual([8, 255]);
    expect([cv(1).bit(3).width, cv(1).bit(3).max]).toEqual([1, 1]);
    expect([cv(17).with(cv(18)).width, cv(17).with(cv(18)).max]).toEqual([16, 65535]);
    const four = cv(1).with(cv(2)).with(cv(3)).with(cv(4));
    expect([four.width, four.max]).toEqual([32, 4294967295]);
    expect(
      cv(67)
        .through(94)
        .places.map(({ key }) => key),
    ).toEqual(Array.from({ length: 28 }, (_, i) => 67 + i));
    expect(cv(5).through(5).places).toHaveLength(1);
  });

  test.each<[() => unknown, string]>([
    [() => cv(0), `${aCv} 0`],
    [() => cv(1025), `${aCv} 1025`],
    [() => cv("29 "), `${aCv} "29 "`],
    [() => cv(29).bits(3, 2), `CV 29: ${twoBits} 3 and 2`],
    [() => cv(29).bits(0, 8 as Bit), `CV 29: ${twoBits} 0 and 8`],
    [() => cv(29).bits(-1 as Bit, 3), `CV 29: ${twoBits} -1 and 3`],
    [() => cv(29).bits(0.5 as Bit, 3), `CV 29: ${twoBits} 0.5 and 3`],
    [() => cv(29).bit(8 as Bit), `CV 29: ${twoBits} 8 and 8`],
    [() => cv(29).bit(Number.NaN as Bit), `CV 29: ${twoBits} NaN and NaN`],
    [() => cv(29).bit("5" as unknown as Bit), `CV 29: ${twoBits} "5" and "5"`],
    [() => cv(29).with(cv(29)), "CV 29, CV 29: the same bit is there twice"],
    [
      () => cv(29).bits(0, 3).with(cv(29).bits(3, 4)),
      "CV 29 bits 0-3, CV 29 bits 3-4: the same bit is there twice",
    ],
    [
      () => cv(1).with(cv(2)).with(cv(3)).with(cv(4)).with(cv(5).bit(0)),
      "CV 1-4, CV 5 bit 0: a value has at most 32 bits, got 33",
    ],
    [() => cv(67).through(66), `CV 67: ${aRun} 66`],
    [() => cv(67).through(1025), `CV 67: ${aRun} 1025`],
    [() => cv(67).through(67.5), `CV 67: ${aRun} 67.5`],
    [() => cv(67).through(Number.NaN), `CV 67: ${aRun} NaN`],
    [() => page(16, 0).cv(510).through(513), `CV 510@16.0: ${aRun} 513`],
    [() => page(16, 0).cv(256), "expected a CV of an index page, 257 to 512, got 256"],
    [() => page(16, 0).cv(513), "expected a CV of an index page, 257 to 512, got 513"],
    [() => page(16, 0).cv(300.5), "expected a CV of an index page, 257 to 512, got 300.5"],
    [() => page(256, 0), `${aPage} 256 and 0`],
    [() => page(0, -1), `${aPage} 0 and -1`],
    [() => page(0, 1.5), `${aPage} 0 and 1.5`],
    [() => page("16" as unknown as number, 0), `${aPage} "16" and 0`],
  ])("a bad definition is refused: %s", (make, message) => {
    expect(messageOf(make)).toBe(message);
  });

  test("two runs of bits of one CV may be joined when they share none", () => {
    const place = cv(50).bits(6, 7).with(cv(50).bits(0, 1));
    expect(place.read(readerOf(CvSet.from({ 50: 0b1011_0101 })))).toBe(0b1001);
  });
});

// --- Reading and writing against a reference that takes one bit at a time --------------------------

/** Distinct runs of bits, up to 32 bits in all. */
const places: fc.Arbitrary<Place> = fc
  .uniqueArray(
    fc.record({
      high: fc.integer({ min: 16, max: 255 }),
      number: fc.integer({ min: 257, max: 512 }),
      paged: fc.boolean(),
      low: fc.integer({ min: 0, max: 7 }),
      width: fc.integer({ min: 1, max: 8 }),
    }),
    { minLength: 1, maxLength: 5, selector: ({ number }) => number },
  )
  .map((parts) => {
    const [first, ...rest] = parts.map(({ high, number, paged, low, width }) => {
      const byte = paged ? page(high, 3).cv(number) : cv(number);
      return byte.bits(low as Bit, Math.min(7, low + width - 1) as Bit);
    });
    let place = first as Place;
    for (const one of rest) if (place.width + one.width <= 32) place = place.with(one);
    return place;
  });

/** The bits of a place, the most significant first: [CV, bit]. */
function bitsOf(place: Place): [cv: string, bit: number][] {
  return place.bitsOfCvs.flatMap(({ cv: name, mask }) =>
    [7, 6, 5, 4, 3, 2, 1, 0]
      .filter((bit) => Math.floor(mask / 2 ** bit) % 2 === 1)
      .map((bit): [string, number] => [name, bit]),
  );
}

const wide = fc.integer({ min: 0, max: 2 ** 32 - 1 });

describe("places: reading and writing", () => {
  test("a number is read bit by bit, the most significant first", () => {
    fc.assert(
      fc.property(places, fc.infiniteStream(fc.integer({ min: 0, max: 255 })), (place, bytes) => {
        const names = [...new Set(place.bitsOfCvs.map((bits) => bits.cv))];
        const cvs = CvSet.from(names.map((name): [string, number] => [name, bytes.next().value as number]));
        let expected = 0;
        for (const [name, bit] of bitsOf(place)) {
          expected = expected * 2 + (Math.floor((cvs.get(name) ?? 0) / 2 ** bit) % 2);
        }
        expect(place.read(readerOf(cvs))).toBe(expected);
      }),
    );
  });

  test("what is written is read again, and no other bit changes", () => {
    fc.assert(
      fc.property(places, wide, fc.integer({ min: 0, max: 255 }), (place, number, fill) => {
        const value = number % 2 ** place.width;
        const names = [...new Set(place.bitsOfCvs.map((bits) => bits.cv))];
        const before = CvSet.from(names.map((name): [string, number] => [name, fill]));
        const image = imageOf(before);
        place.write(image, value);
        expect(place.read(image)).toBe(value);
        const owned = bitsOf(place).map(([name, bit]) => `${name}/${bit}`);
        for (const name of names) {
          const key = cv(name).key;
          for (let bit = 0; bit < 8; bit++) {
            if (owned.includes(`${name}/${bit}`)) continue;
            expect((image.get(key) >> bit) & 1).toBe((fill >> bit) & 1);
          }
        }
        const writer = new PatchWriter();
        place.write(writer, value);
        expect(new Map(before.apply(writer.patch()))).toEqual(
          new Map(names.map((name) => [name, image.get(cv(name).key)])),
        );
      }),
    );
  });

  test.each([-1, 8, 1.5, Number.NaN, Infinity, -Infinity, "3", null, true, undefined, 2 ** 32, 3n])(
    "three bits do not store %s",
    (value) => {
      const image = imageOf(CvSet.from({ 150: 7 }));
      expect(() =>
        cv(150)
          .bits(0, 2)
          .write(image, value as number),
      ).toThrow(/^expected a whole number from 0 to 7, got /);
      expect(image.get(150)).toBe(7);
    },
  );

  test("S-9.2.2 (July 2012) CV 17 and 18: the long address 1234 is 196 and 210", () => {
    expect(
      cv(17)
        .with(cv(18))
        .read(readerOf(CvSet.from({ 17: 196, 18: 210 }))),
    ).toBe(0xc000 + 1234);
    const image = imageOf(CvSet.from({ 17: 192, 18: 0 }));
    cv(17).bits(0, 5).with(cv(18)).write(image, 1234);
    expect([image.get(17), image.get(18)]).toEqual([196, 210]);
  });

  test("an absent CV is an error that names it", () => {
    expect(
      messageOf(() =>
        cv(17)
          .with(cv(18))
          .read(readerOf(CvSet.from({ 17: 1 }))),
      ),
    ).toBe("CV 18: not in the CV set");
  });
});
