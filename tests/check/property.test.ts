import { CvSet, choice, cv, defineDecoder, flag, page } from "cvset";
import {
  checkFleet,
  checkSet,
  type Finding,
  formatGithub,
  formatJson,
  formatJunit,
  formatSarif,
  formatText,
} from "cvset/check";
import { nmra, nmraAccessory } from "cvset/standard";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { decoder, good } from "./locomotive.js";

const byte = fc.integer({ min: 0, max: 255 });
const name = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: 1, max: 128 }).map(String) },
  { weight: 2, arbitrary: fc.integer({ min: 1, max: 1024 }).map(String) },
  {
    weight: 1,
    arbitrary: fc
      .tuple(fc.integer({ min: 257, max: 512 }), byte, byte)
      .map(([n, high, low]) => `${n}@${high}.${low}`),
  },
);
/** Any CV set: from nothing to hundreds of CVs, often with whole tables and maps, now and then a near-good one. */
const anySet = fc.oneof(
  fc.dictionary(name, byte, { maxKeys: 60 }).map((map) => CvSet.from(map)),
  fc
    .array(byte, { minLength: 128, maxLength: 128 })
    .map((bytes) => CvSet.from(bytes.map((value, i) => [i + 1, value] as const))),
  fc.dictionary(name, byte, { maxKeys: 5 }).map((map) => {
    let cvs = good;
    for (const [cv, value] of Object.entries(map)) cvs = cvs.with(cv, value);
    return cvs;
  }),
);
const bare = defineDecoder({
  id: "bare",
  name: "Bare",
  kind: "multifunction",
  features: { own: choice(page(0, 3).cv(257).bits(0, 3), { one: 1 }), key: flag(cv(33).bit(3)) },
});
const decoders = [undefined, decoder, nmra, nmraAccessory, bare];
const options = fc.record({
  forWriting: fc.boolean(),
  stopping: fc.option(
    fc.record({
      withinMm: fc.integer({ min: 1, max: 9000 }),
      topSpeedMmPerS: fc.integer({ min: 1, max: 900 }),
    }),
    { nil: undefined },
  ),
});
const given = ({
  forWriting,
  stopping,
}: {
  forWriting: boolean;
  stopping: { withinMm: number; topSpeedMmPerS: number } | undefined;
}) => ({
  forWriting,
  ...(stopping && { stopping }),
});

describe("for any CV set at all", () => {
  it("no rule throws, and every finding is whole", () => {
    fc.assert(
      fc.property(anySet, fc.constantFrom(...decoders), options, (cvs, one, terms) => {
        const findings = checkSet(cvs, { ...given(terms), ...(one && { decoder: one }), file: "f" });
        const odd = findings.filter(
          ({ message, fix, cvs: about }) =>
            /the rule failed|undefined|NaN|\[object/.test(message) ||
            fix.trim() === "" ||
            about.some((cv) => cvs.get(cv) === undefined && !/lacks|not in the set/.test(message)),
        );
        expect(odd).toEqual([]);
      }),
      { numRuns: 1000 },
    );
  });

  it("the same set has the same findings, in CV order", () => {
    fc.assert(
      fc.property(anySet, fc.constantFrom(decoder, nmra), (cvs, one) => {
        const findings = checkSet(cvs, { decoder: one });
        expect(checkSet(CvSet.from(cvs.toJSON()), { decoder: one })).toEqual(findings);
        const order = [...cvs].map(([cv]) => cv);
        const firsts = findings.map(({ cvs: [cv] }) => order.indexOf(cv ?? "")).filter((at) => at >= 0);
        expect(firsts).toEqual([...firsts].sort((a, b) => a - b));
      }),
      { numRuns: 300 },
    );
  });

  it("silencing every finding leaves none that counts", () => {
    fc.assert(
      fc.property(anySet, (cvs) => {
        const loud = checkSet(cvs, { decoder });
        const silence = [...new Set(loud.map(({ rule }) => rule))].map((rule) => ({ rule, reason: "known" }));
        const quiet = checkSet(cvs, { decoder, silence });
        expect(quiet.map(({ silenced }) => silenced)).toEqual(loud.map(() => "known"));
        expect(quiet.map(({ message }) => message)).toEqual(loud.map(({ message }) => message));
      }),
      { numRuns: 300 },
    );
  });

  it("a fleet has the findings of each set alone, and every format can write them", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(anySet, { maxLength: 4 }), async (sets) => {
        const findings: Finding[] = [];
        const members = sets.map((cvs, i) => ({ file: `f${i}`, cvs, decoder }));
        for await (const finding of checkFleet(members)) findings.push(finding);
        const across = ["same-address", "consist-speed"];
        const alone = members.flatMap(({ cvs, file }) => checkSet(cvs, { file, decoder }));
        expect(findings.filter(({ rule }) => !across.includes(rule))).toEqual(alone);
        const report = { files: members.map(({ file }) => file), findings };
        expect(formatText(report).split("\n").length).toBe(2 * findings.length + 2);
        expect(formatGithub(report).split("\n").length).toBe(findings.length + 2);
        expect(JSON.parse(formatJson(report)).findings.length).toBe(findings.length);
        expect(JSON.parse(formatSarif(report)).runs[0].results.length).toBe(findings.length);
        expect(formatJunit(report).match(/<testcase /g)?.length ?? 0).toBe(
          members.reduce(
            (sum, { file }) => sum + Math.max(1, findings.filter((one) => one.file === file).length),
            0,
          ),
        );
      }),
      { numRuns: 40 },
    );
  });
});
