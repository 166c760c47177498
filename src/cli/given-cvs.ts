import { basename } from "node:path";
import { CvPatch } from "../cv/cvpatch.js";
import { CvSet } from "../cv/cvset.js";
import { placesInWords } from "../cv/places-text.js";
import { type AnyDecoder, rootOf } from "../decoder/decoder.js";
import { outcome, type PlanLike, tryPlanFromJson } from "../plan/index.js";
import { complaintsOf } from "./complaints.js";
import { decoderFor } from "./decoders.js";
import { headOf, type Input, inputFrom, unusable, wrongKind } from "./input.js";
import type { Io } from "./io.js";
import { Unusable } from "./unusable.js";

/** The CVs that a file gives, whatever kind of file it is. */
export interface GivenCvs {
  readonly input: Input;
  readonly cvs: CvSet;
  /** The decoder that it is for: the one asked for, else the one that the file names. */
  readonly decoder: AnyDecoder | undefined;
  /** The line and column of a CV in the file; undefined where the file does not have it as such. */
  locate(cv: number | string): { readonly line: number; readonly column: number } | undefined;
}

/** How CVs are got from a file. */
export interface GivenOptions {
  /** The decoder that was asked for on the command line. */
  readonly asked?: string | undefined;
  /** The decoder of a file that names none. */
  readonly decoder?: AnyDecoder | undefined;
  /** The CVs that settings and single bits are put into; settings go into the factory values without it. */
  readonly base?: CvSet | undefined;
  /** Take the factory values of CVs that settings touch and that the base lacks; else these are refused. */
  readonly factory?: boolean;
  /** Store the nearest step of a number between two. */
  readonly nearest?: boolean;
}

/** The CVs of a file, read. */
export async function cvSetFrom(path: string, io: Io, options: GivenOptions = {}): Promise<GivenCvs> {
  return givenCvs(await inputFrom(path, io), io, options);
}

/**
 * The CVs of two files that are held against each other. Settings, single bits and plans are put into the CVs of
 * the other file, so that only what they name differs.
 */
export async function givenPair(
  a: string,
  b: string,
  io: Io,
  { decoder: asked, pick }: { readonly decoder: string | undefined; readonly pick: string | undefined },
): Promise<readonly [GivenCvs, GivenCvs]> {
  const one = await inputFrom(a, io, pick);
  const other = await inputFrom(b, io, pick);
  refuseTwoDecoders(asked, one, other);
  const named = [one, other].find((input) => headOf(input).decoder !== undefined);
  const decoder = asked === undefined && named ? await decoderFor(undefined, named, io) : undefined;
  const options = { asked, decoder, factory: true };
  const isPart = ({ kind }: Input): boolean => kind === "settings" || kind === "patch" || kind === "plan";
  if (isPart(one) && !isPart(other)) {
    const whole = await givenCvs(other, io, options);
    return [await givenCvs(one, io, { ...options, base: whole.cvs }), whole];
  }
  const first = await givenCvs(one, io, options);
  const base = isPart(other) && !isPart(one) ? first.cvs : undefined;
  return [first, await givenCvs(other, io, { ...options, base })];
}

/** The CVs of a file: a CV set; settings, encoded; single bits; the values that a plan writes. */
export async function givenCvs(input: Input, io: Io, options: GivenOptions = {}): Promise<GivenCvs> {
  const { asked, base } = options;
  const named = headOf(input).decoder;
  noteOtherDecoder(asked, input, io);
  const isKnown = asked !== undefined || named !== undefined;
  const decoder = isKnown ? await decoderFor(asked, input, io) : options.decoder;
  switch (input.kind) {
    case "cvs":
      return { input, cvs: base ? over(base, input.cvs) : input.cvs, decoder, locate: input.locate };
    case "patch":
      return { input, cvs: patched(input, input.patch, base ?? CvSet.empty), decoder, locate: input.locate };
    case "settings": {
      const its = decoder ?? (await decoderFor(undefined, undefined, io));
      if (!decoder)
        io.say(`note: ${input.title} names no decoder; its settings are read as those of ${its.id}`);
      return { input, cvs: encoded(input, its, options), decoder: its, locate: locateIn(input, its) };
    }
    case "plan": {
      const plan = tryPlanFromJson(input.value);
      if (!plan.ok) throw unusable(input, plan.issues);
      const cvs = patched(input, outcome(withoutSelection(plan.value)), base ?? CvSet.empty);
      io.say(`note: ${input.title} is a plan; the values that it writes are taken`);
      return { input, cvs, decoder, locate: () => undefined };
    }
    default:
      throw wrongKind(input, "CVs or settings");
  }
}

/**
 * A plan without the writes to CV 31 and 32 that only select index pages: after them CV 31 and 32 hold whatever
 * page was last written or read.
 */
export function withoutSelection(plan: PlanLike): PlanLike {
  const last = plan.steps.findLastIndex(({ cv }) => cv.includes("@"));
  return { ...plan, steps: plan.steps.filter(({ cv }, i) => i > last || (cv !== "31" && cv !== "32")) };
}

/** A settings file's CVs. */
export function encoded(
  input: Input & { readonly kind: "settings" },
  decoder: AnyDecoder,
  { base, factory = false, nearest = false }: GivenOptions,
): CvSet {
  const whole = base && factory ? withTouched(base, decoder, input.settings, nearest) : base;
  const result = decoder.tryEncode(input.settings, whole, { nearest });
  if (result.ok) return result.value;
  throw new Unusable(...complaintsOf(input, result.issues));
}

/** The base, with the factory values of CVs that settings touch and that the base lacks. */
function withTouched(
  base: CvSet,
  decoder: AnyDecoder,
  settings: Readonly<Record<string, unknown>>,
  nearest: boolean,
): CvSet {
  const factory = decoder.defaults();
  let whole = base;
  for (const name of Object.keys(settings)) {
    const codec = Object.hasOwn(decoder.features, name) ? decoder.features[name] : undefined;
    const patch = codec?.tryEncode(settings[name], { nearest, base: factory });
    if (!patch?.ok) continue;
    for (const { cv } of patch.value) {
      const value = factory.get(cv);
      if (!whole.has(cv) && value !== undefined) whole = whole.with(cv, value);
    }
  }
  // A value that is worked out may need more than what the settings touch.
  for (const { from } of rootOf(decoder).spec.derivations?.list ?? []) {
    for (const { cv } of from.flatMap((place) => place.bitsOfCvs)) {
      const value = factory.get(cv);
      if (!whole.has(cv) && value !== undefined) whole = whole.with(cv, value);
    }
  }
  return whole;
}

/** Single bits in the CVs that they belong to. */
export function patched(input: Input, patch: CvPatch, base: CvSet): CvSet {
  const unknown = [...patch].filter(({ cv, mask }) => mask !== 255 && !base.has(cv));
  if (unknown.length)
    throw new Unusable(
      `${input.title}: it has ${placesInWords(unknown)}, and the other bits of these CVs are not known: give the present CVs, as in "cvset encode ${input.path === "." ? "FILE" : input.path} --base CVS"`,
    );
  return base.apply(patch);
}

/** One set on top of another. */
function over(base: CvSet, cvs: CvSet): CvSet {
  return base.apply(CvPatch.from({ cvs: cvs.toJSON() }));
}

function locateIn(input: Input & { readonly kind: "settings" }, decoder: AnyDecoder): GivenCvs["locate"] {
  return (cv) => {
    const feature = decoder.featuresOf(cv).find((one) => Object.hasOwn(input.settings, one));
    return feature === undefined ? undefined : input.locate(feature);
  };
}

/** A file that names one decoder can be read as another; it is worth knowing. */
function noteOtherDecoder(asked: string | undefined, input: Input, io: Io): void {
  const named = headOf(input).decoder;
  if (asked === undefined || named === undefined || named === asked) return;
  if (basename(asked).replace(/\.json$/, "") === named) return;
  io.say(`note: ${input.title} is for ${named}, and is read as ${asked}`);
}

/** Refuses files of different decoders, whose numbers mean different things, unless one was asked for. */
export function refuseTwoDecoders(asked: string | undefined, a: Input, b: Input): void {
  const [one, other] = [headOf(a).decoder, headOf(b).decoder];
  if (asked !== undefined || one === undefined || other === undefined || one === other) return;
  throw new Unusable(
    `${a.title} is for ${one} and ${b.title} for ${other}; choose with --decoder how to read both`,
  );
}
