import { CvPatch, type CvSet } from "../cv/index.js";
import { nameOf } from "../cv/name.js";
import { type AnyDecoder, explain } from "../decoder/index.js";
import type { PlanOptions } from "./options.js";
import { outcome, type PlanLike } from "./outcome.js";
import { plan } from "./plan.js";
import type { Plan } from "./step.js";
import { targetOf, type Wanted, withPages } from "./target.js";

/** A CV that does not hold what it should. */
export interface Mismatch {
  readonly cv: string;
  /** The byte that should be there; where only some bits are wanted, the others as they were found. */
  readonly expected: number;
  readonly found: number;
  /** The bits that differ. */
  readonly bits: number;
  /** In words. */
  readonly message: string;
}

/** A setting that does not say what it should. */
export interface SettingMismatch {
  readonly path: string;
  readonly expected: string;
  readonly found: string;
}

/** What a comparison with what was read back comes to. */
export interface Verification {
  /** Whether everything was read, and is as it should be. */
  readonly ok: boolean;
  readonly mismatches: readonly Mismatch[];
  /** CVs that should hold something, and were not read. */
  readonly unread: readonly string[];
  /** What the differences mean, with a decoder description. */
  readonly settings: readonly SettingMismatch[];
}

/** What can be verified: a plan (also read from JSON), a set, a patch. */
export type Verifiable = Plan | PlanLike | CvSet | CvPatch;

/**
 * Compares what was read back with what should be there: all that a plan writes, or all that a set or patch
 * holds.
 * @param wanted The plan, set or patch.
 * @param readBack What was read.
 * @param options `decoder`: its description, to say what the differences mean.
 * @throws `CvError` when a plan's JSON holds what is no CV or no byte.
 * @example
 * import { CvSet } from "cvset";
 * import { verify } from "cvset/plan";
 * const result = verify(CvSet.from({ 3: 8, 4: 6, 29: 34 }), CvSet.from({ 3: 8, 29: 2 }));
 * [result.ok, result.unread, result.mismatches.map(({ message }) => message)];
 * // [false, ["4"], ["CV 29 should hold 34 and holds 2 (bit 5 differs)"]]
 */
export function verify(
  wanted: Verifiable,
  readBack: CvSet,
  options: { readonly decoder?: AnyDecoder } = {},
): Verification {
  const patchOrSet = "steps" in wanted ? outcome(wanted) : wanted;
  const given = targetOf(patchOrSet);
  const target = withPages(given, given.byte(31), given.byte(32), undefined, []);
  const own = targetOf(readBack);
  const held = withPages(own, own.byte(31), own.byte(32), undefined, []);
  const mismatches: Mismatch[] = [];
  const unread: string[] = [];
  const differing: Wanted[] = [];
  target.each((key, mask, value) => {
    const found = held.byte(key) >= 0 ? held.byte(key) : own.byte(key);
    const cv = nameOf(key);
    if (found < 0) unread.push(cv);
    else if ((found ^ value) & mask) {
      const expected = (found & ~mask) | value;
      const bits = found ^ expected;
      mismatches.push({ cv, expected, found, bits, message: sentence(cv, expected, found, bits) });
      differing.push({ key, mask, value });
    }
  });
  const { decoder } = options;
  return {
    ok: mismatches.length === 0 && unread.length === 0,
    mismatches,
    unread,
    settings: decoder && differing.length ? inWords(decoder, readBack, differing) : [],
  };
}

function sentence(cv: string, expected: number, found: number, differ: number): string {
  const bits = [0, 1, 2, 3, 4, 5, 6, 7].filter((bit) => differ & (1 << bit));
  return `CV ${cv} should hold ${expected} and holds ${found} (bit${bits.length > 1 ? "s" : ""} ${bits.join(", ")} differ${
    bits.length > 1 ? "" : "s"
  })`;
}

function inWords(decoder: AnyDecoder, readBack: CvSet, differing: readonly Wanted[]): SettingMismatch[] {
  const meant = readBack.apply(
    CvPatch.from({ bits: differing.map(({ key, mask, value }) => ({ cv: nameOf(key), mask, value })) }),
  );
  const lines = (cvs: CvSet) => new Map(explain(decoder, cvs).lines.map(({ path, text }) => [path, text]));
  const expected = lines(meant);
  const found = lines(readBack);
  const result: SettingMismatch[] = [];
  for (const path of new Set([...expected.keys(), ...found.keys()])) {
    const [should, is] = [
      expected.get(path) ?? "a number that stands for nothing",
      found.get(path) ?? "a number that stands for nothing",
    ];
    if (should !== is) result.push({ path, expected: should, found: is });
  }
  return result;
}

/**
 * What is left of a plan that was interrupted: the writes that bring the decoder from what was read back to
 * what the plan would have left behind. A factory reset is not asked for again.
 * @param interrupted The plan, or its JSON.
 * @param readBack What was read after the interruption; what was not read is written again.
 * @param options As for {@link plan}; the mode is the plan's unless given.
 * @throws `CvError` as {@link plan}.
 * @example
 * import { CvSet } from "cvset";
 * import { plan, resume } from "cvset/plan";
 * const whole = plan(CvSet.from({ 3: 5, 4: 5 }), CvSet.from({ 3: 8, 4: 6 }));
 * resume(whole, CvSet.from({ 3: 8, 4: 5 })).steps.map(({ cv }) => cv); // ["4"]
 */
export function resume(interrupted: PlanLike, readBack: CvSet, options: PlanOptions = {}): Plan {
  const { mode, kind } = interrupted;
  return plan(readBack, outcome(interrupted), {
    ...(mode ? { mode } : {}),
    ...(kind ? { kind } : {}),
    ...options,
    factoryReset: false,
  });
}
