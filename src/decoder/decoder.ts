import { type AnyCodec, type Codec, checkValue, collect, type EncodeOptions } from "../codec/codec.js";
import {
  checkNames,
  checkOverlap,
  type Fields,
  fieldsCodec,
  type RecordInput,
  type RecordValue,
} from "../codec/record.js";
import type { StandardSchema } from "../codec/standard-schema.js";
import type { CvPatch } from "../cv/cvpatch.js";
import { CvSet } from "../cv/cvset.js";
import type { CvImage } from "../cv/image.js";
import { CvError, type Issue, type Result, under } from "../cv/issue.js";
import { type CvName, toKey } from "../cv/name.js";
import { type DecoderRule, rulesIssues } from "./rule.js";

/** The two kinds of decoder of S-9.2.2: CV 29 bit 7 tells them apart. */
export type DecoderKind = "multifunction" | "accessory";

/** What a decoder description says. */
export interface DecoderSpec<F extends Fields> {
  /** Its short name in files: small letters, digits, hyphens. */
  readonly id: string;
  /** Its name for people. */
  readonly name: string;
  /** What kind of decoder it is. */
  readonly kind: DecoderKind;
  /** A remark for people. */
  readonly note?: string;
  /** The codec of each feature. No two may own the same bit. */
  readonly features: F;
  /** The values that it has when it leaves the factory, as far as its manual tells them. */
  readonly factory?: Readonly<Record<CvName, number>>;
  /** What must hold between its settings; `cvset/check` applies it. */
  readonly rules?: readonly DecoderRule[];
}

/** The settings of a decoder: what {@link Decoder.decode} gives. */
export type SettingsOf<D extends { readonly "~types": { readonly settings: unknown } }> =
  D["~types"]["settings"];

/** Any decoder at all. */
export type AnyDecoder = Decoder<Fields>;

/** All features of one decoder together. Made by {@link defineDecoder} or {@link decoderFromJson}. */
export class Decoder<F extends Fields> implements StandardSchema<RecordInput<F>> {
  /** The types of its settings; for the compiler only. */
  declare readonly "~types": { readonly settings: RecordValue<F>; readonly input: RecordInput<F> };
  /** Its short name in files. */
  readonly id: string;
  /** Its name for people. */
  readonly name: string;
  /** What kind of decoder it is. */
  readonly kind: DecoderKind;
  /** A remark for people; empty without one. */
  readonly note: string;
  /** The codec of each feature. */
  readonly features: F;
  /** What must hold between its settings. */
  readonly rules: readonly DecoderRule[];
  /** @internal */
  readonly root: Codec<RecordValue<F>, RecordInput<F>>;
  readonly #factory: CvSet;

  /** @internal Use {@link defineDecoder}. */
  constructor(spec: DecoderSpec<F>) {
    this.id = spec.id;
    this.name = spec.name;
    this.kind = spec.kind;
    this.note = spec.note ?? "";
    this.features = spec.features;
    this.rules = spec.rules ?? [];
    this.root = fieldsCodec("decoder", spec.features, {});
    this.#factory = CvSet.from(spec.factory ?? {});
  }

  /** The CVs that it has when it leaves the factory, as far as its description tells them. */
  defaults(): CvSet {
    return this.#factory;
  }

  /**
   * A CV set with settings in it.
   * @param settings The features to set; those that are left out keep what the base has.
   * @param base The decoder's present CVs; without it, its factory defaults. Every bit that no named
   *   feature owns stays as it is here.
   * @param options How to store numbers.
   * @throws `CvError` with every setting that cannot be stored, or every bit that would be left
   *   unknown because the base does not hold its CV.
   * @example
   * import { choice, cv, defineDecoder, flag } from "cvset";
   * const decoder = defineDecoder({
   *   id: "example-x1", name: "Example X1", kind: "multifunction",
   *   features: { whistle: choice(cv(141), { low: 2, high: 5 }), reversed: flag(cv(29).bit(0)) },
   *   factory: { 29: 6, 141: 2 },
   * });
   * decoder.encode({ whistle: "high", reversed: true }).toJSON(); // { "29": 7, "141": 5 }
   */
  encode(settings: RecordInput<F>, base: CvSet = this.#factory, options: EncodeOptions = {}): CvSet {
    const image = base.image();
    try {
      this.encodeInto(image, settings, options);
    } catch {
      // Either the settings are wrong, or bits are missing that two features together give; only the
      // patch tells which.
      return base.apply(this.patch(settings, options));
    }
    return new CvSet(image);
  }

  /**
   * Like {@link encode}, for settings that nobody vouches for: it does not throw.
   * @param settings Anything.
   * @param base The decoder's present CVs; without it, its factory defaults.
   * @param options How to store numbers.
   */
  tryEncode(settings: unknown, base: CvSet = this.#factory, options: EncodeOptions = {}): Result<CvSet> {
    const issues: Issue[] = [];
    checkValue(this.root as AnyCodec, settings, collect(issues), options);
    if (issues.length === 0) {
      try {
        // checkValue() accepts only what the codecs can write.
        return { ok: true, value: this.encode(settings as RecordInput<F>, base, options) };
      } catch (error) {
        if (!(error instanceof CvError)) throw error;
        issues.push(...error.issues);
      }
    }
    return { ok: false, issues };
  }

  /**
   * Writes settings into a working copy, without allocating anything. For hot loops: when it throws, some
   * of the settings may already be in the image, so use a fresh one then.
   * @param image The working copy, from {@link CvSet.image}.
   * @param settings The features to set.
   * @param options How to store numbers.
   * @throws `CvError` at the first setting that cannot be stored; {@link encode} reports them all.
   */
  encodeInto(image: CvImage, settings: RecordInput<F>, options?: EncodeOptions): void {
    image.nearest = options?.nearest ?? false;
    this.root.spec.write(image, settings, false);
  }

  /**
   * The bits that store some settings, and no others.
   * @param settings The features to set.
   * @param options How to store numbers.
   * @throws `CvError` with every setting that cannot be stored.
   */
  patch(settings: RecordInput<F>, options: EncodeOptions = {}): CvPatch {
    return this.root.encode(settings, options);
  }

  /**
   * The settings that a CV set holds.
   * @param cvs The decoder's CVs.
   * @throws `CvError` with every CV that is missing or holds a number that stands for nothing.
   */
  decode(cvs: CvSet): RecordValue<F> {
    return this.root.decode(cvs);
  }

  /**
   * Like {@link decode}, without throwing. Where something is wrong, `value` has all that could be read:
   * one bad CV never hides the rest.
   * @param cvs The decoder's CVs.
   * @example
   * import { choice, cv, CvSet, defineDecoder } from "cvset";
   * const decoder = defineDecoder({
   *   id: "example-x1", name: "Example X1", kind: "multifunction",
   *   features: { whistle: choice(cv(141), { low: 2, high: 5 }), bell: choice(cv(142), { brass: 1 }) },
   * });
   * const result = decoder.tryDecode(CvSet.from({ 141: 9, 142: 1 }));
   * result.value; // { bell: "brass" }
   * result.ok || result.issues[0]?.path; // "whistle"
   */
  tryDecode(cvs: CvSet): Result<RecordValue<F>, RecordInput<F>> {
    return this.root.tryDecode(cvs);
  }

  /**
   * The names of the features that own a bit of a CV.
   * @param cv The CV.
   * @throws `CvError` when it names no CV.
   */
  featuresOf(cv: CvName): string[] {
    const key = toKey(cv);
    return Object.entries(this.features)
      .filter(([, codec]) => codec.owned.has(key))
      .map(([name]) => name);
  }

  /** The mask of owned bits of each CV that any feature owns, in CV order. */
  get bits(): AnyCodec["bits"] {
    return this.root.bits;
  }

  /** Standard Schema: checks settings that are to be encoded. */
  get "~standard"(): StandardSchema<RecordInput<F>>["~standard"] {
    return this.root["~standard"];
  }
}

/**
 * Describes a decoder: all its features, as data.
 * @param spec What it is called, its features, and its factory values.
 * @throws `CvError` when two features own the same bit (both are named), a name cannot be used, a
 *   factory value is none, or a rule speaks of a setting or value that does not exist.
 * @example
 * import { choice, cv, CvSet, defineDecoder, type SettingsOf } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { firing: choice(cv(152).bits(0, 1), { coal: 0, wood: 1, oil: 2 }) },
 * });
 * type Settings = SettingsOf<typeof decoder>; // { readonly firing: "coal" | "wood" | "oil" }
 * decoder.decode(CvSet.from({ 152: 2 })); // { firing: "oil" }
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineDecoder<const F extends Fields>(spec: DecoderSpec<F>): Decoder<F> {
  const issues: Issue[] = [];
  const say = (path: string, expected: string, found: unknown): void => {
    issues.push({ code: "definition", path, expected, found });
  };
  if (typeof spec.id !== "string" || !/^[a-z0-9]+(-[a-z0-9]+)*$/.test(spec.id)) {
    say("id", "small letters, digits and single hyphens are needed", spec.id);
  }
  if (typeof spec.name !== "string" || spec.name.trim() === "") say("name", "a name is needed", spec.name);
  if (spec.kind !== "multifunction" && spec.kind !== "accessory") {
    say("kind", '"multifunction" or "accessory" is needed', spec.kind);
  }
  const part = (path: string, check: () => void): void => {
    try {
      check();
    } catch (error) {
      if (!(error instanceof CvError)) throw error;
      issues.push(...under(path, error.issues));
    }
  };
  part("features", () => checkNames(Object.keys(spec.features)));
  part("features", () => checkOverlap(spec.features));
  part("factory", () => CvSet.from(spec.factory ?? {}));
  if (spec.rules) issues.push(...rulesIssues(spec.rules, spec.features));
  if (issues.length) throw new CvError(issues);
  return new Decoder(spec);
}
