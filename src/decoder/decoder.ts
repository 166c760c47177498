import {
  type AnyCodec,
  Codec,
  checkIssues,
  type EncodeOptions,
  type InputOf,
  issuesOf,
  needEncodeOptions,
  noOptions,
  ownedOf,
  type ValueOf,
} from "../codec/codec.js";
import {
  checkNames,
  checkOverlap,
  type Fields,
  fieldsParts,
  type SettingNames,
  someCodecs,
} from "../codec/fields.js";
import type { StandardSchema } from "../codec/standard-schema.js";
import { aText, made, needIn, objectOf, oneOf, type Wanted } from "../cv/argument.js";
import type { CvPatch } from "../cv/cvpatch.js";
import { CvSet, type CvsLike, imageOf, toCvSet } from "../cv/cvset.js";
import { frozenCopy } from "../cv/frozen.js";
import { CvImage } from "../cv/image.js";
import { CvError, fault, type Issue, type Result, under } from "../cv/issue.js";
import { type CvName, toKey } from "../cv/name.js";
import type { BitsOfCv } from "../cv/places-text.js";
import { badId, type DecoderRule, isId, ruleIssues, someRules } from "./rule.js";

const noName = /* @__PURE__ */ fault("decoder-name", "expected a name, got {found}");
const badKind = /* @__PURE__ */ fault("decoder-kind", 'expected "multifunction" or "accessory", got {found}');

const notADecoder = /* @__PURE__ */ fault(
  "not-a-decoder",
  "expected a decoder, as defineDecoder or decoderFromJson makes it, got {found}",
);

/** A kind of decoder. */
export const aDecoderKind: Wanted = /* @__PURE__ */ oneOf("multifunction", "accessory");

/** A decoder, of any copy of this library. */
export const aDecoder: Wanted = /* @__PURE__ */ made(["Decoder"], notADecoder);

/** The two kinds of decoder of S-9.2.2 (July 2012), Table 1 and Table 3; CV 29 bit 7 tells them apart. */
export type DecoderKind = "multifunction" | "accessory";

/** A decoder description. */
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
  /** The factory values, 0-255, by CV, as far as they are known. */
  readonly factory?: Readonly<Record<CvName, number>>;
  /** What must hold between its settings; `cvset/check` applies it. */
  readonly rules?: readonly DecoderRule[];
}

/** The settings of a decoder: what {@link Decoder.decode} gives. */
export type SettingsOf<D extends { readonly "~types": { readonly value: unknown } }> = D["~types"]["value"];

/** Any decoder at all. */
export type AnyDecoder = Decoder<Readonly<Record<string, unknown>>, Readonly<Record<string, unknown>>>;

/** All features of one decoder together. Made by {@link defineDecoder} or {@link decoderFromJson}. Immutable. */
export class Decoder<Settings, Input = Settings> implements StandardSchema<Input> {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "Decoder" {
    return "Decoder";
  }
  /** The types of its settings, decoded and to encode; for the compiler only. */
  declare readonly "~types": { readonly value: Settings; readonly input: Input };
  /** Its short name in files. */
  readonly id: string;
  /** Its name for people. */
  readonly name: string;
  /** What kind of decoder it is. */
  readonly kind: DecoderKind;
  /** A remark for people; empty without one. */
  readonly note: string;
  /** The codec of each feature; the type leaves out those that are no settings, see {@link derived}. */
  readonly features: {
    readonly [K in keyof Settings]: Codec<Settings[K], Exclude<Input[K & keyof Input], undefined>>;
  };
  /** What must hold between its settings. */
  readonly rules: readonly DecoderRule[];
  readonly #root: Codec<Settings, Input>;
  readonly #factory: CvSet;

  /** @internal Use {@link defineDecoder}. */
  constructor(spec: DecoderSpec<Fields>) {
    this.id = spec.id;
    this.name = spec.name;
    this.kind = spec.kind;
    this.note = spec.note ?? "";
    const features = Object.freeze({ ...spec.features });
    this.features = features as object as this["features"];
    this.rules = frozenCopy(spec.rules ?? []);
    this.#root = madeRoot(features) as Codec<Settings, Input>;
    this.#factory = CvSet.from(spec.factory ?? {});
    ownRoot ??= (decoder) => (#root in decoder ? decoder.#root : undefined) as AnyCodec | undefined;
    Object.freeze(this);
  }

  /** The factory values, as far as the description has them. */
  defaults(): CvSet {
    return this.#factory;
  }

  /**
   * A CV set with settings in it.
   * @param settings The features to set; those that are left out keep what the base has.
   * @param base The decoder's present CVs; without it, its factory values. Every bit that no named
   *   feature owns stays as it is here.
   * @param options How to store numbers.
   * @throws `CvError` with every setting that cannot be stored, or every bit that would be left
   *   unknown because the base does not hold its CV.
   * @example
   * import { choice, cv, defineDecoder, flag } from "cvset";
   * const decoder = defineDecoder({
   *   id: "example-x1", name: "Example X1", kind: "multifunction",
   *   features: { whistle: choice(cv(218), { low: 2, high: 5 }), reversed: flag(cv(29).bit(0)) },
   *   factory: { 29: 6, 218: 2 },
   * });
   * decoder.encode({ whistle: "high", reversed: true }).toJSON(); // { "29": 7, "218": 5 }
   */
  encode(settings: Input, base: CvsLike = this.#factory, options: EncodeOptions = noOptions): CvSet {
    needEncodeOptions(options);
    if (this.#root.spec.derivations) {
      const set = toCvSet(base, "base");
      return set.apply(this.patch(settings, { ...options, base: set }));
    }
    const image = new CvImage(imageOf(base, "base"));
    image.nearest = options.nearest ?? false;
    try {
      this.#root.spec.write(image, settings, false);
    } catch {
      // Either the settings are wrong, or bits are missing that two features together give; only the
      // patch tells which.
      return toCvSet(base).apply(this.patch(settings, options));
    }
    return new CvSet(image);
  }

  /**
   * Like {@link encode}, for untrusted input: it does not throw.
   * @param settings Anything.
   * @param base The decoder's present CVs; without it, its factory values.
   * @param options How to store numbers.
   */
  tryEncode(
    settings: unknown,
    base: CvsLike = this.#factory,
    options: EncodeOptions = noOptions,
  ): Result<CvSet> {
    try {
      needEncodeOptions(options);
      const issues = checkIssues(this.#root as AnyCodec, settings, options);
      if (issues.length) return { ok: false, issues };
      // checkIssues() accepts only what the codecs can write.
      return { ok: true, value: this.encode(settings as Input, base, options) };
    } catch (error) {
      return { ok: false, issues: issuesOf(error, "decoder") };
    }
  }

  /**
   * The bits that store some settings, and no others but values that are worked out from these.
   * @param settings The features to set.
   * @param options How to store numbers; the present CVs, where a value is worked out from more than the settings.
   * @throws `CvError` with every setting that cannot be stored, or a CV that a value is worked out from and that is
   *   not known.
   */
  patch(settings: Input, options: EncodeOptions = noOptions): CvPatch {
    return this.#root.encode(settings, options);
  }

  /**
   * The settings that a CV set holds.
   * @param cvs The decoder's CVs.
   * @throws `CvError` with every CV that is missing or holds a number that stands for nothing.
   */
  decode(cvs: CvsLike): Settings {
    return this.#root.decode(cvs);
  }

  /**
   * Like {@link decode}, without throwing. Where something is wrong, `value` has all that could be read:
   * one bad CV never hides the rest.
   * @param cvs The decoder's CVs.
   * @example
   * import { choice, cv, CvSet, defineDecoder } from "cvset";
   * const decoder = defineDecoder({
   *   id: "example-x1", name: "Example X1", kind: "multifunction",
   *   features: { whistle: choice(cv(218), { low: 2, high: 5 }), bell: choice(cv(246), { dull: 8 }) },
   * });
   * const result = decoder.tryDecode(CvSet.from({ 218: 9, 246: 8 }));
   * result.value; // { bell: "dull" }
   * result.ok || result.issues[0]?.path; // "whistle"
   */
  tryDecode(cvs: CvsLike): Result<Settings, Input> {
    return this.#root.tryDecode(cvs);
  }

  /**
   * The names of the features that own a bit of a CV.
   * @param cv The CV.
   * @throws `CvError` when it names no CV.
   */
  featuresOf(cv: CvName): string[] {
    const key = toKey(cv);
    return Object.entries<AnyCodec>(this.features)
      .filter(([, codec]) => ownedOf(codec).has(key))
      .map(([name]) => name);
  }

  /** The mask of owned bits of each CV that any feature owns, in CV order. */
  get bits(): readonly BitsOfCv[] {
    return this.#root.bits;
  }

  /** Standard Schema: checks settings that are to be encoded. */
  get "~standard"(): StandardSchema<Input>["~standard"] {
    return this.#root["~standard"];
  }
}

function madeRoot(features: Fields): AnyCodec {
  return new Codec<unknown>({
    ...fieldsParts(features),
    kind: "decoder",
    data: { kind: "record", fields: features },
  });
}

let ownRoot: ((decoder: AnyDecoder) => AnyCodec | undefined) | undefined;
/** Those of decoders of other copies of this library. */
const otherRoots = /* @__PURE__ */ new WeakMap<AnyDecoder, AnyCodec>();

/** @internal The codec of all features of a decoder together. */
export function rootOf(decoder: AnyDecoder): AnyCodec {
  let root = ownRoot?.(decoder) ?? otherRoots.get(decoder);
  if (!root) otherRoots.set(decoder, (root = madeRoot(decoder.features)));
  return root;
}

// Everything else is looked at by what uses it.
const aSpec = /* @__PURE__ */ objectOf({
  "note?": aText,
  features: someCodecs,
  "rules?": someRules,
});

/**
 * Describes a decoder: all its features, as data.
 * @param spec Its names and kind, its features, and its factory values.
 * @throws `CvError` when two features own the same bit (both are named), a name cannot be used, a
 *   factory value is not a byte, or a rule names a setting or value that does not exist.
 * @example
 * import { choice, cv, CvSet, defineDecoder, type SettingsOf } from "cvset";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { fuel: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }) },
 * });
 * type Settings = SettingsOf<typeof decoder>; // { readonly fuel: "slabwood" | "coal" | "oil" }
 * decoder.decode(CvSet.from({ 246: 32 })); // { fuel: "oil" }
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineDecoder<const F extends Fields>(
  spec: DecoderSpec<F>,
): Decoder<
  // Written out, so that an editor shows the settings and not the name of a type.
  { readonly [K in SettingNames<F>]: ValueOf<F[K]> },
  { readonly [K in SettingNames<F>]?: InputOf<F[K]> }
> {
  needIn(aSpec, spec, "spec");
  const { id, name, kind, features, factory = {}, rules = [] } = spec;
  const issues: Issue[] = [];
  if (!isId(id)) issues.push(badId({ found: id }, { path: "id" }));
  if (typeof name !== "string" || name.trim() === "") {
    issues.push(noName({ found: name }, { path: "name" }));
  }
  if (kind !== "multifunction" && kind !== "accessory") {
    issues.push(badKind({ found: kind }, { path: "kind" }));
  }
  const part = (path: string, check: () => void): void => {
    try {
      check();
    } catch (error) {
      issues.push(...under(path, issuesOf(error, "decoder")));
    }
  };
  part("features", () => checkNames(Object.keys(features)));
  part("features", () => checkOverlap(features));
  part("factory", () => CvSet.from(factory));
  issues.push(...ruleIssues(rules, features));
  if (issues.length) throw new CvError(issues);
  return new Decoder(spec);
}
