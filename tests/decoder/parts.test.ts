import { choice, cv, flag, messageOf, tryDecoderFromJson } from "cvset";
import { locomotive } from "cvset/standard";
import { describe, expect, test } from "vitest";

// Parts are sets of features that the caller offers, and that a description in JSON names.

const lamp = { codec: "flag", place: { cv: 216, bit: 7 } };
const parts = {
  lights: { front: flag(cv(216).bit(0)), rear: flag(cv(216).bit(1)) },
  steam: { fuel: choice(cv(246), { coal: 96, oil: 32 }) },
  more: { rear: flag(cv(215).bit(1)) },
};
const read = (names: readonly string[], features: object, known: object = parts) =>
  tryDecoderFromJson(
    { id: "x1", name: "X1", kind: "multifunction", parts: names, features },
    { parts: known as typeof parts },
  );
const issues = (result: ReturnType<typeof read>): string[] =>
  result.ok ? [] : result.issues.map((issue) => messageOf(issue));

describe("parts of a description", () => {
  test("come before its own features, part by part", () => {
    const result = read(["steam", "lights"], { lamp });
    expect(Object.keys(result.value?.features ?? {})).toEqual(["fuel", "front", "rear", "lamp"]);
    expect(result.value?.features["front"]).toBe(parts.lights.front);
    expect(Object.keys(read([], { lamp }).value?.features ?? {})).toEqual(["lamp"]);
  });

  test("do not stand back for a feature of the same name", () => {
    expect(issues(read(["lights"], { rear: lamp }))).toEqual([
      'features.rear: the part "lights" has a feature of this name already',
    ]);
  });

  test("do not override each other", () => {
    expect(issues(read(["lights", "more"], {}))).toEqual([
      'features.rear: the part "more" has a feature of this name already',
    ]);
    // Nor is one taken twice.
    expect(issues(read(["steam", "steam"], { lamp }))).toEqual([
      'features.fuel: the part "steam" has a feature of this name already',
    ]);
  });

  test("do not share bits with its own features", () => {
    expect(issues(read(["lights"], { both: { codec: "flag", place: { cv: 216, bit: 1 } } }))).toEqual([
      'features: CV 216 bit 1: "rear" and "both" both own the same bits',
    ]);
  });

  test("must be among those that there are", () => {
    expect(issues(read(["steam", "light"], {}))).toEqual([
      'parts.1: "light" is not an option; the options are "lights", "steam", "more"; nearest: "lights"',
    ]);
    expect(issues(read(["toString"], {}))).toEqual([
      'parts.0: "toString" is not an option; the options are "lights", "steam", "more"',
    ]);
    expect(issues(read(["lights"], {}, {}))).toEqual(['parts.0: there is no part "lights" here']);
  });

  test("may be those of the standard", () => {
    const result = read(["locomotive"], { lamp }, { locomotive });
    expect(Object.keys(result.value?.features ?? {})).toEqual([...Object.keys(locomotive), "lamp"]);
    expect(issues(read(["locomotive"], { address: lamp }, { locomotive }))).toEqual([
      'features.address: the part "locomotive" has a feature of this name already',
    ]);
  });
});
