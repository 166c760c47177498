import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { nearestNames } from "../../src/cv/nearest.js";

describe("nearest names", () => {
  const names = ["one-note", "three-chime", "five-chime", "off"];
  test.each<[string, string[]]>([
    ["three-chim", ["three-chime", "five-chime"]],
    ["THREE-CHIME", ["three-chime", "five-chime"]],
    ["onenote", ["one-note"]],
    ["of", ["off"]],
    ["xylophone", []],
    ["", []],
  ])("%s", (name, nearest) => expect(nearestNames(name, names)).toEqual(nearest));

  test("at most three, the best first", () => {
    expect(nearestNames("aaaa", ["aaab", "aabb", "aaaa", "aaac", "aaad"])).toEqual(["aaaa", "aaab", "aaac"]);
  });

  test("of a name of a million letters only the first 64 are compared", () => {
    expect(nearestNames("x".repeat(1_000_000), ["x".repeat(64), "off"])).toEqual(["x".repeat(64)]);
    expect(nearestNames(`${"x".repeat(64)}${"y".repeat(1_000_000)}`, ["x".repeat(64)])).toEqual([
      "x".repeat(64),
    ]);
    expect(nearestNames("y".repeat(1_000_000), ["x".repeat(64)])).toEqual([]);
  });

  /** The number of edits, by recursion: slow and plain. */
  function edits(a: string, b: string): number {
    if (a === "" || b === "") return a.length + b.length;
    const rest = edits(a.slice(1), b.slice(1)) + (a[0] === b[0] ? 0 : 1);
    return Math.min(rest, edits(a.slice(1), b) + 1, edits(a, b.slice(1)) + 1);
  }
  const short = fc.string({ unit: fc.constantFrom("a", "b", "c"), maxLength: 5 });
  test("a name is near when at most half of its letters, or one, are wrong, and never all of them", () => {
    fc.assert(
      fc.property(short, short, (name, candidate) => {
        const most = Math.min(candidate.length - 1, Math.max(1, candidate.length / 2));
        const near = edits(name, candidate) <= most;
        expect(nearestNames(name, [candidate])).toEqual(near ? [candidate] : []);
      }),
    );
  });

  test("of very many names only the first 2,000 are compared", () => {
    const many = Array.from({ length: 100_000 }, () => "zzzzzzzz");
    expect(nearestNames("whistle", [...many.slice(0, 1999), "whistel"])).toEqual(["whistel"]);
    expect(nearestNames("whistle", [...many.slice(0, 2000), "whistel"])).toEqual([]);
    expect(nearestNames("whistle", many)).toEqual([]);
  });
});
