import { CvError } from "cvset";
import { type AccessMode, accessModes, nextInReading } from "cvset/packets";
import { describe, expect, test } from "vitest";

/** How many verifies it takes to learn each byte. */
function asked(
  mode: AccessMode,
  guesses: readonly number[] = [],
): { values: (number | undefined)[]; counts: number[] } {
  const values: (number | undefined)[] = [];
  const counts: number[] = [];
  for (let value = 0; value <= (mode === "address-only" ? 127 : 255); value++) {
    const answers: boolean[] = [];
    for (;;) {
      const next = nextInReading({ mode, cv: 1, guesses }, answers);
      if (!("ask" in next)) {
        values.push("value" in next ? next.value : undefined);
        break;
      }
      const { bit, value: wanted } = next.ask;
      answers.push(bit === undefined ? value === wanted : ((value >> bit) & 1) === wanted);
    }
    counts.push(answers.length);
  }
  return { values, counts };
}

describe("learning a byte", () => {
  test.each(accessModes)("%s: every value is found", (mode) => {
    const { values } = asked(mode);
    expect(values).toEqual(values.map((_, i) => i));
    expect(values.length).toBe(mode === "address-only" ? 128 : 256);
  });

  test("with bit verifies it takes 8 or 9, never fewer than the bits that there are to learn", () => {
    const { counts } = asked("direct");
    expect([Math.min(...counts), Math.max(...counts)]).toEqual([8, 9]);
    expect(asked("main").counts).toEqual(counts);
  });

  test("without them, as many as the value is high", () => {
    expect(asked("paged").counts).toEqual(Array.from({ length: 256 }, (_, value) => value + 1));
  });

  test("a right guess takes one, and a wrong one is not asked again", () => {
    for (const mode of ["direct", "paged"] as const) expect(asked(mode, [34]).counts[34]).toBe(1);
    expect(asked("direct", [34]).values).toEqual(asked("direct").values);
    // 35 differs from 34 in the last bit only, which the guess has settled.
    expect(asked("direct", [34]).counts[35]).toBe(1 + 7 + 1);
    expect(asked("paged", [34, 34, 300]).counts[200]).toBe(201);
  });

  test("no decoder, no value", () => {
    const no = (count: number) => Array.from({ length: count }, () => false);
    expect(nextInReading({ mode: "direct", cv: 1 }, no(9))).toEqual({ failed: true });
    expect(nextInReading({ mode: "paged", cv: 1, guesses: [5] }, no(256))).toEqual({ failed: true });
    expect(nextInReading({ mode: "paged", cv: 1, guesses: [5] }, no(255))).toHaveProperty("ask");
  });

  test("a CV out of reach is refused by name", () => {
    expect(() => nextInReading({ mode: "register", cv: 5 }, [])).toThrow(
      "CV 5: register mode does not reach",
    );
    for (const cv of [0, 1025, 1.5]) {
      expect(() => nextInReading({ mode: "direct", cv }, [])).toThrow(CvError);
    }
  });
});
