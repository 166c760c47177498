import { expect, test } from "vitest";
import { fuzzValues } from "./fuzz/values.js";

test("mutated values of every kind: a small part of what tests/fuzz/run.mjs tries", () => {
  expect(() => fuzzValues(3000, 7)).not.toThrow();
});
