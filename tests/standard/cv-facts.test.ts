import { CvSet, type DecoderKind } from "cvset";
import { describeCv } from "cvset/standard";
import { expect, test } from "vitest";
import { keyOf } from "../../src/cv/name.js";
import { decoderKindOf, factsOf } from "../../src/standard/cv-facts.js";
import { reservedBitsOf } from "../../src/standard/reserved-bits.js";
import table1 from "./s922-table1.json" with { type: "json" };
import table3 from "./s922-table3.json" with { type: "json" };

const flagsOf = (kind: DecoderKind): Map<number, readonly string[]> => {
  const flags = new Map<number, readonly string[]>();
  const { rows } = kind === "accessory" ? table3 : table1;
  for (const row of rows) for (let cv = row.first; cv <= row.last; cv++) flags.set(cv, row.flags);
  return flags;
};

test.each(["multifunction", "accessory"] as const)(
  "every CV of a %s decoder has the facts of its row",
  (kind) => {
    const flags = flagsOf(kind);
    for (let number = 1; number <= 1024; number++) {
      const help = describeCv(number, kind);
      // An alias has the facts of its CV.
      const row = flags.get(help.aliasOf ?? number);
      expect(factsOf(number, kind), `CV ${number}`).toEqual({
        status: help.status,
        readOnly: row?.includes("readOnly"),
        volatile: row?.includes("volatile"),
      });
      expect([help.readOnly, help.volatile]).toEqual([row?.includes("readOnly"), row?.includes("volatile")]);
      expect(reservedBitsOf(number, kind)).toBe(help.reservedBits);
    }
  },
);

// S-9.2.2 (July 2012), Table 1: 7 and 8 are read-only, 880-895 are dynamic. CV 519 and 520 are aliases of 7 and 8.
test("the read-only and the volatile CVs", () => {
  const all = Array.from({ length: 1024 }, (_, i) => i + 1);
  expect(all.filter((cv) => factsOf(cv, "multifunction").readOnly)).toEqual([7, 8]);
  expect(all.filter((cv) => factsOf(cv, "accessory").readOnly)).toEqual([7, 8, 519, 520]);
  expect(all.filter((cv) => factsOf(cv, "multifunction").volatile)).toEqual(all.slice(879, 895));
  expect(all.filter((cv) => factsOf(cv, "accessory").volatile)).toEqual([]);
});

// S-9.2.2 (July 2012), CV 31 and 32: the pages with CV 31 = 0-15 are reserved.
test("index pages", () => {
  for (const kind of ["multifunction", "accessory"] as const) {
    expect(factsOf(keyOf("257@0.0"), kind).status).toBe("reserved");
    expect(factsOf(keyOf("512@15.255"), kind).status).toBe("reserved");
    expect(factsOf(keyOf("257@16.0"), kind).status).toBe("indexed");
    expect(factsOf(keyOf("512@255.255"), kind)).toEqual({
      status: "indexed",
      readOnly: false,
      volatile: false,
    });
    expect(reservedBitsOf(keyOf("257@0.0"), kind)).toBe(0);
  }
});

// S-9.2.2 (July 2012), CV 29 bit 7.
test("the kind of decoder, for all 256 values of CV 29", () => {
  for (let byte = 0; byte < 256; byte++) {
    expect(decoderKindOf(CvSet.from({ 29: byte }))).toBe(byte < 128 ? "multifunction" : "accessory");
  }
  expect(decoderKindOf(CvSet.from({ 1: 3 }))).toBe(undefined);
});
