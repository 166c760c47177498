import { needIn, objectOf } from "../cv/argument.js";
import { CvPatch, type PatchLike } from "../cv/cvpatch.js";
import { type CvSet, type CvsLike, toCvSet } from "../cv/cvset.js";
import { CvError } from "../cv/issue.js";
import { nameOf } from "../cv/name.js";
import { type AnyDecoder, aDecoder } from "../decoder/decoder.js";
import { explain } from "../decoder/explain.js";
import { checkedPlan, outcome, type PlanLike } from "./outcome.js";
import { setOrPatch, type Target, targetOf, type Wanted } from "./target.js";
import { onPages } from "./unpaged-cvs.js";

/** What a comparison with what was read back gives. */
export interface Verification {
  /** Whether everything was read, and is as it should be. */
  readonly ok: boolean;
  /**
   * The CVs that do not hold what they should. `expected` is the byte that should be there (where only some
   * bits are wanted, with the others as they were found), `bits` the bits that differ.
   */
  readonly mismatches: readonly {
    readonly cv: string;
    readonly expected: number;
    readonly found: number;
    readonly bits: number;
    readonly message: string;
  }[];
  /** The CVs that should hold something and were not read. */
  readonly unread: readonly string[];
  /** The settings that differ, in words; with a decoder description only. */
  readonly settings: readonly {
    readonly path: string;
    readonly expected: string;
    readonly found: string;
  }[];
}

const ofVerifying = /* @__PURE__ */ objectOf({ "decoder?": aDecoder });

/**
 * Compares what was read back with what should be there: everything that a plan writes, or that a set or
 * patch holds.
 * @param wanted The plan (also from its JSON), set or patch.
 * @param readBack What was read.
 * @param options `decoder`: its description, for the differences in words.
 * @throws `CvError` when a plan's JSON has something that is not a CV or not a byte, or a CV is given with
 *   and without its page, with two values.
 * @example
 * import { CvSet } from "cvset";
 * import { verify } from "cvset/plan";
 * const result = verify(CvSet.from({ 3: 8, 4: 6, 29: 34 }), CvSet.from({ 3: 8, 29: 2 }));
 * [result.ok, result.unread, result.mismatches.map(({ message }) => message)];
 * // [false, ["4"], ["CV 29 should hold 34 and holds 2 (bit 5 differs)"]]
 */
export function verify(
  wanted: PlanLike | CvsLike | PatchLike,
  readBack: CvsLike,
  options: { readonly decoder?: AnyDecoder } = {},
): Verification {
  needIn(ofVerifying, options, "options");
  const isPlan = typeof wanted === "object" && wanted !== null && "steps" in wanted;
  const target = withPages(
    targetOf(
      isPlan ? outcome(checkedPlan(wanted as PlanLike, "wanted")) : setOrPatch(wanted as CvsLike, "wanted"),
    ),
  );
  const read = toCvSet(readBack, "readBack");
  const own = targetOf(read);
  const held = withPages(own);
  const mismatches: Verification["mismatches"][number][] = [];
  const unread: string[] = [];
  const differing: Wanted[] = [];
  target.each((key, mask, value) => {
    const found = held.byte(key) ?? own.byte(key);
    const cv = nameOf(key);
    if (found === undefined) unread.push(cv);
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
    settings: decoder && differing.length ? inWords(decoder, read, differing) : [],
  };
}

/** The target with its CVs 257-512 on the page that its own CV 31 and 32 select. */
function withPages(target: Target): Target {
  const paged = onPages(target, { high: target.byte(31), low: target.byte(32) });
  if (paged.issues.length) throw new CvError(paged.issues);
  return paged.target;
}

function sentence(cv: string, expected: number, found: number, differ: number): string {
  const bits = [0, 1, 2, 3, 4, 5, 6, 7].filter((bit) => differ & (1 << bit));
  const several = bits.length > 1;
  const which = `bit${several ? "s" : ""} ${bits.join(", ")} differ${several ? "" : "s"}`;
  return `CV ${cv} should hold ${expected} and holds ${found} (${which})`;
}

const noSetting = "no valid setting";

function inWords(
  decoder: AnyDecoder,
  readBack: CvSet,
  differing: readonly Wanted[],
): Verification["settings"] {
  const bits = differing.map(({ key, mask, value }) => ({ cv: nameOf(key), mask, value }));
  const linesOf = (cvs: CvSet) => new Map(explain(decoder, cvs).lines.map(({ path, text }) => [path, text]));
  const expected = linesOf(readBack.apply(CvPatch.from({ bits })));
  const found = linesOf(readBack);
  return [...new Set([...expected.keys(), ...found.keys()])]
    .map((path) => ({
      path,
      expected: expected.get(path) ?? noSetting,
      found: found.get(path) ?? noSetting,
    }))
    .filter((setting) => setting.expected !== setting.found);
}
