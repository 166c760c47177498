// The plain job and the checking of an untrusted map of CVs, done with general-purpose libraries, with this package and
// by hand. All give equal results, which is proved first. Only ratios to the code by hand count: each contender runs in
// a process of its own, in turns with that code, and its ratio is the median of several processes.
//
//   npm run build && node tests/bench/peers.mjs [--json] [WORD]   the table of docs/benchmarks.md (rows with the word)
//   node tests/bench/peers.mjs --prove                            only that the results are equal
//
// CVSET_PROCESSES is how many processes each ratio takes (5).
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { cpus } from "node:os";
import { fileURLToPath } from "node:url";
import * as cvset from "../../dist/index.js";
import { random } from "./hand/common.mjs";
import { validate } from "./hand/cv-map.mjs";
import * as hand from "./hand/plain.mjs";
import { inputs, maps, outcome, plainDecoder, setOf, withOneWrong } from "./jobs.mjs";
import { measure, median } from "./measure.mjs";
import * as codecs from "./peers/codecs.mjs";
import * as validators from "./peers/validators.mjs";

const processes = Number(process.env.CVSET_PROCESSES ?? 5);
const { CvSet } = cvset;
const decoder = plainDecoder(cvset);

// --- The codecs -----------------------------------------------------------------------------------------

/** How many random images show that all read and write the same. */
const proofs = 300;

/** This package, with the face of the others: from an image to settings, and from settings into a copy of an image. */
const ours = {
  prepare: (image) => setOf(CvSet, image),
  decode: (set) => decoder.decode(set),
  encode: (settings, set) => decoder.encode(settings, set),
  bytesOf: (set) => Array.from({ length: 1024 }, (_, i) => set.get(i + 1)),
  first: (set) => set.get(49),
};
const peer = ({ decode, encode }) => ({
  prepare: (image) => image,
  decode,
  encode(settings, image) {
    const copy = hand.copy(image);
    encode(copy, settings);
    return copy;
  },
  bytesOf: ({ main }) => [...main.subarray(1)],
  first: ({ main }) => main[49],
});
const byHand = peer(hand);

/** An image in which any bytes may have changed. */
function broken(seed) {
  const next = random(seed);
  const image = hand.copy(hand.randomImage(seed));
  for (const cv of [128, 150, 151, 152]) if (next(3) === 0) image.main[cv] = next(256);
  return image;
}

/** Reads the same, and refuses the same images. */
function proveDecoding({ prepare, decode }) {
  let refused = 0;
  for (let seed = 0; seed < proofs; seed++) {
    for (const image of [hand.randomImage(seed), broken(seed)]) {
      const wanted = outcome(() => hand.decode(image));
      // As text, since some libraries leave hidden things on their results.
      assert.deepEqual(
        outcome(() => ordered(decode(prepare(image)))),
        wanted,
      );
      if (wanted === "threw") refused++;
    }
  }
  assert.ok(refused > proofs / 10);
}

/** The settings without what is not enumerable, with plain prototypes. */
const ordered = (settings) => JSON.parse(JSON.stringify(settings));

/** Writes the same bytes, and refuses the same settings. */
function proveEncoding({ prepare, encode, bytesOf }) {
  let refused = 0;
  for (let seed = 0; seed < proofs; seed++) {
    const settings = hand.decode(hand.randomImage(seed));
    const image = hand.randomImage(seed + proofs);
    for (const wanted of [settings, withOneWrong(settings, random(seed))]) {
      const byte = outcome(() => byHand.bytesOf(byHand.encode(wanted, image)));
      const found = outcome(() => bytesOf(encode(wanted, prepare(image))));
      assert.deepEqual(found, byte, JSON.stringify(wanted));
      if (byte === "threw") refused++;
    }
  }
  assert.ok(refused > proofs / 10);
}

const decoding = (contender) => () => {
  proveDecoding(contender);
  const images = Array.from({ length: inputs }, (_, i) => hand.randomImage(i));
  const prepared = images.map(contender.prepare);
  return [
    (i) => hand.use(hand.decode(images[i % inputs])),
    (i) => hand.use(contender.decode(prepared[i % inputs])),
  ];
};

const encoding = (contender) => () => {
  proveEncoding(contender);
  const settings = Array.from({ length: inputs }, (_, i) => hand.decode(hand.randomImage(i)));
  const base = hand.randomImage(99);
  const prepared = contender.prepare(base);
  return [
    (i) => byHand.first(byHand.encode(settings[i % inputs], base)),
    (i) => contender.first(contender.encode(settings[i % inputs], prepared)),
  ];
};

// --- The validators -------------------------------------------------------------------------------------

const ourValidator = {
  validate: (map) => CvSet.tryFrom(map),
  entryOf: ({ places, params }) => String(places?.[0]?.cv ?? params.name ?? params.found),
  values: (set) => set.toJSON(),
};

/** Finds the same entries wrong, and gives the same values. */
function proveValidating({ validate: check, entryOf, values = (value) => value }, count) {
  let refused = 0;
  for (const map of maps(count)) {
    const wanted = validate(map);
    const found = check(map);
    assert.equal(found.ok, wanted.ok);
    if (found.ok) {
      assert.deepEqual({ ...values(found.value) }, map);
      continue;
    }
    refused++;
    const entries = (list, of) => [...new Set(list.map(of))].sort();
    const known = entries(wanted.problems, ({ cv, found: name }) => cv ?? name);
    assert.deepEqual(entries(found.problems ?? found.issues, entryOf), known);
  }
  assert.ok(refused > 0);
}

const validating = (count, contender) => () => {
  proveValidating(contender, count);
  const all = maps(count);
  return [(i) => validate(all[i % inputs]).ok, (i) => contender.validate(all[i % inputs]).ok];
};

// --- The contenders -------------------------------------------------------------------------------------

const binary = {
  cvset: ours,
  "binary-parser": peer(codecs.binaryParser),
  "typed-binary": peer(codecs.typedBinary),
  "micro-packed": peer(codecs.microPacked),
  restructure: peer(codecs.restructure),
};
const checking = { cvset: ourValidator, ...validators };

const contenders = [
  ...Object.entries(binary).map(([name, one]) => ({ job: "decode", name, make: decoding(one) })),
  // binary-parser does not write.
  ...Object.entries(binary)
    .filter(([name]) => name !== "binary-parser")
    .map(([name, one]) => ({ job: "encode", name, make: encoding(one) })),
  ...[40, 1024].flatMap((count) =>
    Object.entries(checking).map(([name, one]) => ({
      job: `validate ${count} CVs`,
      name,
      make: validating(count, one),
    })),
  ),
];

// --- Running them ---------------------------------------------------------------------------------------

const versionOf = (name) => {
  const path = name === "cvset" ? "../../package.json" : `../../node_modules/${name}/package.json`;
  return JSON.parse(readFileSync(new URL(path, import.meta.url), "utf8")).version;
};

const child = process.argv.indexOf("--child");
if (child > 0) {
  console.log(JSON.stringify(measure(contenders[Number(process.argv[child + 1])].make(), 40)));
} else if (process.argv.includes("--prove")) {
  for (const { make } of contenders) make();
  console.log(`${contenders.length} contenders give equal results`);
} else {
  const word = process.argv.slice(2).find((one) => !one.startsWith("--")) ?? "";
  const chosen = contenders.flatMap((one, index) =>
    `${one.job}, ${one.name}`.includes(word) ? [{ ...one, index }] : [],
  );
  const results = chosen.map(({ job, name, index }) => {
    const runs = Array.from({ length: processes }, () => {
      const args = [fileURLToPath(import.meta.url), "--child", String(index)];
      const stdio = ["ignore", "pipe", "inherit"];
      return JSON.parse(execFileSync(process.execPath, args, { encoding: "utf8", stdio }));
    });
    const [ratio, byHandTime, time] = ["ratio", "hand", "ours"].map((key) =>
      median(runs.map((one) => one[key])),
    );
    return { job, name, version: versionOf(name), ratio, nanoseconds: time, byHand: byHandTime };
  });
  const machine = {
    node: process.version,
    processor: cpus()[0]?.model.trim(),
    cores: cpus().length,
    processes,
  };
  if (process.argv.includes("--json")) console.log(JSON.stringify({ machine, results }, null, 2));
  else {
    console.log(
      `Node ${machine.node.slice(1)}, ${machine.processor}, ${machine.cores} cores; median of ${processes} processes\n`,
    );
    console.log("| job | library | x by hand | a call |\n|---|---|---|---|");
    for (const { job, name, version, ratio, nanoseconds } of results)
      console.log(
        `| ${job} | ${name} ${version} | ${ratio.toFixed(1)} | ${(nanoseconds / 1000).toFixed(2)} us |`,
      );
  }
}
