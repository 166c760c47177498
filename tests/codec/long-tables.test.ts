import { CvSet, cv, page, table } from "cvset";
import { describe, expect, test } from "vitest";

// Tables of 14 and 28 CVs are read in one go, those of other lengths, on a page or with a range one by one. The
// function map has 14 CVs and the speed table 28 (S-9.2.2 (July 2012), CV 33-46 and 67-94).

/** Bytes of which no two are alike, in no order that a shift or a swap would keep. */
const bytesOf = (length: number): number[] => Array.from({ length }, (_, i) => (i * 97 + 31) % 256);

describe.each([13, 14, 15, 27, 28, 29])("a table of %i CVs", (length) => {
  const bytes = bytesOf(length);

  test.each([1, 33, 67, 512, 1024 - length + 1])(
    "from CV %i: each byte at its own CV, both ways",
    (first) => {
      const codec = table(cv(first).through(first + length - 1));
      const stored = Object.fromEntries(bytes.map((byte, i) => [first + i, byte]));
      expect(codec.encode(bytes).toJSON()).toEqual({ cvs: stored, bits: [] });
      // With other bytes on both sides.
      const around = [first - 1, first + length].filter((one) => one >= 1 && one <= 1024);
      const cvs = CvSet.from({ ...stored, ...Object.fromEntries(around.map((one) => [one, 200])) });
      expect(codec.decode(cvs)).toEqual(bytes);
      expect(codec.tryDecode(cvs)).toEqual({ ok: true, value: bytes });
      expect(cvs.apply(codec.encode(bytes.map(() => 0))).toJSON()).toEqual({
        ...Object.fromEntries(bytes.map((_, i) => [first + i, 0])),
        ...Object.fromEntries(around.map((one) => [one, 200])),
      });
    },
  );

  test("on a page, and with a range", () => {
    const onPage = table(
      page(16, 0)
        .cv(300)
        .through(300 + length - 1),
    );
    const stored = Object.fromEntries(bytes.map((byte, i) => [`${300 + i}@16.0`, byte]));
    expect(onPage.encode(bytes).toJSON().cvs).toEqual(stored);
    expect(onPage.decode(CvSet.from(stored))).toEqual(bytes);
    const ranged = table(cv(67).through(67 + length - 1), { max: 254 });
    const low = bytes.map((byte) => Math.min(byte, 254));
    expect(ranged.decode(CvSet.from(low.map((byte, i) => [67 + i, byte] as const)))).toEqual(low);
  });

  test("one byte at a time is read in its place, and nowhere else", () => {
    const codec = table(cv(67).through(67 + length - 1));
    const zeros = CvSet.from(bytes.map((_, i) => [67 + i, 0] as const));
    for (let i = 0; i < length; i++) {
      const wanted = bytes.map((_, at) => (at === i ? 255 : 0));
      expect(codec.decode(zeros.with(67 + i, 255))).toEqual(wanted);
      expect(codec.encode(wanted).toJSON().cvs[String(67 + i)]).toBe(255);
    }
  });

  test("an absent CV is missed, whichever it is", () => {
    const codec = table(cv(67).through(67 + length - 1));
    const whole = CvSet.from(bytes.map((byte, i) => [67 + i, byte] as const));
    for (let i = 0; i < length; i++) {
      const result = codec.tryDecode(whole.without(67 + i));
      expect(result.ok || result.issues.map(({ code, places }) => [code, places])).toEqual([
        ["missing-cv", [{ cv: String(67 + i), mask: 255 }]],
      ]);
      expect(() => codec.decode(whole.without(67 + i))).toThrow(`CV ${67 + i}: not in the CV set`);
    }
  });
});
