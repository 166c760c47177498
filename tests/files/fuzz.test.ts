import { expect, test } from "vitest";
import { fuzzFiles } from "../fuzz/files.js";

test("mutated and random files: a small part of what tests/fuzz/run.mjs tries", async () => {
  await expect(fuzzFiles(4000, 7)).resolves.toBe(undefined);
});
