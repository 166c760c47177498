import { afterAll, describe, test } from "vitest";
import { endCounting, expectInProportion, startCounting } from "./support/blocks.js";

// How the work grows with what comes from outside, measured at 1, 2, 4 and 8 times the size by counting how often
// each block of the sources runs. What files do is in files/growth.test.ts.

// Only what is compiled from here on is counted block by block.
await startCounting();
const {
  CvPatch,
  CvSet,
  describe: descriptionOf,
  diff,
  explain,
  messageOf,
  tryDecoderFromJson,
} = await import("cvset");
const { checkSet, formatGithub, formatJson, formatJunit, formatSarif, formatText } = await import(
  "cvset/check"
);
const { matchSpeeds, measurementsFromCsv, measurementsFromJson, targetSpeeds } = await import("cvset/motion");
const { outcome, plan, tryPlanFromJson, verify } = await import("cvset/plan");
const { nmra } = await import("cvset/standard");
const { Fleet } = await import("../src/check/fleet.js");

afterAll(endCounting);

const list = <Item>(count: number, make: (i: number) => Item): Item[] =>
  Array.from({ length: count }, (_, i) => make(i));
const map = <Item>(count: number, make: (i: number) => readonly [string, Item]): Record<string, Item> =>
  Object.fromEntries(list(count, make));
const flag = (i: number): object => ({ codec: "flag", place: { cv: 1 + (i >> 3), bit: i & 7 } });
const about = (features: unknown, more: object = {}): object => ({
  id: "x",
  name: "X",
  kind: "multifunction",
  features,
  ...more,
});
const twoBytes = { cv: 1000, with: { cv: 1001 } };

/** Reads a description, and makes all messages or the description of what it made. */
function read(json: unknown): unknown {
  const made = tryDecoderFromJson(json);
  return made.ok ? descriptionOf(made.value) : made.issues.map((issue) => messageOf(issue));
}
const issuesOf = (result: { readonly ok: boolean }): unknown =>
  "issues" in result ? (result.issues as never[]).map((issue) => messageOf(issue)) : result;
function attempt(work: () => unknown): void {
  try {
    work();
  } catch (error) {
    if ((error as Error).name !== "CvError") throw error;
  }
}
const pages = (n: number): Record<string, number> =>
  map(n, (i) => [`${257 + (i % 256)}@${16 + ((i >> 8) % 240)}.${i >> 16}`, i % 256]);
const needs = (i: number, when: object, second: object): object => ({
  rule: "needs",
  name: `r${i}`,
  when,
  needs: second,
});
const decoderOf = (json: unknown) => {
  const made = tryDecoderFromJson(json);
  if (!made.ok) throw new Error(messageOf(made.issues[0] as never));
  return made.value;
};
const runs = (n: number, level: (i: number) => number): object => ({
  scale: "H0",
  runs: list(n, (i) => ({ locomotive: "A", level: level(i), mph: 5 + level(i) / 4 + (i % 7) / 100 })),
});

/** What it is, how large the smallest input is, and the work with an input of a size, prepared before. */
const cases: Readonly<Record<string, readonly [size: number, prepare: (n: number) => () => unknown]>> = {
  // Descriptions
  "many features": [
    200,
    (n) => {
      const json = about(map(n, (i) => [`f${i}`, flag(i)]));
      return () => read(json);
    },
  ],
  "unknown keys": [
    1000,
    (n) => {
      const json = { ...about({}), ...map(n, (i) => [`k${i}`, 1]) };
      return () => read(json);
    },
  ],
  "flags on one bit": [
    500,
    (n) => {
      const json = about(map(n, (i) => [`f${i}`, flag(5)]));
      return () => read(json);
    },
  ],
  options: [
    1000,
    (n) => {
      const json = about({ a: { codec: "choice", place: twoBytes, options: map(n, (i) => [`o${i}`, i]) } });
      return () => read(json);
    },
  ],
  "options of one number": [
    1000,
    (n) => {
      const json = about({ a: { codec: "choice", place: twoBytes, options: map(n, (i) => [`o${i}`, 1]) } });
      return () => read(json);
    },
  ],
  "named numbers": [
    1000,
    (n) => {
      const json = about({ a: { codec: "level", place: twoBytes, names: map(n, (i) => [`o${i}`, i]) } });
      return () => read(json);
    },
  ],
  pairs: [
    500,
    (n) => {
      const json = about({
        a: {
          codec: "converted",
          item: { codec: "level", place: twoBytes },
          pairs: list(n, (i) => [i, `x${i}`]),
        },
      });
      return () => read(json);
    },
  ],
  "cases of a variant": [
    200,
    (n) => {
      const json = about({
        a: {
          codec: "variant",
          place: twoBytes,
          cases: map(n, (i) => [`c${i}`, { value: i, fields: { x: flag(0) } }]),
        },
      });
      return () => read(json);
    },
  ],
  "rules with right paths": [
    100,
    (n) => {
      const json = about(
        map(n, (i) => [`f${i}`, flag(i)]),
        { rules: list(n, (i) => needs(i, { path: `f${i}`, is: true }, { path: "f0", is: true })) },
      );
      return () => read(json);
    },
  ],
  "rules with misspelt paths": [
    200,
    (n) => {
      const json = about(
        map(n, (i) => [`feature-${i}`, flag(i)]),
        {
          rules: list(n, (i) =>
            needs(i, { path: `feture-${i}`, is: true }, { path: `featur-${i}`, is: true }),
          ),
        },
      );
      return () => read(json);
    },
  ],
  "rules with wrong options": [
    200,
    (n) => {
      const json = about(
        { a: { codec: "choice", place: twoBytes, options: map(n, (i) => [`o${i}`, i]) } },
        { rules: list(n, (i) => needs(i, { path: "a", is: `p${i}` }, { path: "a", is: i })) },
      );
      return () => read(json);
    },
  ],
  "rules on cases": [
    100,
    (n) => {
      const json = about(
        {
          a: {
            codec: "variant",
            place: twoBytes,
            cases: map(n, (i) => [`c${i}`, { value: i, fields: { x: flag(0) } }]),
          },
        },
        { rules: list(n, (i) => needs(i, { path: "a.x", is: true }, { path: "a.kind", is: `c${i}` })) },
      );
      return () => read(json);
    },
  ],
  "factory values": [
    100,
    (n) => {
      const json = about({}, { factory: pages(n) });
      return () => read(json);
    },
  ],
  "parts that do not exist": [
    500,
    (n) => {
      const json = about({}, { parts: list(n, (i) => `p${i}`) });
      return () => read(json);
    },
  ],
  // Settings, sets and patches
  "unknown settings": [
    1000,
    (n) => {
      const json = map(n, (i) => [`k${i}`, 1]);
      return () => issuesOf(nmra.tryEncode(json));
    },
  ],
  "wrong settings": [
    100,
    (n) => {
      const decoder = decoderOf(about(map(n, (i) => [`f${i}`, flag(i)])));
      const json = map(n, (i) => [`f${i}`, "x"]);
      return () => issuesOf(decoder.tryEncode(json));
    },
  ],
  "wrong CVs": [
    1000,
    (n) => {
      const json = map(n, (i) => [`x${i}`, 1]);
      return () => issuesOf(CvSet.tryFrom(json));
    },
  ],
  "CVs of index pages": [
    1000,
    (n) => {
      const json = pages(n);
      return () => [...CvSet.from(json)].length;
    },
  ],
  "two sets compared": [
    1000,
    (n) => {
      const [a, b] = [CvSet.from(pages(n)), CvSet.from({ 1: 3 })];
      return () => diff(nmra, a, b);
    },
  ],
  "a set explained": [
    1000,
    (n) => {
      const cvs = CvSet.from(pages(n));
      return () => explain(nmra, cvs);
    },
  ],
  "a patch with wrong bits": [
    1000,
    (n) => {
      const bits = list(n, () => ({ cv: "q", mask: 1, value: 2 }));
      return () => attempt(() => CvPatch.from({ bits }));
    },
  ],
  // Plans
  "steps of a plan": [
    1000,
    (n) => {
      const json = { steps: list(n, (i) => ({ cv: String(1 + (i % 1024)), value: i % 256 })) };
      return () => {
        const read = tryPlanFromJson(json);
        if (read.ok) {
          outcome(read.value);
          verify(read.value, CvSet.from({ 1: 3 }));
        }
      };
    },
  ],
  "wrong steps": [
    1000,
    (n) => {
      const json = { steps: list(n, () => ({ cv: "z", value: 999 })) };
      return () => issuesOf(tryPlanFromJson(json));
    },
  ],
  "a plan of index pages": [
    500,
    (n) => {
      const wanted = CvSet.from(pages(n));
      return () => JSON.stringify(plan(CvSet.from({ 1: 3, 29: 6 }), wanted));
    },
  ],
  // Checks
  "a set checked": [
    1000,
    (n) => {
      const cvs = CvSet.from(pages(n));
      return () => checkSet(cvs);
    },
  ],
  silence: [
    500,
    (n) => {
      const silence = list(n, (i) => ({ rule: `rule-${10_000 + i}`, reason: "x" }));
      return () => checkSet(CvSet.from({ 1: 3 }), { silence });
    },
  ],
  "silence of one rule": [
    500,
    (n) => {
      const silence = list(n, (i) => ({ rule: "reserved-bits", cvs: [1 + (i % 1024)], reason: "x" }));
      return () => checkSet(CvSet.from({ 1: 3, 29: 255 }), { silence });
    },
  ],
  "a fleet at one address": [
    200,
    (n) => {
      const cvs = CvSet.from({ 1: 3, 29: 2 });
      return () => {
        const fleet = new Fleet();
        for (let i = 0; i < n; i++) fleet.add({ file: `f:${i}`, cvs, name: `n${i}` });
        return [...fleet.across()];
      };
    },
  ],
  "a fleet in one consist": [
    200,
    (n) => () => {
      const fleet = new Fleet();
      for (let i = 0; i < n; i++)
        fleet.add({
          file: `f:${i}`,
          cvs: CvSet.from({ 1: 1 + (i % 100), 19: 5, 2: 1, 5: 100 + (i % 100), 6: 50, 29: 2 }),
        });
      return [...fleet.across()];
    },
  ],
  reports: [
    200,
    (n) => {
      const findings = list(n, (i) => ({ ...(checkSet(CvSet.from({ 1: 0 }))[0] as object), file: `f${i}` }));
      const report = { files: list(n, (i) => `f${i}`), findings };
      return () =>
        [formatText, formatJson, formatJunit, formatSarif, formatGithub].map(
          (format) => format(report as never).length,
        );
    },
  ],
  // Timed runs
  "runs at all levels": [
    500,
    (n) => {
      const json = runs(n, (i) => 1 + (i % 255));
      return () => match(json);
    },
  ],
  "runs at two levels": [
    500,
    (n) => {
      const json = runs(n, (i) => (i % 2 ? 20 : 200));
      return () => match(json);
    },
  ],
  "wrong runs": [
    500,
    (n) => {
      const json = { runs: list(n, () => ({ locomotive: 7, level: "x", mph: [] })) };
      return () => issuesOf(measurementsFromJson(json));
    },
  ],
  "wrong rows": [
    500,
    (n) => {
      const text = `level,mph\n${"x,y\n".repeat(n)}`;
      return () => issuesOf(measurementsFromCsv(text));
    },
  ],
};

function match(json: unknown): void {
  const result = measurementsFromJson(json);
  if (!result.ok) throw new Error(messageOf(result.issues[0] as never));
  matchSpeeds({ target: targetSpeeds({ start: 3, top: 8 }), locomotives: result.value.locomotives });
}

describe("eight times the input is at most eight times the work", () => {
  test.each(Object.entries(cases))("%s", async (_, [size, prepare]) => {
    await expectInProportion(/\/src\//, (times) => prepare(size * times));
  });
});
