import fc from "fast-check";
import { afterAll } from "vitest";
import { removeFolders } from "./support/folders.js";

// One seed for every run, so that CI and a desk see the same cases; CVSET_SEED tries another, and
// fast-check prints the seed and the counterexample of a failure.
const seed = Number(process.env.CVSET_SEED ?? 20_120_713);
const numRuns = Number(process.env.CVSET_RUNS ?? 100);
fc.configureGlobal({ seed, numRuns });

afterAll(removeFolders);
