import { CvSet, type DecoderKind, messageOf } from "cvset";
import { describeCv, reservedUse } from "cvset/standard";
import { expect, test } from "vitest";
import table1 from "./s922-table1.json" with { type: "json" };
import table3 from "./s922-table3.json" with { type: "json" };

// S-9.2.2 (July 2012): CV 27, 28 and 29 name reserved bits; CV 12, 14 and 22 assign six bits of eight. Of
// accessory CV 28 bit 1 is not used. The bits of CV 893 are reserved too, but the decoder itself sets them.
const bits: Readonly<Record<DecoderKind, Readonly<Record<number, number>>>> = {
  multifunction: {
    12: 0b1100_0000,
    14: 0b1100_0000,
    22: 0b1100_0000,
    27: 0b1100_1000,
    28: 0b1111_1000,
    29: 0b0100_0000,
  },
  accessory: { 28: 0b1111_1110, 29: 0b0001_0111, 540: 0b1111_1110, 541: 0b0001_0111 },
};

test.each([
  ["multifunction", table1],
  ["accessory", table3],
] as const)(
  "every CV of a %s decoder, and every byte of those with reserved bits: in use where it is reserved",
  (kind, table) => {
    const reserved = new Set(
      table.rows.flatMap((row) =>
        row.use === "reserved"
          ? Array.from({ length: row.last - row.first + 1 }, (_, i) => row.first + i)
          : [],
      ),
    );
    for (let number = 1; number <= 1024; number++) {
      const mask = bits[kind][number] ?? 0;
      expect(describeCv(number, kind).reservedBits, `CV ${number}`).toBe(mask);
      for (const byte of mask ? Array.from({ length: 256 }, (_, i) => i) : [0, 1, 255]) {
        const issues = reservedUse(CvSet.from({ [number]: byte }), kind);
        const wanted = reserved.has(number) ? byte : byte & mask;
        const found = issues
          .flatMap((issue) => issue.places ?? [])
          .reduce((sum, place) => sum | place.mask, 0);
        if (wanted === 0) expect(issues, `CV ${number} = ${byte}`).toEqual([]);
        else if (reserved.has(number)) expect(found).toBe(255);
        // Bits are reported run by run; each run that is in use has one issue.
        else expect(found & wanted, `CV ${number} = ${byte}`).toBe(wanted);
        for (const issue of issues) {
          const place = issue.places?.[0];
          expect(byte & (place?.mask ?? 0)).not.toBe(0);
          expect(reserved.has(number) ? 255 : mask).toBe(
            (reserved.has(number) ? 255 : mask) | (place?.mask ?? 0),
          );
        }
      }
    }
  },
);

test("it says what is there and where that is laid down", () => {
  expect(reservedUse(CvSet.from({ 20: 5, 29: 66, 27: 200 })).map((issue) => messageOf(issue))).toEqual([
    "CV 20: the CV is reserved; found 5 (S-9.2.2 (July 2012), Table 1)",
    "CV 27 bit 3: the bit is reserved; found 1 (S-9.2.2 (July 2012), CV 27)",
    "CV 27 bits 6-7: the bits are reserved; found 3 (S-9.2.2 (July 2012), CV 27)",
    "CV 29 bit 6: the bit is reserved; found 1 (S-9.2.2 (July 2012), CV 29)",
  ]);
});

// S-9.2.2 (July 2012), CV 31 and 32: pages 0-4095 are reserved, which are those with CV 31 = 0-15.
test("index pages below 16.0", () => {
  const cvs = CvSet.from({ "257@0.0": 1, "300@15.255": 2, "301@15.255": 0, "300@16.0": 3, "512@255.255": 4 });
  expect(reservedUse(cvs).map((issue) => issue.places?.[0]?.cv)).toEqual(["257@0.0", "300@15.255"]);
  expect(reservedUse(cvs, "accessory")).toHaveLength(2);
  expect(describeCv("300@15.255").note).toContain("reserved");
  expect(describeCv("300@16.0").note).not.toContain("reserved");
});

// S-9.2.2 (July 2012), Table 1: CV 107-108 are used with CV 8 = 238.
test("CV 107 and 108 are in use while CV 8 is 238", () => {
  expect(reservedUse(CvSet.from({ 8: 238, 107: 1, 108: 2 }))).toEqual([]);
  expect(reservedUse(CvSet.from({ 8: 13, 107: 1, 108: 2 }))).toHaveLength(2);
  expect(reservedUse(CvSet.from({ 8: 238, 107: 1 }), "accessory")).toHaveLength(1);
});
