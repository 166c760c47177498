import { type AnyCodec, type AnyDecoder, type CvSet, describe as describeDecoder, messageOf } from "cvset";
import {
  meaningNotes,
  meaningsOf,
  type Setting,
  shareOfDecibels,
  type TranslationRow,
  translate,
} from "cvset/meaning";
import { nmra } from "cvset/standard";
import { valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { quillback } from "../../src/demo/quillback-s8.js";
import { expectNear } from "../support/near.js";
import { timesUsual } from "../support/runs.js";
import { decoderOf } from "./random-decoders.js";

/** A decoder and CVs; a counterexample shows them as JSON. */
function shown(decoder: AnyDecoder, cvs: CvSet): readonly [AnyDecoder, CvSet] {
  const text = () => JSON.stringify({ features: describeDecoder(decoder).features, cvs });
  return Object.assign([decoder, cvs] as const, { [fc.toStringMethod]: text });
}

/** A decoder with CVs that all decode. */
const filled = (id: string): fc.Arbitrary<readonly [AnyDecoder, CvSet]> =>
  decoderOf(id).chain((decoder) =>
    valuesOf(decoder).map((settings) => shown(decoder, decoder.encode(settings))),
  );

const settingAt = (decoder: AnyDecoder, path: string | undefined): Setting =>
  meaningsOf(decoder).find((one) => one.path === path) as Setting;

const valueAt = (decoder: AnyDecoder, path: string | undefined, cvs: CvSet): unknown =>
  settingAt(decoder, path).codec.decode(cvs);

/** What a value means, worked out apart from the code under test. */
function meaningOf({ codec, term }: Setting, value: unknown): unknown {
  const { data } = codec;
  if (data.kind === "flag") return value ? "there" : "none";
  if (data.kind === "converted") return value === "on" ? "there" : "none";
  if (data.kind === "choice") return data.options[String(value)]?.means;
  if (data.kind !== "level") return value;
  if (typeof value !== "number") return value === "silent" ? 0 : value;
  const { unit } = data.scale.options;
  if (unit === "dB") return shareOfDecibels(value);
  if (unit === "%") return value;
  if (unit === "ms") return value / 1000;
  if (unit === "min") return value * 60;
  if (term?.type === "share") return (100 * (value - data.scale.min)) / (data.scale.max - data.scale.min);
  return unit === "s" || term?.type === "key" ? value : String(value);
}

function paths(decoder: AnyDecoder): string[] {
  return meaningsOf(decoder).map(({ path }) => path);
}

function expectAccounted(report: readonly TranslationRow[], from: AnyDecoder, to: AnyDecoder): void {
  expect(report.flatMap(({ path }) => path ?? []).sort()).toEqual(paths(from).sort());
  expect(report.flatMap((row) => row.to ?? []).sort()).toEqual(paths(to).sort());
}

describe("to itself", () => {
  test("every CV stays as it is, and every setting is carried without a remark", () => {
    fc.assert(
      fc.property(filled("one-x1"), ([decoder, cvs]) => {
        const { cvs: same, report, unowned } = translate(cvs, decoder, decoder);
        expect(same.toJSON()).toEqual(cvs.toJSON());
        expect(
          report.every(({ result, path, to, reason }) => result === "carried" && path === to && !reason),
        ).toBe(true);
        expect(unowned).toEqual([]);
      }),
    );
  });

  test.each([quillback, dunlin, nmra])("$id, with all that it can be set to", (decoder) => {
    fc.assert(
      fc.property(valuesOf(decoder), (settings) => {
        const cvs = fullSet(decoder, settings);
        const { cvs: same, report } = translate(cvs, decoder, decoder);
        expect(same.toJSON()).toEqual(cvs.toJSON());
        expect(report.filter(({ result }) => result !== "carried")).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  test("what no feature owns stays too", () => {
    const cvs = quillback.defaults().with(250, 77);
    expect(translate(cvs, quillback, quillback).cvs.get(250)).toBe(77);
  });
});

/** A whole set: the standard's decoder has no factory values for most CVs. */
function fullSet(decoder: AnyDecoder, settings: object): CvSet {
  let base = decoder.defaults();
  for (const { cv } of decoder.bits) if (!base.has(cv)) base = base.with(cv, 0);
  return decoder.encode(settings as never, base);
}

interface Side {
  readonly decoder: AnyDecoder;
  readonly cvs: CvSet;
}

/** What is carried means the same, and what is approximated is off by the error. */
function expectSameMeaning(
  { decoder: from, cvs }: Side,
  { decoder: to, cvs: result }: Side,
  report: readonly TranslationRow[],
): void {
  for (const { path, to: target, result: how, error } of report) {
    if (path === undefined || target === undefined) continue;
    const before = meaningOf(settingAt(from, path), valueAt(from, path, cvs));
    const after = meaningOf(settingAt(to, target), valueAt(to, target, result));
    if (how === "carried") {
      if (typeof before === "number" && typeof after === "number") expectNear(after, before);
      else if (before === "0" || after === "0")
        expect([before, after].every((one) => one === "0" || one === "none")).toBe(true);
      else if (before === "none" || after === "none") expect(after).toBe(before);
      else if (before !== "there" && after !== "there") expect(after).toBe(before);
    } else if (error !== undefined)
      expectNear(Number(after) - Number(before), error, { scale: Math.abs(Number(before)) });
  }
}

/** What is neither carried nor approximated, and every bit that no setting owns, is as it was in the base. */
function expectNothingElse(
  to: AnyDecoder,
  base: CvSet,
  result: CvSet,
  report: readonly TranslationRow[],
): void {
  for (const { to: target, result: how } of report) {
    if (target === undefined || how === "carried" || how === "approximated") continue;
    expect(valueAt(to, target, result)).toEqual(valueAt(to, target, base));
  }
  const owned = new Map(to.bits.map(({ cv, mask }) => [cv, mask]));
  for (const [cv, value] of result) {
    const others = ~(owned.get(cv) ?? 0) & 255;
    expect(value & others).toBe((base.get(cv) ?? 0) & others);
  }
}

/** There and back loses only what was reported, and what was carried comes back to where it was. */
function expectBack(
  { decoder: one, cvs }: Side,
  { decoder: other, cvs: result }: Side,
  report: readonly TranslationRow[],
  compared: { same: number; off: number },
): void {
  const back = translate(result, other, one, { base: cvs });
  for (const { path, to, result: how, error = 0 } of report) {
    if (path === undefined || to === undefined) continue;
    if (how !== "carried" && how !== "approximated") continue;
    const returned = back.report.find((row) => row.path === to);
    if (how === "carried") expect(returned?.to).toBe(path);
    if (returned?.to !== path) continue;
    if (returned.result !== "carried" && returned.result !== "approximated") continue;
    const [before, after] = [valueAt(one, path, cvs), valueAt(one, path, back.cvs)];
    if (how === "carried" && returned.result === "carried") {
      compared.same++;
      expect(after).toEqual(before);
    } else if (typeof before === "number" && typeof after === "number") {
      compared.off++;
      const setting = settingAt(one, path);
      const [a, b] = [Number(meaningOf(setting, before)), Number(meaningOf(setting, after))];
      const most = Math.abs(error) + Math.abs(returned.error ?? 0);
      expect(Math.abs(a - b)).toBeLessThanOrEqual(most + 1e-9 * Math.max(Math.abs(a), Math.abs(b)));
    }
  }
}

describe("between two decoders", () => {
  test("the report has every setting of both once; the result can be read, means the same as far as it says, and comes back", () => {
    const seen = new Set<string>();
    const compared = { same: 0, off: 0 };
    fc.assert(
      fc.property(filled("one-x1"), filled("other-x2"), ([from, cvs], [to, base]) => {
        const { cvs: result, report } = translate(cvs, from, to, { base });
        expectAccounted(report, from, to);
        const read = to.tryDecode(result);
        expect(read.ok || read.issues.map((issue) => messageOf(issue))).toBe(true);
        const [before, after] = [
          { decoder: from, cvs },
          { decoder: to, cvs: result },
        ];
        expectSameMeaning(before, after, report);
        expectNothingElse(to, base, result, report);
        expectBack(before, after, report, compared);
        for (const { path, to: target, result: how } of report)
          if (path !== undefined && target !== undefined) seen.add(how);
      }),
    );
    expect([...seen].sort()).toEqual(["approximated", "carried", "undecided"]);
    expect(Math.min(compared.same, compared.off)).toBeGreaterThan(timesUsual(1) / 10);
  });

  test("without a base the target's factory values take its place", () => {
    fc.assert(
      fc.property(filled("one-x1"), filled("other-x2"), ([from, cvs], [to]) => {
        expect(translate(cvs, from, to)).toEqual(translate(cvs, from, to, { base: to.defaults() }));
      }),
      { numRuns: 20 },
    );
  });

  test("the demo decoders and the standard's: every setting of both once", () => {
    for (const [from, to] of [
      [quillback, dunlin],
      [dunlin, quillback],
      [nmra, dunlin],
      [quillback, nmra],
    ] as const) {
      expectAccounted(translate(from.defaults(), from, to).report, from, to);
    }
  });
});

test("the notes on a description name unknown terms and nothing else of what is known", () => {
  fc.assert(
    fc.property(decoderOf("one-x1"), (decoder) => {
      const hooter = Object.hasOwn(decoder.features, "hooter");
      expect(meaningNotes(decoder).map(({ code, path }) => `${code} ${path}`)).toEqual(
        hooter ? ["unknown-term hooter"] : [],
      );
    }),
    { numRuns: 50 },
  );
});

test("what is switched is a setting of its own, on or off, beside those that it holds", () => {
  expect(paths(quillback).filter((path) => path.startsWith("drains"))).toEqual(["drains", "drains.seconds"]);
  const codec: AnyCodec = settingAt(quillback, "drains").codec;
  expect(codec.decode(quillback.defaults())).toBe("off");
});
