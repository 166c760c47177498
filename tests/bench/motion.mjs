// Speed of the motion routines against the least that hand-written code needs, and against d3-shape, in one
// run. Only the ratios mean anything. Run it on the built package: node tests/bench/motion.mjs
import { fileURLToPath } from "node:url";
import { curveMonotoneX } from "d3-shape";
import { build } from "esbuild";
import { estimateResponse, matchSpeeds, targetSpeeds } from "../../dist/motion.js";

/** Functions that are inside of the package: taken from the sources. */
async function inside(file) {
  const path = fileURLToPath(new URL(`../../src/motion/${file}`, import.meta.url));
  const { outputFiles } = await build({ entryPoints: [path], bundle: true, format: "esm", write: false });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].contents).toString("base64")}`);
}
const { isotonic } = await inside("isotonic.ts");
const { monotoneCubic } = await inside("monotone.ts");

const warming = 20;
let sink = 0;

/** The median time of one call, in microseconds, of each contender; they take turns, so that none has a quieter machine. */
function race(contenders, calls, rounds) {
  const times = contenders.map(() => []);
  for (let round = 0; round < rounds + warming; round++) {
    contenders.forEach(({ run }, i) => {
      const start = process.hrtime.bigint();
      for (let call = 0; call < calls; call++) sink += run(call);
      const micros = Number(process.hrtime.bigint() - start) / 1000 / calls;
      // The first rounds only warm up the compiler.
      if (round >= warming) times[i].push(micros);
    });
  }
  return times.map((list) => list.sort((a, b) => a - b)[rounds >> 1]);
}

function report(title, contenders, calls, rounds) {
  const medians = race(contenders, calls, rounds);
  console.log(title);
  contenders.forEach(({ name }, i) => {
    const ratio = (medians[i] / medians[0]).toFixed(2);
    console.log(`  ${name.padEnd(34)} ${medians[i].toFixed(3).padStart(10)} us  ${ratio.padStart(6)} x`);
  });
  return medians;
}

// A speed curve: five points to the 28 steps. Points differ from call to call, so that nothing is constant.
const sets = Array.from({ length: 64 }, (_, k) => ({
  xs: [1, 5 + (k % 3), 12, 20 + (k % 5), 28],
  ys: [3 + k / 7, 30 + (k % 11), 80 + (k % 13), 150 + (k % 17), 240 + (k % 9)],
}));
const steps = Array.from({ length: 28 }, (_, i) => i + 1);

function handSlope(h0, s0, h1, s1) {
  const p = (s0 * h1 + s1 * h0) / (h0 + h1);
  const sign = (s0 < 0 ? -1 : 1) + (s1 < 0 ? -1 : 1);
  return sign * Math.min(Math.abs(s0), Math.abs(s1), 0.5 * Math.abs(p));
}

/** No checks: what somebody would write who needs it fast, for this one job. */
function handCubic(xs, ys, at) {
  const n = xs.length;
  const slopes = new Array(n);
  for (let i = 1; i < n - 1; i++) {
    const h0 = xs[i] - xs[i - 1];
    const h1 = xs[i + 1] - xs[i];
    slopes[i] = handSlope(h0, (ys[i] - ys[i - 1]) / h0, h1, (ys[i + 1] - ys[i]) / h1);
  }
  slopes[0] = ((3 * (ys[1] - ys[0])) / (xs[1] - xs[0]) - slopes[1]) / 2;
  slopes[n - 1] = ((3 * (ys[n - 1] - ys[n - 2])) / (xs[n - 1] - xs[n - 2]) - slopes[n - 2]) / 2;
  const out = new Array(at.length);
  let k = 0;
  for (let i = 0; i < n - 1; i++) {
    const h = xs[i + 1] - xs[i];
    const c = (ys[i + 1] - ys[i]) / h;
    const s = slopes[i];
    const c2 = (3 * c - 2 * s - slopes[i + 1]) / h;
    const c3 = (s + slopes[i + 1] - 2 * c) / (h * h);
    for (; k < at.length && at[k] <= xs[i + 1]; k++) {
      const t = at[k] - xs[i];
      out[k] = ys[i] + t * (s + t * (c2 + t * c3));
    }
  }
  return out;
}

/** d3-shape's curve, caught as Bezier pieces and evaluated at the steps, which is easy as x is even in t. */
class Catcher {
  moveTo(x, y) {
    this.x = x;
    this.y = y;
    this.k = 0;
    this.out = [];
  }
  lineTo() {}
  closePath() {}
  bezierCurveTo(_x1, y1, _x2, y2, x, y) {
    const h = x - this.x;
    for (; this.k < steps.length && steps[this.k] <= x; this.k++) {
      const t = (steps[this.k] - this.x) / h;
      const s = 1 - t;
      this.out.push(s * s * s * this.y + 3 * s * s * t * y1 + 3 * s * t * t * y2 + t * t * t * y);
    }
    this.x = x;
    this.y = y;
  }
}
const catcher = new Catcher();
function d3Cubic(xs, ys) {
  const curve = curveMonotoneX(catcher);
  curve.lineStart();
  for (let i = 0; i < xs.length; i++) curve.point(xs[i], ys[i]);
  curve.lineEnd();
  return catcher.out;
}

for (const { xs, ys } of sets) {
  const ours = monotoneCubic(xs, ys, steps);
  const others = [handCubic(xs, ys, steps), d3Cubic(xs, ys)];
  for (const other of others) {
    if (ours.length !== other.length || ours.some((value, i) => Math.abs(value - other[i]) > 1e-9)) {
      throw new Error("the contenders do not agree");
    }
  }
}

const [hand, ours, d3] = report(
  "monotone cubic, 5 points to 28 steps",
  [
    { name: "hand-written, unchecked", run: (k) => handCubic(sets[k & 63].xs, sets[k & 63].ys, steps)[9] },
    { name: "cvset monotoneCubic", run: (k) => monotoneCubic(sets[k & 63].xs, sets[k & 63].ys, steps)[9] },
    { name: "d3-shape curveMonotoneX", run: (k) => d3Cubic(sets[k & 63].xs, sets[k & 63].ys)[9] },
  ],
  1000,
  401,
);

/** Pool adjacent violators by hand: same stacks, no checks, no weights. */
function handIsotonic(values) {
  const n = values.length;
  const out = new Float64Array(n);
  const size = new Uint32Array(n);
  let top = -1;
  for (let i = 0; i < n; i++) {
    let sum = values[i];
    let count = 1;
    while (top >= 0 && out[top] * count >= sum) {
      sum += out[top] * size[top];
      count += size[top--];
    }
    out[++top] = sum / count;
    size[top] = count;
  }
  for (let end = n; top >= 0; top--) {
    const start = end - size[top];
    const mean = out[top];
    for (let i = start; i < end; i++) out[i] = mean;
    end = start;
  }
  return out;
}

let seed = 9;
const random = () => {
  seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
  return seed / 4294967296;
};
const perSample = [];
const perSampleByHand = [];
// Short batches, so that most of them run without the system taking the processor away in between.
for (const [n, calls, rounds] of [
  [28, 500, 301],
  [1000, 20, 301],
  [10000, 2, 201],
  [100000, 1, 101],
]) {
  const values = Float64Array.from({ length: n }, (_, i) => i / n + random() - 0.5);
  const hard = handIsotonic(values);
  if (isotonic(values).some((value, i) => Math.abs(value - hard[i]) > 1e-9)) throw new Error("no agreement");
  const times = report(
    `isotonic fit, ${n} samples`,
    [
      { name: "hand-written, unchecked", run: () => handIsotonic(values)[n >> 1] },
      { name: "cvset isotonic", run: () => isotonic(values)[n >> 1] },
    ],
    calls,
    rounds,
  );
  perSampleByHand.push(times[0] / n);
  perSample.push(times[1] / n);
}

/** Runs of an invented locomotive: levels closer together at the slow end, three timings each. */
function runsOf(levels) {
  return Array.from({ length: levels }, (_, i) => 20 + Math.round(230 * (i / (levels - 1)) ** 1.4)).flatMap(
    (level) =>
      [0, 1, 2].map(() => {
        const seconds = (900 / (level - 12)) * (1 + 0.02 * (random() - 0.5)) + 0.3 * (random() - 0.5);
        return { level, speed: 174 / seconds, seconds };
      }),
  );
}
const target = targetSpeeds({ start: 2, top: 16 });
const fits = [7, 12, 24].map((levels) => {
  const all = Array.from({ length: 32 }, () => runsOf(levels));
  const [fit, match] = report(
    `${levels} levels, 3 timings each`,
    [
      { name: "estimateResponse", run: (k) => estimateResponse(all[k & 31]).slowest },
      {
        name: "the same and matchSpeeds",
        run: (k) => {
          const locomotives = [{ name: "A", forward: estimateResponse(all[k & 31]) }];
          return matchSpeeds({ target, locomotives }).locomotives[0].within;
        },
      },
    ],
    2,
    41,
  );
  return { levels, fit, match };
});
const perSampleOfFit = [1000, 4000, 16000].map((count) => {
  const list = Array.from({ length: count }, (_, i) => {
    const level = 20 + (230 * ((i * 7919) % count)) / count;
    return { level, speed: (level - 12) / 10, seconds: 12 };
  });
  const [time] = report(
    `${count} samples`,
    [{ name: "estimateResponse", run: () => estimateResponse(list).slowest }],
    1,
    9,
  );
  return time / count;
});

const ratio = (value) => value.toFixed(2);
const milliseconds = (micros) => (micros / 1000).toFixed(2);
console.log("times (aim for a quiet machine: under 5 ms for 12 levels)");
for (const { levels, fit, match } of fits)
  console.log(`  ${levels} levels: fit ${milliseconds(fit)} ms, with its match ${milliseconds(match)} ms`);
console.log("ratios");
console.log(`  monotone cubic / hand-written    ${ratio(ours / hand)}   (aim: 1.25 or less)`);
console.log(`  d3-shape / monotone cubic        ${ratio(d3 / ours)}   (aim: 1.6 or more)`);
// Hand-written code is linear too; what both lose from size to size, they lose to the caches and to branches
// that the processor no longer remembers from the run before.
const growth = (list) => [1, 2].map((i) => ratio(list[i + 1] / list[i])).join(" and ");
console.log(`  isotonic, time a sample, 1,000 to 10,000 to 100,000: x ${growth(perSample)}`);
console.log(`  the same, hand-written:                              x ${growth(perSampleByHand)}`);
console.log(
  `  fit, time a sample, 1,000 to 4,000 to 16,000:            x ${[0, 1].map((i) => ratio(perSampleOfFit[i + 1] / perSampleOfFit[i])).join(" and ")}`,
);
if (!Number.isFinite(sink)) throw new Error("a result that is no number");
