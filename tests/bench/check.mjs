// The time to check a fleet of 1,000 and of 10,000 locomotives of 100 CVs each, in one run, for each set. Both
// are the same when the time grows in proportion. Needs a build: npm run build.
// node tests/bench/check.mjs [--gate]   (--gate fails when a set of the large fleet takes 1.25 times as long)

import { checkFleet } from "../../dist/check.js";
import { CvSet, cv, defineDecoder, flag } from "../../dist/index.js";
import { locomotive } from "../../dist/standard.js";

const decoder = defineDecoder({
  id: "bench-b1",
  name: "Bench B1",
  kind: "multifunction",
  // 40 CVs for the maker's own flags.
  features: {
    ...locomotive,
    ...Object.fromEntries(Array.from({ length: 40 }, (_, i) => [`own${i}`, flag(cv(112 + i).bit(0))])),
  },
  rules: [
    { rule: "outputs", outputs: Array.from({ length: 14 }, (_, i) => i + 1) },
    {
      rule: "needs",
      name: "one-needs-two",
      when: { path: "own1", is: true },
      needs: { path: "own2", is: true },
    },
  ],
});

const outputs = [1, 2, 4, 8, 16, 4, 8, 16, 32, 64, 16, 32, 64, 128];

/** A locomotive of exactly 100 CVs. Every tenth has a finding; the extended addresses differ. */
function member(i) {
  const map = {
    1: 3,
    2: 6,
    3: 10,
    4: 8,
    5: 220,
    6: 90,
    15: 1,
    16: 1,
    19: 0,
    21: 0,
    22: 0,
    23: 0,
    24: 0,
    29: 50,
  };
  const address = 128 + (i % 10_000);
  map[17] = 192 + (address >> 8);
  map[18] = address & 255;
  map[66] = 128;
  map[95] = 128;
  outputs.forEach((value, n) => {
    map[33 + n] = value;
  });
  for (let n = 0; n < 28; n++) map[67 + n] = 4 + 9 * n;
  if (i % 10 === 0) map[80] = 1;
  for (let n = 0; Object.keys(map).length < 100; n++) map[112 + n] = n === 1 ? 0 : 1;
  return { file: `locomotives/${i}.json`, cvs: CvSet.from(map), decoder };
}

const members = Array.from({ length: 10_000 }, (_, i) => member(i));

/** Microseconds a set, and findings, of all 10,000 sets in fleets of one size, so that the work is the same. */
async function pass(size) {
  let findings = 0;
  const start = performance.now();
  for (let from = 0; from < members.length; from += size) {
    for await (const _ of checkFleet(members.slice(from, from + size))) findings++;
  }
  return {
    micros: ((performance.now() - start) * 1000) / members.length,
    findings: (findings * size) / members.length,
  };
}

const sizes = [1000, 10_000];
const best = new Map(sizes.map((size) => [size, Number.POSITIVE_INFINITY]));
const found = new Map();
for (const size of sizes) await pass(size);
for (let round = 0; round < 5; round++) {
  for (const size of sizes) {
    const { micros, findings } = await pass(size);
    best.set(size, Math.min(best.get(size), micros));
    found.set(size, findings);
  }
}
for (const size of sizes) {
  console.log(
    `${String(size).padStart(6)} sets of 100 CVs: ${best.get(size).toFixed(1)} us a set, ` +
      `${((best.get(size) * size) / 1000).toFixed(0)} ms in all, ${found.get(size)} findings`,
  );
}
const ratio = best.get(10_000) / best.get(1000);
console.log(`a set in 10,000 costs ${ratio.toFixed(2)} times one in 1,000 (1.00: time in proportion)`);
if (process.argv.includes("--gate") && ratio > 1.25) process.exitCode = 1;
