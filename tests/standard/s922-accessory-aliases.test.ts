import { CvError, CvSet } from "cvset";
import { describeCv, nmraAccessory, withoutAliases } from "cvset/standard";
import fc from "fast-check";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";
import table3 from "./s922-table3.json" with { type: "json" };

runVectors("s922-accessory-aliases");

// S-9.2.2 (July 2012), Table 3: these have aliases, each 512 above.
const aliased = table3.rows.flatMap((row) =>
  row.firstAlias === null ? [] : Array.from({ length: row.last - row.first + 1 }, (_, i) => row.first + i),
);

test("the table's aliases and no others", () => {
  expect(aliased).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 28, 29]);
  for (let number = 1; number <= 1024; number++) {
    const { alias, aliasOf } = describeCv(number, "accessory");
    expect(alias, `CV ${number}`).toBe(aliased.includes(number) ? number + 512 : undefined);
    expect(aliasOf, `CV ${number}`).toBe(aliased.includes(number - 512) ? number - 512 : undefined);
  }
  expect(describeCv(541, "accessory")).toMatchObject({
    cv: "541",
    name: "Accessory Decoder Configuration",
    reservedBits: 0b1_0111,
    note: "an optional alias of CV 29",
  });
});

test("moving the aliases: the same byte under its own number, everything else as it was", () => {
  const byte = fc.integer({ min: 0, max: 255 });
  fc.assert(
    fc.property(fc.dictionary(fc.constantFrom(...aliased.map(String)), byte), (bytes) => {
      const moved = Object.fromEntries(Object.entries(bytes).map(([cv, value]) => [Number(cv) + 512, value]));
      const others = { 40: 7, 600: 8, "300@16.0": 9 };
      const plain = CvSet.from({ ...bytes, ...others });
      expect(withoutAliases(CvSet.from({ ...moved, ...others })).equals(plain)).toBe(true);
      expect(withoutAliases(CvSet.from({ ...bytes, ...moved, ...others })).equals(plain)).toBe(true);
    }),
  );
});

test("an alias that differs is reported with both, each one", () => {
  let issues: unknown;
  try {
    withoutAliases(CvSet.from({ 1: 5, 513: 6, 9: 0, 521: 0, 29: 128, 541: 0 }));
  } catch (error) {
    issues =
      error instanceof CvError && error.issues.map((issue) => [issue.places?.[0]?.cv, issue.params["found"]]);
  }
  expect(issues).toEqual([
    ["513", 6],
    ["541", 0],
  ]);
});

test("the decoder reads aliases beside the CVs", () => {
  const result = nmraAccessory.tryDecode(CvSet.from({ 1: 9, 9: 0, 29: 128, 513: 5, 521: 1, 541: 192 }));
  expect(result.value?.address).toEqual({ kind: "accessory", number: 9 });
  expect(result.value?.aliases?.address).toEqual({ kind: "accessory-output", number: 261 });
});
