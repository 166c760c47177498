import type { AnyCodec } from "../codec/codec.js";
import type { CodecData } from "../codec/data.js";
import { clean } from "../codec/scale.js";
import { fault, type Issue } from "../cv/issue.js";
import type { Lexicon } from "./lexicon.js";
import { fromCommon, toCommon } from "./quantity.js";
import type { Setting } from "./settings.js";
import { type Quantity, unitOf } from "./term.js";
import { type Candidate, candidatesOf, type Neutral, neutralOf, quantityOf } from "./value.js";

const nearestOption = /* @__PURE__ */ fault("nearest-option", "{wanted} is not there; {got} is the nearest");
const onlyOn = /* @__PURE__ */ fault("only-on", "it is on; which kind, {wanted}, is not stored");
const onlyOnAmount = /* @__PURE__ */ fault(
  "only-on-amount",
  "it is on; how much, {wanted}{unit:text}, is not stored",
);
const nearestAmount = /* @__PURE__ */ fault(
  "nearest-amount",
  "{wanted}{unit:text} cannot be stored; {got}{gotUnit:text} is the nearest",
);
const cutText = /* @__PURE__ */ fault("text-cut", "{count} characters fit; the text is cut to {got}");
const partOfList = /* @__PURE__ */ fault("list-part", "{missing} cannot be chosen there");
const noneOfThem = /* @__PURE__ */ fault(
  "no-option-near",
  "none of the options is {wanted}{unit:text} or near to it",
);
const several = /* @__PURE__ */ fault("options-alike", "{options} are equally near to {wanted}");
const whichOne = /* @__PURE__ */ fault("which-option", "it is on; which of {options} is not known");
const howMuch = /* @__PURE__ */ fault(
  "how-much",
  "it is {wanted}; how much, {min} to {max}{unit:text}, is not known",
);
const noComparison = /* @__PURE__ */ fault(
  "not-comparable",
  "{found} is stored in a form that only the other decoder has",
);
const keyOutOfReach = /* @__PURE__ */ fault(
  "key-out-of-reach",
  "key F{wanted} cannot be chosen there; the keys are F{min} to F{max}",
);

/** What became of a value: what to store, how well it fits, and why. */
export type Converted =
  | { readonly ok: true; readonly value: unknown; readonly exact: true }
  | {
      readonly ok: true;
      readonly value: unknown;
      readonly exact: false;
      readonly why: Issue;
      /** What is stored minus what was wanted, in the common unit of the quantity. */
      readonly error?: number;
      readonly unit?: string;
    }
  | {
      readonly ok: false;
      readonly why: Issue;
      /** What could be chosen. */
      readonly options?: readonly unknown[];
    };

/** Below this share of an amount a difference is the noise of binary fractions. */
const noise = 1e-9;

/**
 * The value of a setting that means the same as another's, or nearly.
 * @param from The setting and value that are to be carried.
 * @param to The setting that is to have it.
 */
export function convert(
  from: { readonly setting: Setting; readonly value: unknown },
  to: Setting,
  lexicon: Lexicon,
): Converted {
  const neutral = neutralOf(from.setting, from.setting.codec, from.value, lexicon);
  const target = insideOf(to.codec);
  if (neutral.kind === "other") return convertOther(neutral.value, to.codec);
  if (
    target.kind === "text" ||
    target.kind === "table" ||
    target.kind === "flags" ||
    target.kind === "custom"
  ) {
    return { ok: false, why: noComparison({ found: from.value }) };
  }
  const wanted = wantedOf(from.setting, from.value, neutral);
  const candidates = candidatesOf(to, to.codec, lexicon);
  switch (neutral.kind) {
    case "option":
      return convertOption(neutral, wanted, to, candidates, lexicon);
    case "switch":
      return convertSwitch(neutral.on, wanted, to, candidates, lexicon);
    case "amount":
      return convertAmount(neutral, wanted, to, candidates, lexicon);
  }
}

function convertOption(
  { name, term }: Extract<Neutral, { kind: "option" }>,
  wanted: Wanted,
  to: Setting,
  candidates: readonly Candidate[],
  lexicon: Lexicon,
): Converted {
  const scored: { readonly value: unknown; readonly far: number }[] = [];
  for (const { value, neutral } of candidates) {
    if (neutral.kind === "option") {
      // Without terms the same name in both descriptions is all there is to compare.
      const far =
        term && neutral.term
          ? lexicon.distance(term, neutral.term)
          : !term && name === neutral.name
            ? 0
            : undefined;
      if (far !== undefined) scored.push({ value, far });
    } else if (neutral.kind === "switch" && term) {
      // Of a kind of thing a switch only tells whether it is there.
      const isThere = !lexicon.isNot(term);
      if (isThere === neutral.on) scored.push({ value, far: isThere ? 100 : 0 });
    }
  }
  const best = Math.min(...scored.map(({ far }) => far));
  const nearest = scored.filter(({ far }) => far === best);
  const options = candidates.map(({ value }) => value);
  const [first] = nearest;
  if (!first) {
    if (term && lexicon.isNot(term) && holdsNothing(to)) return { ok: true, value: 0, exact: true };
    return { ok: false, why: noneOfThem(wanted), options };
  }
  if (nearest.length > 1) {
    return {
      ok: false,
      why: several({ ...wanted, options: nearest.map(({ value }) => value) }),
      options,
    };
  }
  const { value } = first;
  if (best === 0) return { ok: true, value, exact: true };
  const why = value === true ? onlyOn(wanted) : nearestOption({ ...wanted, got: value });
  return { ok: true, value, exact: false, why };
}

function convertSwitch(
  on: boolean,
  wanted: Wanted,
  to: Setting,
  candidates: readonly Candidate[],
  lexicon: Lexicon,
): Converted {
  const inside = insideOf(to.codec);
  const level = inside.kind === "level" ? inside.scale : undefined;
  const fitting = candidates.filter(({ neutral }) =>
    neutral.kind === "switch"
      ? neutral.on === on
      : neutral.kind === "option"
        ? neutral.term !== undefined && lexicon.isNot(neutral.term) !== on
        : neutral.kind === "amount" && neutral.value > 0 === on,
  );
  const [first] = fitting;
  if (fitting.length === 1 && first && !(on && level)) return { ok: true, value: first.value, exact: true };
  if (!on && holdsNothing(to)) return { ok: true, value: 0, exact: true };
  const options = candidates.map(({ value }) => value);
  if (level) {
    const { min, max, unit } = level;
    return { ok: false, why: howMuch({ ...wanted, min, max, unit }) };
  }
  if (fitting.length === 0) return { ok: false, why: noneOfThem(wanted), options };
  return { ok: false, why: whichOne({ options: fitting.map(({ value }) => value) }), options };
}

function convertAmount(
  { value: amount, quantity }: Extract<Neutral, { kind: "amount" }>,
  wanted: Wanted,
  to: Setting,
  candidates: readonly Candidate[],
  lexicon: Lexicon,
): Converted {
  const options = candidates.map(({ value }) => value);
  const inside = insideOf(to.codec);
  const level = inside.kind === "level" ? inside : undefined;
  const amounts = candidates.flatMap(({ value, neutral }) => {
    if (neutral.kind === "amount") return [{ value, amount: neutral.value }];
    return countsFromNothing(quantity) && isOff(neutral, lexicon) ? [{ value, amount: 0 }] : [];
  });
  // What only says whether there is anything is no amount to come near to.
  const comparable = amounts.some(({ amount: one }) => one !== 0) || level !== undefined;
  if (level && quantityOf(to) === quantity) amounts.push(...amountsOf(level, amount, quantity));
  if (amounts.length && comparable) {
    const far = (one: { readonly amount: number }): number => Math.abs(one.amount - amount);
    const best = Math.min(...amounts.map(far));
    const nearest = amounts.filter((one) => far(one) <= best + noise * Math.abs(amount));
    const [first] = nearest;
    if (first && best <= noise * Math.max(1, Math.abs(amount)))
      return { ok: true, value: first.value, exact: true };
    if (first && quantity !== "key") {
      const unit = unitOf[quantity];
      const gotUnit = typeof first.value === "number" && level ? level.scale.unit : "";
      return {
        ok: true,
        value: first.value,
        exact: false,
        why: nearestAmount({ ...wanted, got: first.value, gotUnit }),
        error: clean(first.amount - amount),
        ...(unit && { unit }),
      };
    }
    const why = level
      ? keyOutOfReach({ ...wanted, min: level.scale.min, max: level.scale.max })
      : noneOfThem(wanted);
    return { ok: false, why, options };
  }
  // An amount of a thing that can only be switched: some of it is on, nothing of it is off.
  const fitting = candidates.filter(({ neutral }) =>
    amount > 0 ? neutral.kind === "switch" && neutral.on : isOff(neutral, lexicon),
  );
  const [first] = fitting;
  if (fitting.length !== 1 || !first) return { ok: false, why: noneOfThem(wanted), options };
  if (amount <= 0) return { ok: true, value: first.value, exact: true };
  return { ok: true, value: first.value, exact: false, why: onlyOnAmount(wanted) };
}

/** Whether a value says that the thing is not there or does not work. */
function isOff(neutral: Neutral, lexicon: Lexicon): boolean {
  if (neutral.kind === "switch") return !neutral.on;
  return neutral.kind === "option" && neutral.term !== undefined && lexicon.isNot(neutral.term);
}

/** Whether the amount 0 of a quantity is the same as nothing of the thing. Key 0 is F0. */
function countsFromNothing(quantity: Quantity | undefined): boolean {
  return quantity === "share" || quantity === "count";
}

/** Whether a setting stores that there is nothing of a thing as the number 0. */
function holdsNothing(to: Setting): boolean {
  const inside = insideOf(to.codec);
  return inside.kind === "level" && countsFromNothing(quantityOf(to)) && inside.scale.has(0);
}

/** The data of a codec, or of what it turns on. */
function insideOf({ data }: AnyCodec): CodecData {
  return data.kind === "switched" ? data.item.data : data;
}

/** The storable numbers of a level nearest to an amount, with their amounts. */
function amountsOf(
  { scale, names }: Extract<CodecData, { kind: "level" }>,
  amount: number,
  quantity: Quantity,
): { readonly value: number; readonly amount: number }[] {
  const { min, max } = scale;
  const measure = { unit: scale.options.unit, min, max };
  const wanted = fromCommon(amount, quantity, measure);
  if (wanted === undefined || Number.isNaN(wanted)) return [];
  const inRange = Math.min(max, Math.max(min, wanted));
  const named = new Set(Object.values(names));
  return scale.around(inRange).flatMap((stored) => {
    const value = scale.valueOf(stored);
    // Of the two numbers around one in the range, the other may be below the range, and is never above it.
    if (value < min || named.has(stored)) return [];
    return [{ value, amount: toCommon(value, quantity, measure) as number }];
  });
}

/** A text, a list or a value that only its own decoder can read. */
function convertOther(value: unknown, codec: AnyCodec): Converted {
  const { data } = codec;
  if (data.kind === "text" && typeof value === "string") {
    const count = data.run.places.length;
    const got = value.slice(0, count);
    if (got === value) return { ok: true, value, exact: true };
    return { ok: true, value: got, exact: false, why: cutText({ count, got }) };
  }
  if (data.kind === "flags" && Array.isArray(value)) {
    const names = data.names.filter((name) => name !== null);
    const missing = value.filter((name) => !names.includes(name));
    // In the order of the bits, as they are read.
    const rest = names.filter((name) => value.includes(name));
    if (missing.length === 0) return { ok: true, value: rest, exact: true };
    return { ok: true, value: rest, exact: false, why: partOfList({ missing }) };
  }
  // Of the same form in both decoders, or not to be compared.
  if (codec.tryEncode(value).ok && !isBareNumber(value)) return { ok: true, value, exact: true };
  return { ok: false, why: noComparison({ found: value }) };
}

/** A number whose unit is not known stands for nothing in another decoder. */
function isBareNumber(value: unknown): boolean {
  return typeof value === "number" || (Array.isArray(value) && value.every((one) => typeof one === "number"));
}

/** A value as reasons show it. */
interface Wanted {
  readonly wanted: unknown;
  /** The unit with a space before it; empty without one. */
  readonly unit: string;
}

function wantedOf({ codec }: Setting, value: unknown, neutral: Neutral): Wanted {
  const data = insideOf(codec);
  if (neutral.kind === "switch") return { wanted: neutral.on ? "on" : "off", unit: "" };
  if (neutral.kind === "option") return { wanted: neutral.term?.name ?? value, unit: "" };
  return { wanted: value, unit: data.kind === "level" && typeof value === "number" ? data.scale.unit : "" };
}
