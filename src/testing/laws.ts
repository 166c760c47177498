import fc, { type Arbitrary } from "fast-check";
import { type AnyCodec, checkIssues } from "../codec/codec.js";
import { needIn } from "../cv/argument.js";
import { CvPatch } from "../cv/cvpatch.js";
import type { CvSet } from "../cv/cvset.js";
import { CvError, type Issue, messageOf } from "../cv/issue.js";
import { cvSetsOf } from "./cvsets.js";
import { changes, differences, short, shortCvs } from "./shown.js";
import { codecOf, neededBy, ofLaws, type Source, same } from "./source.js";
import { type ValuesOptions, valuesOf } from "./values.js";

/** Options of {@link checkCodecLaws}. */
export interface LawOptions<Value> extends Pick<ValuesOptions, "at"> {
  /** Values to check with; without it, those of {@link valuesOf}. */
  readonly values?: Arbitrary<Value>;
  /** When two values are the same; without it, when they are built the same. */
  readonly equal?: (a: Value, b: Value) => boolean;
  /** How many cases for each law; 200 without it. */
  readonly runs?: number;
  /** Where to start, to see the cases of an earlier failure again. */
  readonly seed?: number;
}

/** Something that must hold for every CV set and value. */
export interface Law {
  readonly name: string;
  /** What is wrong, or undefined. */
  readonly check: (cvs: CvSet, value: unknown) => string | undefined;
  /** Whether it is about CV sets alone. */
  readonly withoutValue?: true;
  /** What the value is. */
  readonly what?: string;
}

/**
 * Checks that a codec keeps the laws that every codec of a decoder relies on. One call is a test of a codec
 * of your own.
 *
 * 1. What was encoded is decoded again: `decode(encode(v))` is `v`, whatever the other bits are.
 * 2. Encoding what was decoded changes nothing, reserved and unowned bits included.
 * 3. Encoding twice is the same as encoding once.
 * 4. It touches only its own bits.
 * 5. `tryDecode` and `tryEncode` find the same as `decode` and `encode`, which throw nothing but CvError.
 * 6. Whatever it accepts, however odd, it also decodes.
 * @param source A codec or a decoder.
 * @param options Values, number of cases, seed.
 * @throws Error with the law, the seed and the smallest counterexample when a law does not hold.
 * @example
 * import { cv, defineCodec } from "cvset";
 * import { checkCodecLaws } from "cvset/testing";
 * const place = cv(50);
 * const careless = defineCodec<number>({
 *   kind: "careless", places: [place],
 *   read: (cvs) => place.read(cvs) & 127, write: (cvs, n) => place.write(cvs, n),
 * });
 * let message = "";
 * try { checkCodecLaws(careless, { seed: 1 }); } catch (e) { message = String(e); }
 * message.includes("encoding what was decoded changes nothing"); // true
 */
export function checkCodecLaws<S extends Source>(
  source: S,
  options: LawOptions<S["~types"]["value"]> = {},
): void {
  needIn(ofLaws, options, "options");
  checkLawsOf(codecOf(source), options, {});
}

/** How the laws of a codec are checked as a part of something larger. */
export interface Within {
  /** What has the codec, before the words "breaks a law"; without it, its kind. */
  readonly name?: string;
  /** How to see a failure again; without it, by the seed. */
  readonly again?: (seed: number) => string;
}

/** Checks the laws of a codec, alone or within something. */
export function checkLawsOf<Value>(codec: AnyCodec, options: LawOptions<Value>, within: Within): void {
  const { at } = options;
  const values: Arbitrary<unknown> = options.values ?? valuesOf(codec, options);
  const equal = (options.equal ?? same) as (a: unknown, b: unknown) => boolean;
  const cvSets = setsFor(codec, values);
  for (const law of lawsOf(codec, equal)) runLaw(codec, law, cvSets, values, options, within);
  const odd = at || options.values ? fc.oneof(values, fc.anything()) : fc.anything();
  const cases = fc.oneof(odd, fc.nat({ max: 300 }), fc.jsonValue(), values.map(damaged));
  runLaw(codec, accepts(codec), cvSets, cases, options, within);
}

/** CV sets with any bits, in half of which a valid value is stored. */
export function setsFor(codec: AnyCodec, values: Arbitrary<unknown>): Arbitrary<CvSet> {
  const raw = cvSetsOf(codec, { raw: true });
  return fc.oneof(
    raw,
    fc.tuple(raw, values).map(([cvs, value]) => {
      const patch = outcome(() => codec.encode(value, { base: cvs }));
      // Where a valid value cannot be encoded, a law fails.
      return "value" in patch ? cvs.apply(patch.value) : cvs;
    }),
  );
}

/**
 * Runs a law.
 * @throws Error with the smallest counterexample, short.
 */
export function runLaw(
  codec: AnyCodec,
  law: Law,
  cvSets: Arbitrary<CvSet>,
  values: Arbitrary<unknown>,
  { runs = 200, seed }: Pick<LawOptions<never>, "runs" | "seed">,
  { name = `codec "${codec.kind}"`, again = (found) => `seed: ${found}` }: Within,
): void {
  const result = fc.check(
    fc.property(cvSets, values, (cvs, value) => {
      const wrong = guard(() => law.check(cvs, value));
      if (wrong !== undefined) throw new Error(wrong);
    }),
    { numRuns: runs, ...(seed !== undefined && { seed }) },
  );
  if (!result.failed) return;
  const [cvs, value] = result.counterexample as [CvSet, unknown];
  const wrong = result.errorInstance instanceof Error ? result.errorInstance.message : "";
  const own = new Set([...codec.bits, ...neededBy(codec)].map(({ cv }) => cv));
  throw new Error(
    [
      `${name} breaks a law: ${law.name}`,
      wrong,
      ...(law.withoutValue ? [] : [`${law.what ?? "value"}: ${short(value)}`]),
      ...(cvs.size ? [`CVs: ${shortCvs(cvs, (cv) => own.has(cv) || wrong.includes(`CV ${cv} `))}`] : []),
      again(result.seed),
    ].join("\n"),
  );
}

const laws = {
  comesBack: "decode(encode(v)) is v",
  writesBack: "encoding what was decoded changes nothing",
  twice: "encoding twice is the same as encoding once",
  ownBits: "it touches only its own bits",
  agree: "tryDecode and tryEncode agree with decode and encode",
  accepts: "what is accepted can be decoded, and what is not is a CvError",
} as const;

function lawsOf(codec: AnyCodec, equal: (a: unknown, b: unknown) => boolean): Law[] {
  return [
    {
      name: laws.comesBack,
      check(cvs, value) {
        const patch = codec.encode(value, { base: cvs });
        const stored = cvs.apply(patch);
        const decoded = outcome(() => codec.decode(stored));
        if ("error" in decoded && issuesAbout(patch, decoded.error.issues, codec).length) throw decoded.error;
        const back = "value" in decoded ? decoded.value : codec.tryDecode(stored).value;
        return equal(back, value) ? undefined : `it came back as something else: ${differences(value, back)}`;
      },
    },
    {
      name: laws.writesBack,
      withoutValue: true,
      check(cvs) {
        const result = codec.tryDecode(cvs);
        const { ok, value } = result;
        if (value === undefined) return undefined;
        const after = cvs.apply(codec.encode(value, { base: cvs }));
        // What is worked out may have been wrong, and is right now.
        const kept = ok ? after : after.apply(workedOut(codec, cvs));
        return kept.equals(cvs) ? undefined : `decoded ${short(value)}; ${changes(cvs, kept)}`;
      },
    },
    {
      name: laws.twice,
      check(cvs, value) {
        const once = cvs.apply(codec.encode(value, { base: cvs }));
        const twice = once.apply(codec.encode(value, { base: once }));
        return twice.equals(once) ? undefined : changes(once, twice);
      },
    },
    {
      name: laws.ownBits,
      check(cvs, value) {
        const own = new Map(codec.bits.map(({ cv, mask }) => [cv, mask]));
        const before = new Map(cvs);
        const after = cvs.apply(codec.encode(value, { base: cvs }));
        for (const [cv, byte] of after) {
          const changed = byte ^ (before.get(cv) ?? 0);
          if (changed & ~(own.get(cv) ?? 0)) return changes(cvs, after);
        }
        return undefined;
      },
    },
    {
      name: laws.agree,
      check(cvs, value) {
        const decoded = outcome(() => codec.decode(cvs));
        const tried = codec.tryDecode(cvs);
        if ("value" in decoded !== tried.ok) {
          return `decode and tryDecode differ: ${tried.ok ? "only decode refuses it" : said(tried.issues)}`;
        }
        if (tried.ok && "value" in decoded && !equal(tried.value, decoded.value)) {
          return `decode gives ${short(decoded.value)}, tryDecode ${short(tried.value)}`;
        }
        const encoded = codec.tryEncode(value, { base: cvs });
        if (!encoded.ok) return `tryEncode refuses it: ${said(encoded.issues)}`;
        return same(encoded.value.toJSON(), codec.encode(value, { base: cvs }).toJSON())
          ? undefined
          : "encode and tryEncode give different patches";
      },
    },
  ];
}

function accepts(codec: AnyCodec): Law {
  return {
    name: laws.accepts,
    check(cvs, value) {
      const encoded = outcome(() => codec.encode(value, { base: cvs }));
      const tried = codec.tryEncode(value, { base: cvs });
      if ("value" in encoded !== tried.ok) {
        return `encode and tryEncode differ: ${tried.ok ? "only encode refuses it" : said(tried.issues)}`;
      }
      const issues = checkIssues(codec, value, {});
      if ("value" in encoded !== (issues.length === 0)) {
        return `encode and the check of a value differ: ${said("error" in encoded ? encoded.error.issues : issues)}`;
      }
      if (!("value" in encoded)) return undefined;
      const stored = cvs.apply(encoded.value);
      const back = codec.tryDecode(stored);
      // Settings may be given in part; what the others hold is then not theirs.
      if (!back.ok) {
        const about = issuesAbout(encoded.value, back.issues, codec);
        return about.length ? `it cannot be decoded: ${said(about)}` : undefined;
      }
      const after = stored.apply(codec.encode(back.value, { base: stored }));
      return after.equals(stored) ? undefined : changes(stored, after);
    },
  };
}

/**
 * The issues about what a patch writes. Not those about what was there before: a value that is worked out stays as it is,
 * and may be wrong, where nothing that it is worked out from is written.
 */
function issuesAbout(patch: CvPatch, issues: readonly Issue[], codec: AnyCodec): readonly Issue[] {
  const written = new Map([...patch].map(({ cv, mask }) => [cv, mask]));
  return issues.filter(({ places = codec.bits }) =>
    places.some(({ cv, mask }) => mask & (written.get(cv) ?? 0)),
  );
}

/** A value with something wrong deep inside it. */
function damaged(value: unknown): unknown {
  if (typeof value !== "object" || value === null) return [value];
  const entries = Object.entries(value);
  const last = entries.at(-1);
  const broken = [...entries.slice(0, -1), ...(last ? [[last[0], damaged(last[1])] as const] : [])];
  return Array.isArray(value) ? broken.map(([, item]) => item) : Object.fromEntries(broken);
}

/** What a call gives, or that it threw a `CvError`; anything else that it throws goes on. */
export function outcome<T>(call: () => T): { readonly value: T } | { readonly error: CvError } {
  try {
    return { value: call() };
  } catch (error) {
    if (error instanceof CvError) return { error };
    throw error;
  }
}

export function guard(check: () => string | undefined): string | undefined {
  try {
    return check();
  } catch (error) {
    return error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  }
}

/** Issues in words, short. */
export function said(issues: readonly Issue[]): string {
  const lines = issues.slice(0, 5).map((issue) => messageOf(issue));
  return [...lines, ...(issues.length > 5 ? [`and ${issues.length - 5} more`] : [])].join("\n");
}

/** The bits of values that are worked out, as a set has them. */
function workedOut({ spec }: AnyCodec, cvs: CvSet): CvPatch {
  const bits = (spec.derivations?.list ?? []).flatMap(({ place }) => place.bitsOfCvs);
  return CvPatch.from({ bits: bits.map(({ cv, mask }) => ({ cv, mask, value: (cvs.get(cv) ?? 0) & mask })) });
}
