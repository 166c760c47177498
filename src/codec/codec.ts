import { type CvPatch, PatchWriter } from "../cv/cvpatch.js";
import type { CvSet } from "../cv/cvset.js";
import type { CvReader, CvWriter } from "../cv/image.js";
import { type BitsOfCv, CvError, type Issue, type Result, show, under } from "../cv/issue.js";
import { nameOf, toKey } from "../cv/name.js";
import { maskOf, type Place } from "../cv/place.js";
import { issuesOf, type StandardSchema, standardIssues } from "./standard-schema.js";

/** What a feature may say of itself besides its numbers. */
export interface About {
  /** Its name for people. */
  readonly label?: string;
  /** A remark for people. */
  readonly note?: string;
  /** What it is in the trade's terms, the same for every decoder: `"whistle"`, `"drain cocks"`. */
  readonly means?: string;
  /** Where it is laid down: document, edition, section. */
  readonly clause?: string;
}

/** How settings are encoded. */
export interface EncodeOptions {
  /** Store the nearest step of a number that lies between two, instead of refusing it. */
  readonly nearest?: boolean;
}

/** Any JSON value. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };

/** One line of an explanation. */
export interface Line {
  /** Where in the settings: `"front.effect"`. */
  readonly path: string;
  /** What is set, in words. */
  readonly text: string;
  /** The bits that say so. */
  readonly places: readonly BitsOfCv[];
}

/** How a value is looked at before it is encoded. */
export interface CheckOptions extends EncodeOptions {
  /** Every field must be there; otherwise a missing field means "leave as it is". */
  readonly whole?: boolean;
}

/** What makes a codec: where its value lives, and the way there and back. */
export interface CodecSpec<Value, Input = Value> {
  /** What kind of codec it is; its errors begin with it. */
  readonly kind: string;
  /** Every bit that it may ever write. Bits outside are never touched, whatever {@link write} does. */
  readonly places: readonly Place[];
  /** What it says of itself. */
  readonly about?: About;
  /**
   * Reads the value. Throws where the CVs hold none, so that nothing is guessed. What it accepts, it must
   * write back unchanged.
   */
  read(cvs: CvReader): Value;
  /**
   * Writes a value, and throws where there is no way to store it. The value may be of any type: it can
   * come from a file. `whole` says that a missing field is an error.
   */
  write(cvs: CvWriter, value: Input, whole: boolean): void;
  /** The value in words; without it, the value as JSON. */
  text?(value: Value): string;
  /** The JSON Schema (draft 2020-12) of the value; without it, anything goes. */
  schema?(whole: boolean): Json;
  /** The codec as a decoder description in JSON writes it; without it, it cannot be written so. */
  describe?(): { readonly [key: string]: Json };
  /** For codecs made of codecs: reads, and reports every issue instead of throwing the first. */
  tryRead?(cvs: CvReader, report: Report): Value | undefined;
  /** For codecs made of codecs: reports every issue of a value instead of throwing the first. */
  check?(value: unknown, report: Report, options: CheckOptions): void;
  /** For codecs made of codecs: the lines of an explanation. */
  tell?(cvs: CvReader, path: string): Line[];
}

/** Takes issues; a path may be put before theirs. */
export type Report = (issues: readonly Issue[], path?: string) => void;

/** Turns one kind of value into bits of CVs, and back. Made by {@link defineCodec} and the functions for each kind. */
export class Codec<Value, Input = Value> implements StandardSchema<Input> {
  /** The types of decoded values and of values to encode; for the compiler only. */
  declare readonly "~types": { readonly value: Value; readonly input: Input };
  /** What kind of codec it is. */
  readonly kind: string;
  /** Every bit that it may ever write. */
  readonly places: readonly Place[];
  /** What it says of itself. */
  readonly about: About;
  /** @internal */
  readonly spec: CodecSpec<Value, Input>;
  #owned?: ReadonlyMap<number, number>;

  /** @internal Use {@link defineCodec}. */
  constructor(spec: CodecSpec<Value, Input>) {
    this.spec = spec;
    this.kind = spec.kind;
    this.places = spec.places;
    this.about = spec.about ?? {};
  }

  /** @internal The mask of each CV that it owns bits of, by key. */
  get owned(): ReadonlyMap<number, number> {
    if (!this.#owned) {
      const owned = new Map<number, number>();
      for (const place of this.places) {
        for (const part of place.parts) owned.set(part.key, (owned.get(part.key) ?? 0) | maskOf(part));
      }
      this.#owned = owned;
    }
    return this.#owned;
  }

  /** Every bit that it may ever write, one entry a CV. */
  get bits(): BitsOfCv[] {
    return [...this.owned].sort((a, b) => a[0] - b[0]).map(([key, mask]) => ({ cv: nameOf(key), mask }));
  }

  /**
   * The bits that store a value.
   * @param value The value.
   * @param options How to store it.
   * @throws `CvError` with everything that is wrong with the value.
   */
  encode(value: Input, options: EncodeOptions = {}): CvPatch {
    const writer = new PatchWriter(options.nearest);
    try {
      this.spec.write(writer, value, false);
    } catch (error) {
      throw new CvError(this.#why(this.check(value, options), error));
    }
    return writer.patch();
  }

  /**
   * Like {@link encode}, for a value that nobody vouches for: it does not throw.
   * @param value Anything.
   * @param options How to store it.
   */
  tryEncode(value: unknown, options: EncodeOptions = {}): Result<CvPatch> {
    const issues = this.check(value, options);
    if (issues.length) return { ok: false, issues };
    try {
      // check() accepts only what write() accepts, which is what Input says.
      return { ok: true, value: this.encode(value as Input, options) };
    } catch (error) {
      // A getter or a codec from outside need not say the same twice.
      return { ok: false, issues: issuesOf(error, this.kind) };
    }
  }

  /**
   * The value that is stored.
   * @param cvs The CVs to read.
   * @throws `CvError` with every CV that is missing or holds no value.
   */
  decode(cvs: CvSet): Value {
    try {
      return this.spec.read(cvs.reader);
    } catch (error) {
      const result = this.tryDecode(cvs);
      throw new CvError(this.#why(result.ok ? [] : result.issues, error));
    }
  }

  /**
   * Like {@link decode}, without throwing; what can be read in spite of an issue is in its `value`.
   * @param cvs The CVs to read.
   */
  tryDecode(cvs: CvSet): Result<Value, Input> {
    const issues: Issue[] = [];
    const value = tryRead(this, cvs.reader, collect(issues));
    if (issues.length === 0) return { ok: true, value: value as Value };
    // What composite codecs give in part is what they also encode in part.
    return value === undefined ? { ok: false, issues } : { ok: false, issues, value: value as Input };
  }

  /** @internal Everything that is wrong with a value. */
  check(value: unknown, options: CheckOptions): Issue[] {
    const issues: Issue[] = [];
    checkValue(this, value, collect(issues), options);
    return issues;
  }

  /**
   * What is stored, in words, line by line; what cannot be read has no line.
   * @param cvs The CVs to read.
   * @param path What to put before the path of each line.
   */
  tell(cvs: CvSet, path = ""): Line[] {
    return tellLines(this, cvs.reader, path);
  }

  /**
   * The JSON Schema (draft 2020-12) of the value.
   * @param whole Every field must be there; otherwise a field may be left out, to stay as it is.
   */
  schema(whole = false): Json {
    const { label, note } = this.about;
    const schema = this.spec.schema?.(whole) ?? {};
    return { ...(schema as object), ...(label && { title: label }), ...(note && { description: note }) };
  }

  /**
   * The codec as a decoder description in JSON writes it.
   * @throws `CvError` when it holds code, which JSON cannot.
   */
  describe(): { readonly [key: string]: Json } {
    if (!this.spec.describe) {
      throw definitionError(`a codec of kind ${show(this.kind)} holds code and cannot be written as JSON`);
    }
    return { codec: this.kind, ...this.spec.describe(), ...this.about };
  }

  /** Standard Schema: checks a value that is to be encoded. */
  get "~standard"(): StandardSchema<Input>["~standard"] {
    return {
      version: 1,
      vendor: "cvset",
      validate: (value) => {
        const issues = this.check(value, {});
        return issues.length ? standardIssues(issues) : { value: value as Input };
      },
    };
  }

  #why(issues: readonly Issue[], error: unknown): readonly Issue[] {
    // A codec from outside may fail once and not again: what it threw is then all there is to say.
    return issues.length ? issues : issuesOf(error, this.kind);
  }
}

/** Any codec at all. */
export type AnyCodec = Codec<unknown, unknown>;

/** The type of a codec's decoded values. */
export type ValueOf<C extends AnyCodec> = C["~types"]["value"];
/** The type of the values that a codec encodes. */
export type InputOf<C extends AnyCodec> = C["~types"]["input"];

/** Reads with every issue reported. */
export function tryRead<Value>(
  codec: Codec<Value, unknown>,
  cvs: CvReader,
  report: Report,
): Value | undefined {
  const { spec } = codec;
  const say = withClause(codec, report);
  if (spec.tryRead) return spec.tryRead(cvs, say);
  try {
    return spec.read(cvs);
  } catch (error) {
    const issues = issuesOf(error, codec.kind);
    // Reading stops at the first CV that is absent; people want to know them all.
    if (issues[0]?.code !== "missing" || !reportMissing(codec, cvs, say)) say(issues);
    return undefined;
  }
}

/** Reports every CV that a codec owns and that is absent, in one issue; says whether there was any. */
export function reportMissing(codec: AnyCodec, cvs: CvReader, report: Report): boolean {
  const places = codec.bits.filter(({ cv }) => {
    try {
      cvs.get(toKey(cv));
      return false;
    } catch {
      return true;
    }
  });
  if (places.length) report([{ code: "missing", path: "", places, expected: "a value" }]);
  return places.length > 0;
}

/** Checks a value with every issue reported. */
export function checkValue(codec: AnyCodec, value: unknown, report: Report, options: CheckOptions): void {
  const { spec } = codec;
  const say = withClause(codec, report);
  try {
    if (spec.check) spec.check(value, say, options);
    else spec.write(new PatchWriter(options.nearest), value, options.whole ?? false);
  } catch (error) {
    say(issuesOf(error, codec.kind));
  }
}

/** The issues that a clause can be the reason of: it says which numbers and options there are. */
const byClause: readonly string[] = ["stored", "option", "range", "between", "content"];

/** A {@link Report} that tells where a codec's rule is laid down, unless a codec within it has told already. */
function withClause({ about: { clause } }: AnyCodec, report: Report): Report {
  if (!clause) return report;
  return (issues, path) =>
    report(
      issues.map((issue) => (issue.clause || !byClause.includes(issue.code) ? issue : { ...issue, clause })),
      path,
    );
}

/** The lines of an explanation. */
export function tellLines(codec: AnyCodec, cvs: CvReader, path: string): Line[] {
  const { spec } = codec;
  if (spec.tell) return spec.tell(cvs, path);
  let failed = false;
  const value = tryRead(codec, cvs, () => {
    failed = true;
  });
  if (failed) return [];
  return [{ path, text: spec.text ? spec.text(value) : show(value), places: codec.bits }];
}

/** Reads, and says whether there was any issue; those are reported. */
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

/** What a longer list of options says of a codec itself. */
export function aboutOf({ label, note, means, clause }: About): About {
  return {
    ...(label && { label }),
    ...(note && { note }),
    ...(means && { means }),
    ...(clause && { clause }),
  };
}

/** A {@link Report} that fills a list. */
export function collect(into: Issue[]): Report {
  return (issues, path = "") => {
    into.push(...under(path, issues));
  };
}

/** A {@link Report} that puts a path before every issue. */
export function at(path: string, report: Report): Report {
  return (issues, rest = "") => report(under(rest, issues), path);
}

/** The error that a definition contradicts itself. */
export function definitionError(expected: string, places?: readonly BitsOfCv[]): CvError {
  return new CvError([{ code: "definition", path: "", expected, ...(places && { places }) }]);
}

/** The error that a value has the wrong type. */
export function typeError(expected: string, found: unknown): CvError {
  return new CvError([{ code: "type", path: "", expected, found }]);
}

/**
 * Makes a codec from outside this library, with the same face as the built-in ones.
 * @param spec Where its value lives, and the way there and back. Read and write through the places:
 *   they check every number. A write outside the declared places is refused.
 * @throws `CvError` when it has no place.
 * @example
 * import { cv, CvSet, defineCodec } from "cvset";
 * const upper = cv(50).bits(4, 7), lower = cv(50).bits(0, 3);
 * const ratio = defineCodec<[number, number]>({
 *   kind: "ratio",
 *   places: [upper, lower],
 *   read: (cvs) => [upper.read(cvs), lower.read(cvs)],
 *   write: (cvs, [up, low]) => { upper.write(cvs, up); lower.write(cvs, low); },
 * });
 * ratio.encode([3, 2]).toJSON().cvs; // { "50": 50 }
 * ratio.decode(CvSet.from({ 50: 50 })); // [3, 2]
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineCodec<Value, Input = Value>(spec: CodecSpec<Value, Input>): Codec<Value, Input> {
  if (spec.places.length === 0) throw definitionError(`a codec of kind ${show(spec.kind)} needs a place`);
  const codec: Codec<Value, Input> = new Codec<Value, Input>({
    ...spec,
    write: (cvs, value, whole) => spec.write(guarded(cvs, codec), value, whole),
  });
  return codec;
}

function guarded(cvs: CvWriter, codec: AnyCodec): CvWriter {
  return {
    nearest: cvs.nearest,
    put(key, mask, bits) {
      const owned = codec.owned.get(key) ?? 0;
      const foreign = mask & ~owned;
      // Compared, not only masked: masking would hide fractions and NaN.
      if ((mask & owned) !== mask || (bits & mask) !== bits) {
        const fault = foreign ? "bits that it does not own" : `${show(bits)}, which does not fit its bits`;
        throw definitionError(`a codec of kind ${show(codec.kind)} writes ${fault}`, [
          { cv: nameOf(key), mask: foreign || 255 },
        ]);
      }
      cvs.put(key, mask, bits);
    },
  };
}
