import { optionIssue } from "../codec/choice.js";
import type { About, AnyCodec, Json } from "../codec/codec.js";
import { aFunction, anObject, aText, mapOf, needIn, objectOf } from "../cv/argument.js";
import { CvError, fault } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import type { Place, Run } from "../cv/place.js";

const reserved = /* @__PURE__ */ fault(
  "codec-kind-key",
  "every codec of a description has the key {found} already: give this one another name",
);
const twice = /* @__PURE__ */ fault(
  "codec-kind-key-twice",
  "the key {found} is needed and may be left out at once",
);

/** What a key of a codec in a description can hold, by name. */
export interface KeyTypes {
  /** The bits of one value: `29`, `{ "cv": 29, "bits": [0, 2] }`. */
  readonly place: Place;
  /** A run of CVs: `{ "cv": 67, "through": 94 }`. */
  readonly run: Run;
  /** A list of places and runs. */
  readonly places: readonly (Place | Run)[];
  /** A codec, built in or of a kind from outside. */
  readonly codec: AnyCodec;
  /** Codecs by name. */
  readonly codecs: Readonly<Record<string, AnyCodec>>;
  readonly number: number;
  readonly text: string;
  readonly boolean: boolean;
  readonly numbers: readonly number[];
  readonly texts: readonly string[];
  /** Anything; `make` is to look at it. */
  readonly json: Json;
}

/** The keys of a kind of codec, and what each holds. */
export type Keys = Readonly<Record<string, keyof KeyTypes>>;

/** What the keys of a codec hold in one description. */
export type KeyValues<Needs extends Keys, May extends Keys> = {
  readonly [K in keyof Needs]: KeyTypes[Needs[K]];
} & { readonly [K in keyof May]?: KeyTypes[May[K]] };

/** A kind of codec from outside, for descriptions in JSON. Made by {@link defineCodecKind}. */
export interface CodecKind {
  /** The keys that every codec of this kind has, beside `codec`, `label`, `note`, `means` and `source`. */
  readonly needs: Keys;
  /** The keys that may be left out. */
  readonly may: Keys;
  /** More of the JSON Schema (draft 2020-12) of its keys, by key. */
  readonly schema: Readonly<Record<string, { readonly [key: string]: Json }>>;
  /** What it is, for people who write descriptions. */
  readonly note: string;
  /** Makes a codec of the keys, which have been checked. What it throws becomes an issue of the description. */
  make(keys: Readonly<Record<string, unknown>>, about: About): AnyCodec;
}

/** Kinds of codec from outside by the name that descriptions have for them. */
export type CodecKinds = Readonly<Record<string, CodecKind>>;

/** What every codec of a description may have for people. */
export const aboutKeys: readonly string[] = ["label", "note", "means", "source"];
const types = [
  "place",
  "run",
  "places",
  "codec",
  "codecs",
  "number",
  "text",
  "boolean",
  "numbers",
  "texts",
  "json",
];

// What the keys hold is looked at below.
const aKind = /* @__PURE__ */ objectOf({
  needs: /* @__PURE__ */ mapOf(aText),
  "may?": /* @__PURE__ */ mapOf(aText),
  "schema?": /* @__PURE__ */ mapOf(anObject),
  "note?": aText,
  make: aFunction,
});

/**
 * A kind of codec from outside, so that descriptions in JSON can name it: which keys it has there, and how a codec is made
 * of them. The codec has the name of the kind as its `kind`, and gives the same keys as its `json`, so that `describe`
 * writes what `decoderFromJson` reads.
 * @param kind Its keys and what each holds; more of their JSON Schema; the function that makes a codec of them.
 * @throws `CvError` when a key has the name of one that every codec has, or holds something unknown.
 * @example
 * import { cv, decoderFromJson, defineCodec, defineCodecKind, describe } from "cvset";
 * const bcd = defineCodecKind({
 *   needs: { place: "place" },
 *   make: ({ place }, about) => defineCodec<number>({
 *     kind: "bcd", places: [place], about,
 *     read: (cvs) => Number(place.read(cvs).toString(16)),
 *     write: (cvs, n) => place.write(cvs, Number.parseInt(String(n), 16)),
 *     json: () => ({ place: place.toJSON() }),
 *   }),
 * });
 * const json = { id: "x1", name: "X1", kind: "multifunction", features: { hour: { codec: "bcd", place: 120 } } } as const;
 * const decoder = decoderFromJson(json, { codecs: { bcd } });
 * decoder.encode({ hour: 23 }).toJSON(); // { "120": 35 }
 * describe(decoder).features; // { hour: { codec: "bcd", place: 120 } }
 */
/* @__NO_SIDE_EFFECTS__ */
export function defineCodecKind<
  const Needs extends Keys,
  const May extends Keys = Readonly<Record<never, never>>,
>(kind: {
  readonly needs: Needs;
  readonly may?: May;
  readonly schema?: Readonly<Record<string, { readonly [key: string]: Json }>>;
  readonly note?: string;
  readonly make: (keys: KeyValues<Needs, May>, about: About) => AnyCodec;
}): CodecKind {
  needIn(aKind, kind, "kind");
  const { needs, may = {} as May, schema = {}, note = "", make } = kind;
  const issues = new IssueList();
  for (const [key, type] of [...Object.entries(needs), ...Object.entries<string>(may)]) {
    if (key === "codec" || aboutKeys.includes(key)) issues.add(reserved({ found: key }));
    if (!types.includes(type)) issues.add(optionIssue(type, types, key));
    if (Object.hasOwn(needs, key) && Object.hasOwn(may, key)) issues.add(twice({ found: key }));
  }
  if (issues.some) throw new CvError(issues.done());
  return Object.freeze({
    needs: Object.freeze({ ...needs }),
    may: Object.freeze({ ...may }),
    schema: Object.freeze({ ...schema }),
    note,
    // The keys are checked against the same types.
    make: (keys: Readonly<Record<string, unknown>>, about: About) =>
      make(keys as KeyValues<Needs, May>, about),
  });
}
