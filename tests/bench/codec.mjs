// How fast decoding, encoding and validating are, next to code written by hand for the same job. Only
// ratios count: both run in turns in one process, and each ratio is the median of seven processes.
//
//   npx tsup && node tests/bench/codec.mjs          prints the ratios
//   npx tsup && node tests/bench/codec.mjs --gate   and exits 1 when one is over its target + 25 %
//
// CVSET_DIST names the folder of another build.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { pathToFileURL } from "node:url";

const processes = 7;
const slack = 1.25;

const dist = process.env.CVSET_DIST
  ? pathToFileURL(`${process.env.CVSET_DIST}/index.js`)
  : new URL("../../dist/index.js", import.meta.url);
const { choice, cv, CvSet, defineDecoder, flag, level, record, table } = await import(dist);

// --- The job: 15 features over 1,024 CVs ------------------------------------------------------------

const shades = ["dark", "dim", "half", "bright"];
const kinds = { none: 0, plain: 2, deep: 3, long: 6, short: 9 };

/** The job as a decoder; `n` moves names and CVs, so that each is another one. */
function decoderOf(n) {
  const at = (cvNumber) => cv(cvNumber + n);
  const name = (text) => (n ? `${text}${n}` : text);
  const flags = Array.from({ length: 8 }, (_, bit) => [name(`flag${bit}`), flag(at(49).bit(bit))]);
  return defineDecoder({
    id: `bench-${n}`,
    name: "Bench",
    kind: "multifunction",
    features: {
      [name("start")]: level(at(102)),
      [name("up")]: level(at(103)),
      [name("down")]: level(at(104)),
      [name("top")]: level(at(105)),
      [name("middle")]: level(at(106)),
      [name("volume")]: level(at(150).bits(0, 2)),
      [name("reverb")]: level(at(150).bits(3, 7), { max: 20 }),
      [name("delay")]: level(at(151), { min: 1, max: 200, unit: "s" }),
      [name("whistle")]: choice(at(141), kinds),
      [name("shade")]: choice(at(152).bits(2, 3), { dark: 0, dim: 1, half: 2, bright: 3 }),
      [name("address")]: level(at(217).bits(0, 5).with(at(218))),
      [name("consist")]: record({
        [name("number")]: level(at(219).bits(0, 6)),
        [name("reversed")]: flag(at(219).bit(7)),
      }),
      [name("flags")]: record(Object.fromEntries(flags)),
      [name("outputs")]: table(at(433).through(446 + n)),
      [name("speeds")]: table(at(567).through(594 + n)),
    },
  });
}

// --- The same by hand -------------------------------------------------------------------------------

const whistleNames = ["none", undefined, "plain", "deep", undefined, undefined, "long", undefined, undefined];
whistleNames[9] = "short";

function bad(text) {
  throw new RangeError(text);
}

function handDecode(b) {
  const reverb = b[150] >> 3;
  if (reverb > 20) bad("reverb");
  const delay = b[151];
  if (delay < 1 || delay > 200) bad("delay");
  const whistle = whistleNames[b[141]];
  if (whistle === undefined) bad("whistle");
  const f = b[49];
  // biome-ignore format: as short as it would be by hand
  return {
    start: b[102], up: b[103], down: b[104], top: b[105], middle: b[106],
    volume: b[150] & 7, reverb, delay, whistle, shade: shades[(b[152] >> 2) & 3],
    address: ((b[217] & 63) << 8) | b[218],
    consist: { number: b[219] & 127, reversed: (b[219] & 128) !== 0 },
    flags: {
      flag0: (f & 1) !== 0, flag1: (f & 2) !== 0, flag2: (f & 4) !== 0, flag3: (f & 8) !== 0,
      flag4: (f & 16) !== 0, flag5: (f & 32) !== 0, flag6: (f & 64) !== 0, flag7: (f & 128) !== 0,
    },
    outputs: [
      b[433], b[434], b[435], b[436], b[437], b[438], b[439],
      b[440], b[441], b[442], b[443], b[444], b[445], b[446],
    ],
    speeds: [
      b[567], b[568], b[569], b[570], b[571], b[572], b[573], b[574], b[575], b[576], b[577], b[578], b[579], b[580],
      b[581], b[582], b[583], b[584], b[585], b[586], b[587], b[588], b[589], b[590], b[591], b[592], b[593], b[594],
    ],
  };
}

function ranged(value, min, max) {
  if (typeof value !== "number" || (value | 0) !== value || value < min || value > max) bad(`${value}`);
  return value;
}
function bit(value, mask) {
  if (typeof value !== "boolean") bad(`${value}`);
  return value ? mask : 0;
}
const whistleNumbers = new Map(Object.entries(kinds));
const shadeNumbers = new Map(shades.map((name, i) => [name, i]));

function handEncode(b, s) {
  b[102] = ranged(s.start, 0, 255);
  b[103] = ranged(s.up, 0, 255);
  b[104] = ranged(s.down, 0, 255);
  b[105] = ranged(s.top, 0, 255);
  b[106] = ranged(s.middle, 0, 255);
  b[150] = ranged(s.volume, 0, 7) | (ranged(s.reverb, 0, 20) << 3);
  b[151] = ranged(s.delay, 1, 200);
  b[141] = whistleNumbers.get(s.whistle) ?? bad("whistle");
  b[152] = (b[152] & ~12) | ((shadeNumbers.get(s.shade) ?? bad("shade")) << 2);
  const address = ranged(s.address, 0, 16383);
  b[217] = (b[217] & 192) | (address >> 8);
  b[218] = address & 255;
  b[219] = ranged(s.consist.number, 0, 127) | bit(s.consist.reversed, 128);
  const f = s.flags;
  b[49] =
    bit(f.flag0, 1) |
    bit(f.flag1, 2) |
    bit(f.flag2, 4) |
    bit(f.flag3, 8) |
    bit(f.flag4, 16) |
    bit(f.flag5, 32) |
    bit(f.flag6, 64) |
    bit(f.flag7, 128);
  if (s.outputs.length !== 14) bad("outputs");
  for (let i = 0; i < 14; i++) b[433 + i] = ranged(s.outputs[i], 0, 255);
  if (s.speeds.length !== 28) bad("speeds");
  for (let i = 0; i < 28; i++) b[567 + i] = ranged(s.speeds[i], 0, 255);
}

/** Everything that is wrong with a map of CVs, or the bytes that it holds. */
function handValidate(map) {
  const bytes = new Int16Array(1025).fill(-1);
  const problems = [];
  for (const name of Object.keys(map)) {
    const value = map[name];
    let number = 0;
    for (let i = 0; i < name.length; i++) {
      const digit = name.charCodeAt(i) - 48;
      if (digit < 0 || digit > 9 || (number === 0 && digit === 0)) {
        number = 0;
        break;
      }
      number = number * 10 + digit;
      if (number > 1024) break;
    }
    if (number < 1 || number > 1024) problems.push({ code: "cv", found: name });
    else if (typeof value !== "number" || (value | 0) !== value || value < 0 || value > 255) {
      problems.push({ code: "byte", cv: name, found: value });
    } else bytes[number] = value;
  }
  return problems.length ? { ok: false, problems } : { ok: true, bytes };
}

// --- Inputs ---------------------------------------------------------------------------------------

function random(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** 1,024 bytes of which the job's features, moved by `n`, can be read. */
function bytesOf(seed, n = 0) {
  const next = random(seed);
  const bytes = new Uint8Array(1025);
  for (let i = 1; i <= 1024; i++) bytes[i] = next(256);
  const values = Object.values(kinds);
  bytes[141 + n] = values[next(values.length)];
  bytes[150 + n] = next(8) | (next(21) << 3);
  bytes[151 + n] = 1 + next(200);
  return bytes;
}

const setOf = (bytes) => CvSet.from([...bytes].map((byte, i) => [i, byte]).slice(1));
const inputs = 16;
const six = () => {
  for (let n = 1; n <= 6; n++) {
    const decoder = decoderOf(n * 3);
    const sets = Array.from({ length: inputs }, (_, i) => setOf(bytesOf(i + 100, n * 3)));
    for (let i = 0; i < 20_000; i++) {
      const set = sets[i % inputs];
      const settings = decoder.decode(set);
      if (i % 10 === 0) decoder.encodeInto(set.image(), settings);
    }
  }
};

// --- The contenders: each gives two functions that do the same --------------------------------------

const decoding = () => {
  const decoder = decoderOf(0);
  const bytes = Array.from({ length: inputs }, (_, i) => bytesOf(i));
  const sets = bytes.map(setOf);
  for (let i = 0; i < inputs; i++) assert.deepEqual(decoder.decode(sets[i]), handDecode(bytes[i]));
  const use = (s) => s.start + s.address + s.speeds[27] + s.outputs[3] + (s.flags.flag7 ? 1 : 0);
  return [(i) => use(handDecode(bytes[i % inputs])), (i) => use(decoder.decode(sets[i % inputs]))];
};

const encoding = () => {
  const decoder = decoderOf(0);
  const settings = Array.from({ length: inputs }, (_, i) => handDecode(bytesOf(i)));
  const bytes = bytesOf(99);
  const image = setOf(bytes).image();
  for (const one of settings) {
    handEncode(bytes, one);
    decoder.encodeInto(image, one);
    assert.deepEqual([...bytes.subarray(1)], [...image.bytes.subarray(1)]);
  }
  return [
    (i) => {
      handEncode(bytes, settings[i % inputs]);
      return bytes[102];
    },
    (i) => {
      decoder.encodeInto(image, settings[i % inputs]);
      return image.bytes[102];
    },
  ];
};

/** Maps of some CVs; one in eight has something wrong. */
function maps(count) {
  return Array.from({ length: inputs }, (_, n) => {
    const next = random(n);
    const map = {};
    for (let i = 0; i < count; i++) map[count === 1024 ? i + 1 : 1 + next(1024)] = next(256);
    if (n % 8 === 7) Object.assign(map, { 29: 256, 1025: 0, x: 1, 30: "7" });
    return map;
  });
}

const validating = (count) => () => {
  const all = maps(count);
  for (const map of all) {
    const hand = handValidate(map);
    const result = CvSet.tryFrom(map);
    assert.equal(result.ok, hand.ok);
    if (hand.ok) assert.deepEqual([...hand.bytes], [...result.value.image().bytes.with(0, -1)]);
    else {
      assert.deepEqual(
        result.issues.map(({ code, found }) => ({ code, found })),
        hand.problems.map(({ code, found }) => ({ code, found })),
      );
    }
  }
  return [(i) => handValidate(all[i % inputs]).ok, (i) => CvSet.tryFrom(all[i % inputs]).ok];
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
  "decode, alone": { make: decoding, target: 2.5 },
  "decode, after six other decoders": { make: after(decoding), target: 3 },
  "encode, alone": { make: encoding, target: 2 },
  "encode, after six other decoders": { make: after(encoding), target: 2 },
  "validate 40 CVs": { make: validating(40), target: 1.3 },
  "validate 40 CVs, after six other decoders": { make: after(validating(40)), target: 1.3 },
  "validate 1,024 CVs": { make: validating(1024), target: 1.3 },
  "validate 1,024 CVs, after six other decoders": { make: after(validating(1024)), target: 1.3 },
  "validate 40 CVs, x ajv": { make: againstAjv(40), target: 0.5 },
  "validate 1,024 CVs, x ajv": { make: againstAjv(1024), target: 0.5 },
};

// --- Measuring ------------------------------------------------------------------------------------

const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];
let sink = 0;

function nanoseconds(run, count) {
  const start = process.hrtime.bigint();
  for (let i = 0; i < count; i++) sink += Number(run(i));
  return Number(process.hrtime.bigint() - start) / count;
}

/** The best time of each, both run in turns and in short spells, so that a busy machine matters little. */
function measure([hand, ours]) {
  const count = (run) => {
    // Long enough for the compiler, which works beside it.
    const end = performance.now() + 300;
    let n = 64;
    while (performance.now() < end) if (nanoseconds(run, n) * n < 1e6) n *= 2;
    return n;
  };
  const [handCount, ourCount] = [count(hand), count(ours)];
  let [bestHand, bestOurs] = [Infinity, Infinity];
  for (let i = 0; i < 60; i++) {
    bestHand = Math.min(bestHand, nanoseconds(hand, handCount));
    bestOurs = Math.min(bestOurs, nanoseconds(ours, ourCount));
  }
  return { hand: bestHand, ours: bestOurs, ratio: bestOurs / bestHand };
}

const child = process.argv.indexOf("--child");
if (child > 0) {
  const result = measure(await contenders[process.argv[child + 1]].make());
  assert.ok(Number.isFinite(sink));
  console.log(JSON.stringify(result));
} else {
  const only = process.argv[2]?.startsWith("--") ? undefined : process.argv[2];
  let over = 0;
  for (const [name, { target }] of Object.entries(contenders)) {
    if (only && !name.includes(only)) continue;
    const results = Array.from({ length: processes }, () => {
      const args = [new URL(import.meta.url).pathname, "--child", name];
      return JSON.parse(execFileSync(process.execPath, args, { encoding: "utf8" }));
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
