import { type AccessMode, nextInReading } from "cvset/packets";
import { describe, expect, test } from "vitest";
import { saidBy } from "../support/said.js";

/** What is learned of a CV that holds a byte, and how many verifies it takes. */
function learned(
  mode: AccessMode,
  byte: number,
  guesses: readonly number[] = [],
): { readonly value: number | undefined; readonly count: number } {
  const answers: boolean[] = [];
  for (;;) {
    const next = nextInReading({ mode, cv: 1, guesses }, answers);
    if (!("ask" in next)) return { value: "value" in next ? next.value : undefined, count: answers.length };
    const { bit, value: wanted } = next.ask;
    answers.push(bit === undefined ? byte === wanted : ((byte >> bit) & 1) === wanted);
  }
}

/** The same for every byte. */
function asked(mode: AccessMode, guesses: readonly number[] = []) {
  const length = mode === "address-only" ? 128 : 256;
  const all = Array.from({ length }, (_, byte) => learned(mode, byte, guesses));
  return { values: all.map(({ value }) => value), counts: all.map(({ count }) => count) };
}

describe("learning a byte", () => {
  test.each(["direct", "main"] as const)(
    "%s: with bit verifies every value is found by 8 or 9, seven bits and the two that are left",
    (mode) => {
      const { values, counts } = asked(mode);
      expect(values).toEqual(Array.from({ length: 256 }, (_, byte) => byte));
      expect(counts).toEqual(Array.from({ length: 256 }, (_, byte) => 8 + (byte & 1)));
    },
  );

  test("paged: without them it takes as many as the value is high", () => {
    const { values, counts } = asked("paged");
    expect(values).toEqual(Array.from({ length: 256 }, (_, byte) => byte));
    expect(counts).toEqual(Array.from({ length: 256 }, (_, byte) => byte + 1));
  });

  test.each([
    ["register", [0, 1, 127, 128, 254, 255]],
    ["address-only", [0, 1, 63, 126, 127]],
  ] as const)("%s: so it is here, up to the highest value", (mode, bytes) => {
    for (const byte of bytes) expect(learned(mode, byte)).toEqual({ value: byte, count: byte + 1 });
  });

  test("address-only: 128 is never asked for", () => {
    expect(learned("address-only", 128)).toEqual({ value: undefined, count: 128 });
  });

  test("a right guess takes one, and a wrong one is not asked again", () => {
    for (const mode of ["direct", "paged"] as const) {
      expect(learned(mode, 34, [34])).toEqual({ value: 34, count: 1 });
    }
    expect(asked("direct", [34]).values).toEqual(Array.from({ length: 256 }, (_, byte) => byte));
    // 35 differs from 34 in the last bit only, which the guess has settled.
    expect(learned("direct", 35, [34])).toEqual({ value: 35, count: 1 + 7 + 1 });
    expect(learned("paged", 200, [34, 34, 300])).toEqual({ value: 200, count: 201 });
    expect(learned("paged", 20, [34, 34, 300])).toEqual({ value: 20, count: 22 });
  });

  test("no decoder, no value", () => {
    const no = (count: number) => Array.from({ length: count }, () => false);
    expect(nextInReading({ mode: "direct", cv: 1 }, no(9))).toEqual({ failed: true });
    expect(nextInReading({ mode: "paged", cv: 1, guesses: [5] }, no(256))).toEqual({ failed: true });
    expect(nextInReading({ mode: "paged", cv: 1, guesses: [5] }, no(255))).toHaveProperty("ask");
  });

  test("a CV that there is not, or that the mode does not reach, is refused by name", () => {
    const said = (mode: AccessMode, cv: number) => saidBy(() => nextInReading({ mode, cv }, []));
    const source = "(S-9.2.3 (July 2012), section E)";
    expect(said("register", 5)).toEqual([
      `CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode ${source}`,
    ]);
    expect(said("address-only", 8)).toEqual([
      `CV 8: address-only mode does not reach this CV, only CV 1; use direct or paged mode ${source}`,
    ]);
    for (const cv of [0, 1025]) {
      expect(said("direct", cv)).toEqual([`cv: ${cv} is out of range; allowed is 1 to 1024 ${source}`]);
    }
    expect(said("direct", 1.5)).toEqual([`cv: expected a whole number from 1 to 1024, got 1.5 ${source}`]);
    expect([said("register", 29), said("address-only", 1), said("direct", 1024)]).toEqual([[], [], []]);
  });
});
