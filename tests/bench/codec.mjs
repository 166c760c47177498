// How fast decoding, encoding and validating are, next to code written by hand for the same job. Only
// ratios count: both run in turns in one process, and each ratio is the median of several processes.
//
//   npm run build && node tests/bench/codec.mjs [WORD]   prints the ratios (of the rows with that word)
//   npm run build && node tests/bench/codec.mjs --gate   and exits 1 when one is over its target + 25 %
//
// CVSET_DIST names the folder of another build, CVSET_PROCESSES how many processes each ratio takes (7).
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { random } from "./hand/common.mjs";
import { validate } from "./hand/cv-map.mjs";
import * as nmraByHand from "./hand/nmra.mjs";
import * as plainByHand from "./hand/plain.mjs";
import { randomImage } from "./hand/plain.mjs";
import * as quillbackByHand from "./hand/quillback.mjs";
import { inputs, maps, outcome, plainDecoder, setOf as setIn, withOneWrong } from "./jobs.mjs";
import { measure, median } from "./measure.mjs";

const processes = Number(process.env.CVSET_PROCESSES ?? 7);
const slack = 1.25;

const dist = process.env.CVSET_DIST
  ? pathToFileURL(`${process.env.CVSET_DIST}/`)
  : new URL("../../dist/", import.meta.url);
// The standard's decoders are made when this is loaded, as in every program that uses them.
const { nmra } = await import(new URL("standard.js", dist));
const cvset = await import(new URL("index.js", dist));
const { CvSet, decoderFromJson } = cvset;
const plain = (n) => plainDecoder(cvset, n);
const setOf = (image) => setIn(CvSet, image);

// --- The decoders -------------------------------------------------------------------------------------

const quillback = () =>
  decoderFromJson(
    JSON.parse(readFileSync(new URL("../../docs/examples/quillback-s8.json", import.meta.url))),
  );

// --- Inputs -------------------------------------------------------------------------------------------

/** How many random images show that both read and write the same. */
const proofs = 300;

/** Decodes and encodes six other decoders for a while, so that the compiler has seen other work than this. */
function six() {
  for (let n = 1; n <= 6; n++) {
    const decoder = plain(n * 3);
    const sets = Array.from({ length: inputs }, (_, i) => setOf(moved(randomImage(i + 100), n * 3)));
    for (let i = 0; i < 20_000; i++) {
      const set = sets[i % inputs];
      const settings = decoder.decode(set);
      if (i % 10 === 0) decoder.encode(settings, set);
    }
  }
}

/** An image with all bytes a few CVs further up. */
function moved({ main, pages }, n) {
  const bytes = new Uint8Array(1025);
  bytes.set(main.subarray(1, 1025 - n), 1 + n);
  return { main: bytes, pages };
}

// --- Proofs: both give the same -----------------------------------------------------------------------

/**
 * Both decode the same, write it back the same into other CVs, and refuse the same: random images, and
 * images of which one byte is anything.
 */
function prove(decoder, hand) {
  for (let seed = 0; seed < proofs; seed++) {
    const image = hand.randomImage(seed);
    const settings = hand.decode(image);
    assert.deepEqual(decoder.decode(setOf(image)), settings);
    const other = hand.randomImage(seed + proofs);
    const after = decoder.encode(settings, setOf(other));
    hand.encode(other, settings);
    assert.ok(after.equals(setOf(other)));
    const next = random(seed);
    const broken = hand.copy(image);
    const bytes = [broken.main, ...Object.values(broken.pages)][next(1 + Object.keys(broken.pages).length)];
    for (let i = 0; i < 40; i++) bytes[1 + next(bytes.length - 1)] = next(256);
    assert.deepEqual(
      outcome(() => decoder.decode(setOf(broken))),
      outcome(() => hand.decode(broken)),
    );
    const wrong = withOneWrong(settings, next);
    assert.equal(
      outcome(() => decoder.encode(wrong, setOf(image))) === "threw",
      outcome(() => hand.encode(hand.copy(image), wrong)) === "threw",
      JSON.stringify(wrong),
    );
  }
}

// --- The contenders: each gives two functions that do the same ------------------------------------------

const decoding = (make, hand) => () => {
  const decoder = make();
  prove(decoder, hand);
  const images = Array.from({ length: inputs }, (_, i) => hand.randomImage(i));
  const sets = images.map(setOf);
  return [
    (i) => hand.use(hand.decode(images[i % inputs])),
    (i) => hand.use(decoder.decode(sets[i % inputs])),
  ];
};

/** Into a new set: both copy the CVs of the base first. */
const encoding = (make, hand) => () => {
  const decoder = make();
  prove(decoder, hand);
  const settings = Array.from({ length: inputs }, (_, i) => hand.decode(hand.randomImage(i)));
  const bytes = hand.randomImage(99);
  const base = setOf(bytes);
  return [
    (i) => {
      const copy = hand.copy(bytes);
      hand.encode(copy, settings[i % inputs]);
      return copy.main[29];
    },
    (i) => decoder.encode(settings[i % inputs], base).get(29),
  ];
};

const validating = (count) => () => {
  const all = maps(count);
  for (const map of all) {
    const hand = validate(map);
    const result = CvSet.tryFrom(map);
    assert.equal(result.ok, hand.ok);
    if (hand.ok) {
      const known = [...hand.bytes].flatMap((byte, n) => (byte < 0 ? [] : [[String(n), byte]]));
      assert.deepEqual([...result.value], known);
    } else assert.equal(result.issues.length, hand.problems.length);
  }
  return [(i) => validate(all[i % inputs]).ok, (i) => CvSet.tryFrom(all[i % inputs]).ok];
};

/** Against ajv, which only checks and builds nothing. */
const againstAjv = (count) => async () => {
  const { default: Ajv } = await import("ajv/dist/2020.js");
  const check = new Ajv({ allErrors: true }).compile({
    type: "object",
    patternProperties: {
      "^([1-9]\\d{0,2}|10[01]\\d|102[0-4])$": { type: "integer", minimum: 0, maximum: 255 },
    },
    additionalProperties: false,
  });
  const all = maps(count);
  for (const map of all) assert.equal(check(map), CvSet.tryFrom(map).ok);
  return [(i) => check(all[i % inputs]), (i) => CvSet.tryFrom(all[i % inputs]).ok];
};

const after = (contender) => () => {
  six();
  return contender();
};

const contenders = {
  "Quillback S8: decode": { make: decoding(quillback, quillbackByHand), target: 3 },
  "Quillback S8: decode, after six other decoders": {
    make: after(decoding(quillback, quillbackByHand)),
    target: 3,
  },
  "Quillback S8: encode": { make: encoding(quillback, quillbackByHand), target: 3 },
  "Quillback S8: encode, after six other decoders": {
    make: after(encoding(quillback, quillbackByHand)),
    target: 3,
  },
  "nmra: decode": { make: decoding(() => nmra, nmraByHand), target: 3 },
  "nmra: encode": { make: encoding(() => nmra, nmraByHand), target: 3 },
  "plain job: decode": { make: decoding(plain, plainByHand), target: 3 },
  "plain job: decode, after six other decoders": { make: after(decoding(plain, plainByHand)), target: 3 },
  "plain job: encode": { make: encoding(plain, plainByHand), target: 3 },
  "plain job: encode, after six other decoders": { make: after(encoding(plain, plainByHand)), target: 3 },
  "validate 40 CVs": { make: validating(40), target: 1.3 },
  "validate 40 CVs, after six other decoders": { make: after(validating(40)), target: 1.3 },
  "validate 1,024 CVs": { make: validating(1024), target: 1.3 },
  "validate 1,024 CVs, after six other decoders": { make: after(validating(1024)), target: 1.3 },
  "validate 40 CVs, x ajv": { make: againstAjv(40), target: 0.5 },
  "validate 1,024 CVs, x ajv": { make: againstAjv(1024), target: 0.5 },
};

// --- Measuring ------------------------------------------------------------------------------------------

const child = process.argv.indexOf("--child");
if (child > 0) {
  // What two large objects differ in fills pages.
  process.on("uncaughtException", ({ message }) => {
    console.error(message.slice(0, 1500));
    process.exit(1);
  });
  const result = measure(await contenders[process.argv[child + 1]].make());
  console.log(JSON.stringify(result));
} else {
  const only = process.argv[2]?.startsWith("--") ? undefined : process.argv[2];
  let over = 0;
  for (const [name, { target }] of Object.entries(contenders)) {
    if (only && !name.includes(only)) continue;
    const results = Array.from({ length: processes }, () => {
      const args = [new URL(import.meta.url).pathname, "--child", name];
      return JSON.parse(
        execFileSync(process.execPath, args, { encoding: "utf8", stdio: ["ignore", "pipe", "inherit"] }),
      );
    });
    const [ratio, hand, ours] = ["ratio", "hand", "ours"].map((key) =>
      median(results.map((one) => one[key])),
    );
    const isOver = ratio > target * slack;
    if (isOver) over++;
    const times = `(${hand.toFixed(0)} ns, ${ours.toFixed(0)} ns)`;
    console.log(`${name}: ${ratio.toFixed(2)} x, target ${target} x${isOver ? ", OVER" : ""} ${times}`);
  }
  if (over && process.argv.includes("--gate")) {
    console.error(`${over} over the target + 25 %`);
    process.exitCode = 1;
  }
}
