import { aBoolean, aText, made, needIn, objectOf, type Wanted } from "../cv/argument.js";
import { type CvPatch, PatchWriter } from "../cv/cvpatch.js";
import { type CvsLike, readerOf, someCvs } from "../cv/cvset.js";
import { missingCv } from "../cv/faults.js";
import type { CvReader, CvWriter } from "../cv/image.js";
import { CvError, fault, type Issue, type Result, under } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { nameOf } from "../cv/name.js";
import { maskOf, type Place } from "../cv/place.js";
import type { BitsOfCv } from "../cv/places-text.js";
import { reasonOf } from "../cv/show.js";
import type { CodecData } from "./data.js";
import type { Derivations } from "./derivation.js";
import { type StandardSchema, standardIssues } from "./standard-schema.js";

/** What people read of a codec. */
export interface About {
  /** Its name for people. */
  readonly label?: string;
  /** A remark for people. */
  readonly note?: string;
  /** What it is in the trade's terms, the same for every decoder: `"whistle"`, `"drain cocks"`. */
  readonly means?: string;
  /** Where it is laid down: document, edition, section. */
  readonly source?: string;
}

/** How settings are encoded. */
export interface EncodeOptions {
  /** Store the nearest step of a number that lies between two, instead of refusing it. */
  readonly nearest?: boolean;
  /** The present CVs, for values that are worked out from other CVs than those that the settings give. */
  readonly base?: CvsLike;
}

/** Any JSON value. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };

/** How a value is checked before it is encoded. */
export interface CheckOptions extends EncodeOptions {
  /** Every field must be there; otherwise a missing field means "leave as it is". */
  readonly whole?: boolean;
}

/** What the codecs of this library are made from. */
export interface CodecParts<Value, Input = Value> {
  /** The name of its kind, where it differs from that of its data. */
  readonly kind?: string | undefined;
  /** What it is made from. */
  readonly data: CodecData;
  /** Every bit that it may ever write. */
  readonly places: readonly Place[];
  /** What people read of it. */
  readonly about?: About | undefined;
  /**
   * Reads the value. Throws where the stored bits stand for no value. What it reads, it must write back
   * unchanged.
   */
  read(cvs: CvReader): Value;
  /**
   * Writes a value, and throws where it cannot be stored. The value may be of any type: it can come from a
   * file. `whole`: a missing field is an error.
   */
  write(cvs: CvWriter, value: Input, whole: boolean): void;
  /** For codecs made of codecs: reads, and reports every issue instead of throwing the first. */
  tryRead?(cvs: CvReader, report: Report): Value | undefined;
  /** For codecs made of codecs: reports every issue of a value instead of throwing the first. */
  check?(value: unknown, report: Report, options: CheckOptions): void;
  /** The values within it that are worked out from other CVs. */
  readonly derivations?: Derivations;
  /** From outside: the value in words. */
  text?(value: Value): string;
  /** From outside: the JSON Schema (draft 2020-12) of the value, made of that of what it is around. */
  schema?(whole: boolean, item?: { readonly [key: string]: Json }): Json;
  /** From outside: the codec in a decoder description in JSON, made of that of what it is around. */
  json?(item?: { readonly [key: string]: Json }): { readonly [key: string]: Json };
}

/** Takes one issue or more; a path may be put before theirs. */
export type Report = (issues: readonly Issue[], path?: string) => void;

const custom = /* @__PURE__ */ fault("custom", "{kind:text}: {reason:text}");

const notACodec = /* @__PURE__ */ fault(
  "not-a-codec",
  "expected a codec, such as flag(cv(29).bit(5)), got {found}",
);

/** What people read of a codec. */
export const anAbout: Wanted = /* @__PURE__ */ objectOf({
  "label?": aText,
  "note?": aText,
  "means?": aText,
  "source?": aText,
});

/** A codec, of any copy of this library. */
export const aCodec: Wanted = /* @__PURE__ */ made(["Codec"], notACodec);

/** Turns one kind of value into bits of CVs, and back. Made by {@link defineCodec} and the functions for each kind. */
export class Codec<Value, Input = Value> implements StandardSchema<Input> {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "Codec" {
    return "Codec";
  }
  /** The types of decoded values and of values to encode; for the compiler only. */
  declare readonly "~types": {
    readonly value: Value;
    readonly input: Input;
    /** Which keys of settings it may have; none for what is no setting. */
    readonly key: PropertyKey;
  };
  /** What kind of codec it is. */
  readonly kind: string;
  /** What it is made from: options, range, parts. */
  readonly data: CodecData;
  /** Every bit that it may ever write. */
  readonly places: readonly Place[];
  /** What people read of it. */
  readonly about: About;
  /** @internal */
  readonly spec: CodecParts<Value, Input>;

  /** @internal Use {@link defineCodec}. */
  constructor(spec: CodecParts<Value, Input>) {
    this.about = Object.freeze(aboutOf(spec.about ?? {}));
    this.spec = Object.freeze({ ...spec, about: this.about });
    this.kind = spec.kind ?? spec.data.kind;
    this.data = Object.freeze(spec.data);
    this.places = Object.freeze(spec.places);
    Object.freeze(this);
  }

  /** Every bit that it may ever write, one entry a CV. */
  get bits(): readonly BitsOfCv[] {
    return bitsOf(ownedOf(this));
  }

  /**
   * The bits that store a value.
   * @param value The value.
   * @param options How to store it.
   * @throws `CvError` with everything that is wrong with the value.
   */
  encode(value: Input, options: EncodeOptions = noOptions): CvPatch {
    needEncodeOptions(options);
    const writer = new PatchWriter(options.nearest);
    try {
      this.spec.write(writer, value, false);
      this.spec.derivations?.finish(writer, options.base, this.data.kind === "derived");
    } catch (error) {
      const issues = checkIssues(this, value, options);
      // A codec from outside may fail once and not again; then the issue is what it threw.
      throw new CvError(issues.length ? issues : issuesOf(error, this.kind));
    }
    return writer.patch();
  }

  /**
   * Like {@link encode}, for untrusted input: it does not throw.
   * @param value Anything.
   * @param options How to store it.
   */
  tryEncode(value: unknown, options: EncodeOptions = noOptions): Result<CvPatch> {
    try {
      needEncodeOptions(options);
      const issues = checkIssues(this, value, options);
      if (issues.length) return { ok: false, issues };
      // checkIssues() accepts only what write() accepts, which is what Input means.
      return { ok: true, value: this.encode(value as Input, options) };
    } catch (error) {
      // A getter or a codec from outside need not give the same twice.
      return { ok: false, issues: issuesOf(error, this.kind) };
    }
  }

  /**
   * The value that is stored.
   * @param cvs The CVs to read.
   * @throws `CvError` with every CV that is missing or holds no value.
   */
  decode(cvs: CvsLike): Value {
    const reader = readerOf(cvs);
    try {
      return this.spec.read(reader);
    } catch (error) {
      const result = decoded(this, reader);
      throw new CvError(result.ok ? issuesOf(error, this.kind) : result.issues);
    }
  }

  /**
   * Like {@link decode}, without throwing; what can be read in spite of an issue is in its `value`.
   * @param cvs The CVs to read.
   */
  tryDecode(cvs: CvsLike): Result<Value, Input> {
    try {
      return decoded(this, readerOf(cvs));
    } catch (error) {
      return { ok: false, issues: issuesOf(error, this.kind) };
    }
  }

  /** Standard Schema: checks a value that is to be encoded. */
  get "~standard"(): StandardSchema<Input>["~standard"] {
    return {
      version: 1,
      vendor: "cvset",
      validate: (value) => {
        const issues = checkIssues(this, value, {});
        return issues.length ? standardIssues(issues, value) : { value: value as Input };
      },
    };
  }
}

function decoded<Value, Input>(codec: Codec<Value, Input>, cvs: CvReader): Result<Value, Input> {
  const issues = new IssueList();
  const value = tryRead(codec, cvs, collect(issues));
  if (!issues.some) return { ok: true, value: value as Value };
  // What composite codecs give in part is what they also encode in part.
  return { ok: false, issues: issues.done(), ...(value !== undefined && { value: value as Input }) };
}

/** No options; nothing is looked at then. */
export const noOptions: EncodeOptions = /* @__PURE__ */ Object.freeze({});
const ofEncoding = /* @__PURE__ */ objectOf({ "nearest?": aBoolean, "base?": someCvs });

/** Refuses options of encoding that are none. */
export function needEncodeOptions(options: EncodeOptions): void {
  if (options !== noOptions) needIn(ofEncoding, options, "options");
}

// Beside the class, so that no caller can reach the maps and a bundler can drop the class.
const ownedMasks = /* @__PURE__ */ new WeakMap<AnyCodec, ReadonlyMap<number, number>>();

/** The mask of each CV that a codec owns bits of, by key. */
export function ownedOf(codec: AnyCodec): ReadonlyMap<number, number> {
  let owned = ownedMasks.get(codec);
  if (!owned) ownedMasks.set(codec, (owned = masksOf(codec.places)));
  return owned;
}

/** Any codec at all. */
export type AnyCodec = Codec<unknown, unknown>;

function masksOf(places: readonly Place[]): ReadonlyMap<number, number> {
  const masks = new Map<number, number>();
  for (const { parts } of places) {
    for (const part of parts) masks.set(part.key, (masks.get(part.key) ?? 0) | maskOf(part));
  }
  return masks;
}

/** Masks by key, as bits of CVs in CV order. */
export function bitsOf(masks: Iterable<readonly [key: number, mask: number]>): readonly BitsOfCv[] {
  const sorted = [...masks].sort((a, b) => a[0] - b[0]);
  return Object.freeze(sorted.map(([key, mask]) => Object.freeze({ cv: nameOf(key), mask })));
}

/** The type of a codec's decoded values. */
export type ValueOf<C extends AnyCodec> = C["~types"]["value"];
/** The type of the values that a codec encodes. */
export type InputOf<C extends AnyCodec> = C["~types"]["input"];

/** The issues of a `CvError`, or one made of the message of any other error; never none. */
export function issuesOf(error: unknown, kind: string): readonly Issue[] {
  const issues = isCvError(error) ? error.issues : [];
  return issues.length ? issues : [custom({ kind, reason: reasonOf(error) })];
}

function isCvError(error: unknown): error is CvError {
  try {
    return error instanceof CvError;
  } catch {
    // A proxy that throws.
    return false;
  }
}

/** Everything that is wrong with a value that is to be encoded. */
export function checkIssues(codec: AnyCodec, value: unknown, options: CheckOptions): Issue[] {
  const issues = new IssueList();
  checkValue(codec, value, collect(issues), options);
  return issues.done();
}

/** Reads with every issue reported. */
export function tryRead<Value>(
  codec: Codec<Value, unknown>,
  cvs: CvReader,
  report: Report,
): Value | undefined {
  const { spec } = codec;
  const send = withSource(codec, report);
  if (spec.tryRead) return spec.tryRead(cvs, send);
  try {
    return spec.read(cvs);
  } catch (error) {
    const issues = issuesOf(error, codec.kind);
    // Reading stops at the first CV that is absent; the issue names all of them.
    if (issues[0]?.code !== "missing-cv" || !reportMissing(codec, cvs, send)) send(issues);
    return undefined;
  }
}

/** Reports every CV that a codec owns and that is absent, in one issue; true where there is any. */
export function reportMissing(codec: AnyCodec, cvs: CvReader, report: Report): boolean {
  const absent = [...ownedOf(codec)].filter(([key]) => {
    try {
      cvs.get(key);
      return false;
    } catch {
      return true;
    }
  });
  const places = bitsOf(absent);
  if (places.length) report([missingCv({}, { places })]);
  return places.length > 0;
}

/** Checks a value with every issue reported. */
export function checkValue(codec: AnyCodec, value: unknown, report: Report, options: CheckOptions): void {
  const { spec } = codec;
  const send = withSource(codec, report);
  try {
    if (spec.check) spec.check(value, send, options);
    else spec.write(new PatchWriter(options.nearest), value, options.whole ?? false);
  } catch (error) {
    send(issuesOf(error, codec.kind));
  }
}

// A source tells which numbers and options there are; it is no reason for a wrong type or a missing CV.
const withoutSource = /^(expected-|missing-|unknown-|custom|more-issues)/;

/** A {@link Report} that adds where a codec's rule is laid down, unless a codec within it has done so. */
function withSource({ about: { source } }: AnyCodec, report: Report): Report {
  if (!source) return report;
  return (issues, path) =>
    report(
      issues.map((issue) => (issue.source || withoutSource.test(issue.code) ? issue : { ...issue, source })),
      path,
    );
}

/** Reads; undefined where there was any issue, and those are reported. */
export function readWhole<Value>(
  codec: Codec<Value, unknown>,
  cvs: CvReader,
  report: Report,
): Value | undefined {
  let whole = true;
  const value = tryRead(codec, cvs, (issues, path) => {
    whole = false;
    report(issues, path);
  });
  return whole ? value : undefined;
}

/** What people read of a codec, out of a longer list of options. */
export function aboutOf({ label, note, means, source }: About): About {
  return {
    ...(label && { label }),
    ...(note && { note }),
    ...(means && { means }),
    ...(source && { source }),
  };
}

/** A {@link Report} that fills a list. */
export function collect(into: IssueList): Report {
  return (issues, path) => into.addAll(issues, path);
}

/** A {@link Report} that puts a path before every issue. */
export function at(path: string, report: Report): Report {
  return (issues, rest = "") => report(under(rest, issues), path);
}
