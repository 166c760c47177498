// What is mutated, and with which tests: for each folder of src the test files that are likely to notice, the
// slow ones (growth, random runs of whole sessions, a browser, processes) and those of other subjects left out.

/**
 * Names of files under tests, without `.test.ts`; a folder stands for all its test files but the slow ones, and
 * `file#words` for the tests of a file whose titles begin with the words.
 */
export const folders = {
  cv: ["cv", "codec/stored", "codec/vectors", "door/exports#cvset."],
  codec: ["codec", "testing/testing", "door/exports#cvset."],
  decoder: [
    "decoder",
    "check/description-rules",
    "codec/data",
    "codec/forms",
    "codec/define-codec",
    "codec/derived",
    "codec/standard-schema",
    "codec/wrapper",
    "door/exports#cvset.",
  ],
  standard: ["standard"],
  plan: ["plan", "standard/s923-side-effects"],
  check: ["check"],
  motion: ["motion"],
  files: ["files"],
  packets: ["packets", "plan/sequences-and-estimates"],
  simulator: ["simulator"],
  connection: ["connection"],
  meaning: ["meaning", "door/exports#meaning."],
  sheet: ["sheet"],
  testing: ["testing"],
  // Those that run the command in their own process. The others (console, journey, large, process, completion, demo)
  // start processes of the build, which has no mutants in it, or are about very large files. Never cli/devices: with a
  // mutant in how files are written it puts a file in the place of /dev/null, where the user may do so.
  cli: [
    "cli/golden",
    "cli/output",
    "cli/help",
    "cli/write-files",
    "cli/usage",
    "cli/verbs",
    "cli/process-streams",
    "cli/hostile",
    "cli/writing",
    "cli/plug-in",
    "cli/explain",
    "cli/plan-and-verify",
    "cli/sheet",
    "cli/translate",
    "cli/check",
    "cli/new-and-set",
    "cli/curve-and-match",
    "cli/every-file",
  ],
};

/** Left out: too slow for a run per mutant, or they start processes of the build, which has no mutants in it. */
export const left = new Set([
  "cv/fault-codes",
  "files/fuzz",
  "files/growth",
  "motion/bench",
  "plan/described",
  "plan/end-to-end",
  "plan/order-in-words",
  "plan/patches",
  "sheet/browser",
]);

/** Titles of tests that are left out: they look at very large inputs, at how work grows, or at hundreds of motors and curves. */
export const leftTests =
  /in proportion|very many|growth|take time|huge|every code point|50 MB|however long|hundred thousand|time that grows|run within 2 %|as papaparse does|search through all|draws curves/;
