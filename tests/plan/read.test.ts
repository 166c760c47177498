import { CvError, CvSet } from "cvset";
import {
  type AccessMode,
  accessModes,
  nextInReading,
  readByte,
  readingOf,
  readSteps,
  SimulatedDecoder,
} from "cvset/plan";
import { describe, expect, test } from "vitest";

/** How many verifies it takes to learn each byte. */
function asked(
  mode: AccessMode,
  guesses: readonly number[] = [],
): { values: (number | undefined)[]; counts: number[] } {
  const values: (number | undefined)[] = [];
  const counts: number[] = [];
  const reading = readingOf(mode, 1, { guesses });
  for (let value = 0; value <= reading.highest; value++) {
    const answers: boolean[] = [];
    for (;;) {
      const next = nextInReading(reading, answers);
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
    expect(readByte(readingOf("direct", 1), () => false)).toBeUndefined();
    expect(readByte(readingOf("paged", 1, { guesses: [5] }), () => false)).toBeUndefined();
    const decoder = new SimulatedDecoder({ kind: "multifunction", factory: CvSet.from({ 1: 3 }) });
    expect(readByte(readingOf("direct", 2), (sequence) => decoder.play(sequence))).toBeUndefined();
  });

  test("a CV out of reach is refused by name", () => {
    expect(() => readingOf("register", 5)).toThrow("CV 5: is out of reach");
    expect(() => readSteps("register", ["300@16.0"])).toThrow(CvError);
  });
});

describe("reading several CVs", () => {
  const text = (steps: ReturnType<typeof readSteps>): string[] =>
    steps.map((step) => ("read" in step ? `read ${step.read}` : `${step.write.cv}=${step.write.value}`));

  test("page by page, and the index is put back", () => {
    const steps = readSteps("direct", ["300@16.1", 29, "300@16.0", "301@16.1", 1], {
      index: { high: 16, low: 1 },
    });
    expect(text(steps)).toEqual([
      "read 1",
      "read 29",
      "read 300@16.1",
      "read 301@16.1",
      "32=0",
      "read 300@16.0",
      "32=1",
    ]);
  });

  test("where the index is not known, it is not put back", () => {
    expect(text(readSteps("paged", ["300@16.1"]))).toEqual(["31=16", "32=1", "read 300@16.1"]);
    expect(text(readSteps("direct", [1, 2]))).toEqual(["read 1", "read 2"]);
  });
});
