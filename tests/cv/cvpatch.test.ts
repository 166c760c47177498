import { CvError, CvPatch, CvSet } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { entriesOf, isByte, PatchWriter } from "../../src/cv/cvpatch.js";

const change = fc
  .tuple(
    fc.constantFrom("1", "29", "1024", "257@16.0", "300@16.0", "300"),
    fc.integer({ min: 1, max: 255 }),
    fc.integer({ min: 0, max: 255 }),
  )
  .map(([cv, mask, value]) => ({ cv, mask, value: value & mask }));
const patches = fc.array(change, { maxLength: 8 }).map((bits) => CvPatch.from({ bits }));

test("a patch of another copy of the library is read as its changes, and JSON with its name as JSON", () => {
  class Other {
    get "~cvset"() {
      return "CvPatch";
    }
    *[Symbol.iterator]() {
      yield { cv: "5", mask: 255, value: 1 };
      yield { cv: "29", mask: 2, value: 2 };
    }
  }
  const expected = { cvs: { 5: 1 }, bits: [{ cv: "29", mask: 2, value: 2 }] };
  expect(CvPatch.from(new Other() as never).toJSON()).toEqual(expected);
  expect(CvPatch.from({ "~cvset": "CvPatch", ...expected } as never).toJSON()).toEqual(expected);
});

test("a writer of patches rounds only where that is asked for", () => {
  expect([new PatchWriter().nearest, new PatchWriter(false).nearest, new PatchWriter(true).nearest]).toEqual([
    false,
    false,
    true,
  ]);
});

describe("CvPatch", () => {
  test("JSON: whole bytes, then single bits, in CV order", () => {
    const patch = CvPatch.from({
      bits: [
        { cv: "300@16.0", mask: 8, value: 8 },
        { cv: 29, mask: 32, value: 32 },
      ],
      cvs: { 18: 210, 17: 196, "301@16.0": 1 },
    });
    expect(JSON.stringify(patch)).toBe(
      '{"cvs":{"17":196,"18":210,"301@16.0":1},"bits":[{"cv":"29","mask":32,"value":32},{"cv":"300@16.0","mask":8,"value":8}]}',
    );
    expect([...patch].map(({ cv }) => cv)).toEqual(["17", "18", "29", "300@16.0", "301@16.0"]);
    expect(patch.size).toBe(5);
  });

  test("a CV is there once: bits of it are put together, the later value stays", () => {
    const patch = CvPatch.from({
      bits: [
        { cv: 29, mask: 0b1111_0000, value: 0b1010_0000 },
        { cv: "29", mask: 0b0001_1111, value: 0b0001_0001 },
      ],
    });
    expect(patch.toJSON()).toEqual({ cvs: { 29: 0b1011_0001 }, bits: [] });
  });

  test("from and toJSON undo each other", () => {
    fc.assert(
      fc.property(patches, (patch) => {
        expect(CvPatch.from(patch.toJSON()).toJSON()).toEqual(patch.toJSON());
        for (const { mask, value } of patch) expect(value & ~mask).toBe(0);
      }),
    );
  });

  test("followedBy: the later value stays; associative; the empty patch changes nothing", () => {
    const empty = CvPatch.from({});
    fc.assert(
      fc.property(patches, patches, patches, (a, b, c) => {
        const before = [a, b].map((one) => JSON.stringify(one));
        expect(a.followedBy(b).followedBy(c).toJSON()).toEqual(a.followedBy(b.followedBy(c)).toJSON());
        expect(a.followedBy(empty).toJSON()).toEqual(a.toJSON());
        expect(empty.followedBy(a).toJSON()).toEqual(a.toJSON());
        expect(a.followedBy(a).toJSON()).toEqual(a.toJSON());
        expect([a, b].map((one) => JSON.stringify(one))).toEqual(before);
      }),
    );
    const [one, two] = [1, 2].map((value) => CvPatch.from({ bits: [{ cv: 5, mask: 3, value }] }));
    expect([...(one as CvPatch).followedBy(two as CvPatch)]).toEqual([{ cv: "5", mask: 3, value: 2 }]);
  });

  test("every fault is reported", () => {
    let message = "";
    let codes: string[] = [];
    try {
      CvPatch.from({
        cvs: { 0: 1, 5: 256 },
        bits: [
          { cv: "x", mask: 1, value: 0 },
          { cv: 6, mask: 0, value: 0 },
          { cv: 7, mask: 256, value: 0 },
          { cv: 8, mask: 3, value: 4 },
          { cv: 9, mask: 3, value: -1 },
          { cv: 10, mask: 1.5, value: 1 },
          { cv: 11, mask: 3, value: Number.NaN },
          null as never,
          "29" as never,
          { cv: ["29"] as never, mask: 1, value: 1 },
        ],
      });
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      message = error.message;
      codes = error.issues.map(({ code }) => code);
    }
    expect(codes).toEqual([
      "cv",
      "byte",
      "cv",
      "mask",
      "mask",
      "bits",
      "bits",
      "mask",
      "bits",
      "expected-object",
      "expected-object",
      "cv",
    ]);
    expect(message.split("\n")).toEqual([
      'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "0"',
      "CV 5: expected a whole number from 0 to 255, got 256",
      'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "x"',
      "CV 6: expected a mask, a whole number from 1 to 255, got 0",
      "CV 7: expected a mask, a whole number from 1 to 255, got 256",
      "CV 8: expected a whole number from 0 to 255 without bits outside the mask 3, got 4",
      "CV 9: expected a whole number from 0 to 255 without bits outside the mask 3, got -1",
      "CV 10: expected a mask, a whole number from 1 to 255, got 1.5",
      "CV 11: expected a whole number from 0 to 255 without bits outside the mask 3, got NaN",
      "bits.7: expected an object, got null",
      'bits.8: expected an object, got "29"',
      'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got ["29"]',
    ]);
  });

  test("a list that is changed afterwards does not change the patch", () => {
    const bits = [{ cv: 5, mask: 1, value: 1 }];
    const patch = CvPatch.from({ bits });
    bits[0] = { cv: 6, mask: 1, value: 1 };
    const [first] = entriesOf(patch);
    expect(first).toEqual([5, { mask: 1, value: 1 }]);
    entriesOf(patch).pop();
    expect(CvSet.from({ 5: 0 }).apply(patch).get(5)).toBe(1);
  });
});

test.each<[unknown, boolean]>([
  [0, true],
  [255, true],
  [-0, false],
  [256, false],
  [-1, false],
  [1.5, false],
  [Number.NaN, false],
  [Infinity, false],
  ["1", false],
  [null, false],
  [1n, false],
])("isByte(%s) is %s", (value, expected) => expect(isByte(value)).toBe(expected));
