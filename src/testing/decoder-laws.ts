import fc, { type Arbitrary } from "fast-check";
import type { AnyCodec } from "../codec/codec.js";
import { need, needIn } from "../cv/argument.js";
import { CvSet } from "../cv/cvset.js";
import type { CodecKinds } from "../decoder/codec-kind.js";
import { type AnyDecoder, aDecoder, rootOf } from "../decoder/decoder.js";
import { explain } from "../decoder/explain.js";
import { tryDecoderFromJson } from "../decoder/from-json.js";
import { describe } from "../decoder/json.js";
import { settingsSchema } from "../decoder/schema.js";
import { refusal } from "./json-schema.js";
import { checkLawsOf, type Law, outcome, runLaw, said, setsFor } from "./laws.js";
import { changes, short } from "./shown.js";
import { neededBy, ofLaws, same } from "./source.js";
import { type ValuesOptions, valuesOf } from "./values.js";

/** Options of {@link checkLaws}. */
export interface DecoderLawOptions extends Pick<ValuesOptions, "at"> {
  /** The kinds of codec from outside that its description in JSON names, as for `decoderFromJson`. */
  readonly codecs?: CodecKinds;
  /** How many cases for each law; 100 without it. */
  readonly runs?: number;
  /** Where to start, to see the cases of an earlier failure again. */
  readonly seed?: number;
}

/** What {@link checkLaws} has checked. */
export interface LawsChecked {
  /** The laws that hold. */
  readonly laws: readonly string[];
  /** The laws that could not be checked, and why. */
  readonly left: readonly { readonly law: string; readonly reason: string }[];
}

const laws = {
  features: "every feature keeps the laws of codecs",
  whole: "all features together keep the laws of codecs",
  others: "a setting that is not named keeps its bits",
  explain: "any CV set can be explained",
  schema: "the schema of settings accepts what is decoded",
  factory: "the factory values stand for something",
  json: "its description in JSON makes the same decoder",
} as const;

/**
 * Checks that a decoder keeps the laws that every tool for decoders relies on. It is a whole test of a description:
 * those of codecs ({@link checkCodecLaws}), for each feature and for all together, on any base; that settings which are
 * not named keep their bits; that every CV set can be explained; that the schema of its settings accepts what is
 * decoded; that factory values stand for something; that its description in JSON makes the same decoder.
 * @param decoder The decoder.
 * @param options Values by path for codecs that hold code; kinds of codec from outside; number of cases, seed.
 * @returns The laws, and those that could not be checked: a decoder that holds code has no description in JSON.
 * @throws Error with the law, the feature, the smallest counterexample and how to see it again.
 * @example
 * import { choice, cv, defineDecoder, level, record } from "cvset";
 * import { checkLaws } from "cvset/testing";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { bell: record({ tone: choice(cv(246), { dull: 0, clear: 16 }), volume: level(cv(247), { max: 64 }) }) },
 * });
 * checkLaws(decoder, { runs: 20 }).laws.length; // 7
 */
export function checkLaws(decoder: AnyDecoder, options: DecoderLawOptions = {}): LawsChecked {
  need(aDecoder, decoder, "decoder");
  needIn(ofLaws, options, "options");
  const root = rootOf(decoder);
  const { runs = 100, seed, at = {} } = options;
  const how = { runs, ...(seed !== undefined && { seed }) };
  const again = (found: number) => `to see it again: checkLaws(decoder, { seed: ${found} })`;
  const named = (feature?: string) => ({
    name: `decoder "${decoder.id}"${feature === undefined ? "" : `, feature "${feature}",`}`,
    again,
  });
  for (const [name, codec] of Object.entries<AnyCodec>(decoder.features)) {
    checkLawsOf(codec, { ...how, at: below(name, at) }, named(name));
  }
  const settings = valuesOf(root, { at });
  const some = valuesOf(decoder, { at, partial: true });
  checkLawsOf(root, { ...how, at }, named());
  const sets = setsFor(root, settings);
  const run = (law: Law, values: Arbitrary<unknown>) =>
    runLaw(root, { what: "settings", ...law }, sets, values, how, named());
  run(keepsOthers(decoder, root), some);
  run(explains(decoder), fc.subarray(root.bits.map(({ cv }) => cv)));
  run(acceptsDecoded(decoder), settings);
  checkFactory(decoder, named().name);
  const left = checkJson(decoder, options, (law) => run(law, some));
  const done = Object.values(laws).filter((law) => !left.some((one) => one.law === law));
  return Object.freeze({ laws: Object.freeze(done), left: Object.freeze(left) });
}

/** The values by path, as one feature has them. */
function below(name: string, at: Readonly<Record<string, Arbitrary<unknown>>>) {
  const own = Object.entries(at).flatMap(([path, values]) => {
    if (path === name) return [["", values] as const];
    return path.startsWith(`${name}.`) ? [[path.slice(name.length + 1), values] as const] : [];
  });
  return Object.fromEntries(own);
}

function keepsOthers(decoder: AnyDecoder, root: AnyCodec): Law {
  const derived = new Set(
    (root.spec.derivations?.list ?? []).flatMap(({ place }) => place.bitsOfCvs.map(({ cv }) => cv)),
  );
  return {
    name: laws.others,
    check(cvs, value) {
      const settings = value as Readonly<Record<string, unknown>>;
      const after = decoder.encode(settings as never, cvs);
      const masks = new Map<string, number>();
      for (const name of Object.keys(settings)) {
        for (const { cv, mask } of decoder.features[name]?.bits ?? []) {
          masks.set(cv, (masks.get(cv) ?? 0) | mask);
        }
      }
      const wrong = [...after].some(
        ([cv, byte]) => !derived.has(cv) && (byte ^ (cvs.get(cv) ?? 0)) & ~(masks.get(cv) ?? 0),
      );
      return wrong ? changes(cvs, after) : undefined;
    },
  };
}

/** Sets that lack some CVs are explained too. */
function explains(decoder: AnyDecoder): Law {
  return {
    name: laws.explain,
    what: "CVs that the set lacks",
    check(cvs, value) {
      for (const one of [cvs, cvs.without(...(value as readonly string[])), CvSet.empty]) {
        const { lines, issues } = explain(decoder, one);
        const odd = lines.find(({ path, text }) => typeof path !== "string" || typeof text !== "string");
        if (odd) return `a line without path or text: ${short(odd)}`;
        said(issues);
      }
      return undefined;
    },
  };
}

function acceptsDecoded(decoder: AnyDecoder): Law {
  const schema = settingsSchema(decoder);
  return {
    name: laws.schema,
    check(cvs, value) {
      for (const settings of [value, decoder.tryDecode(cvs).value ?? {}]) {
        const wrong = refusal(schema, { settings });
        if (wrong !== undefined) return `${wrong}; decoded: ${short(settings)}`;
      }
      return undefined;
    },
  };
}

/** Of features that the factory values hold as a whole, each can be decoded. */
function checkFactory(decoder: AnyDecoder, name: string): void {
  const factory = decoder.defaults();
  for (const [feature, codec] of Object.entries<AnyCodec>(decoder.features)) {
    if (![...codec.bits, ...neededBy(codec)].every(({ cv }) => factory.has(cv))) continue;
    const result = codec.tryDecode(factory);
    if (!result.ok)
      throw new Error(`${name} breaks a law: ${laws.factory}\n${feature}: ${said(result.issues)}`);
  }
}

function checkJson(
  decoder: AnyDecoder,
  { codecs }: DecoderLawOptions,
  run: (law: Law) => void,
): { readonly law: string; readonly reason: string }[] {
  const described = outcome(() => describe(decoder));
  if ("error" in described) return [{ law: laws.json, reason: described.error.message }];
  const json: unknown = JSON.parse(JSON.stringify(described.value));
  const made = tryDecoderFromJson(json, { ...(codecs && { codecs }) });
  if (!made.ok) {
    const hint = codecs ? "" : "\nkinds of codec from outside are given as checkLaws(decoder, { codecs })";
    throw new Error(`decoder "${decoder.id}" breaks a law: ${laws.json}\n${said(made.issues)}${hint}`);
  }
  const other = made.value;
  run({
    name: laws.json,
    check(cvs, value) {
      const twice: unknown = JSON.parse(JSON.stringify(describe(other)));
      if (!same(twice, json)) return `its own description differs: ${short(twice)}`;
      const [one, two] = [decoder, other].map((each) => each.tryDecode(cvs));
      if (!same(one?.value, two?.value) || one?.ok !== two?.ok) {
        return `decoded: ${short(one?.value)}; after JSON: ${short(two?.value)}`;
      }
      const [first, second] = [decoder, other].map((each) => each.tryEncode(value, cvs));
      if (first?.ok && second?.ok)
        return first.value.equals(second.value) ? undefined : changes(first.value, second.value);
      return first?.ok === second?.ok ? undefined : "only one of them can encode it";
    },
  });
  return [];
}
