/** A word of the trade that has the same meaning for every decoder. */
export interface Term {
  /** The word, in the form in which descriptions use it. Capitals make no difference. */
  readonly name: string;
  /** What it belongs to: `"signals"`, `"lamps"`. */
  readonly group: string;
  /**
   * What the value of a setting with this term is: `"choice"`, one of several options; `"switch"`, yes or no; `"text"`;
   * or a quantity, `"share"` and those after it. `"part"` is a thing that has settings of its own, `"option"` an option
   * of a choice or the name of a number, and `"output"` tells which output a setting belongs to.
   */
  readonly type:
    | "choice"
    | "switch"
    | "text"
    | "part"
    | "option"
    | "output"
    | "share"
    | "time"
    | "length"
    | "speed"
    | "frequency"
    | "count"
    | "step"
    | "key";
  /** What the word means, in one sentence. */
  readonly definition: string;
  /** The unit in which differences are given: `"s"`, `"%"`. Absent for what has no unit. */
  readonly unit?: string;
  /** For an option: the term that it is an option of; absent for one that fits any choice. */
  readonly of?: string;
  /** The wider term that includes this one: an oil lamp's flicker is a kind of flicker. */
  readonly kindOf?: string;
  /** For options that have an order: the place in it. The nearest option has the nearest rank. */
  readonly rank?: number;
  /** For options that stand for an amount: the amount, in the unit of the setting's quantity. */
  readonly amount?: number;
}

/** What the value of a setting with a term is. */
export type TermType = Term["type"];

/** A quantity: what is compared as a number. */
export type Quantity = Exclude<TermType, "choice" | "switch" | "text" | "part" | "option" | "output">;

/** The unit in which a quantity is compared. */
export const unitOf: Readonly<Record<Quantity, string>> = {
  share: "%",
  time: "s",
  length: "mm",
  speed: "km/h",
  frequency: "Hz",
  count: "",
  step: "",
  key: "",
};

/** Whether the value of a term is a quantity. */
export function isQuantity(type: TermType): type is Quantity {
  return Object.hasOwn(unitOf, type);
}

type Row = readonly [
  name: string,
  type: TermType,
  definition: string,
  more?: Pick<Term, "of" | "kindOf" | "rank" | "amount">,
];

/** The terms of a group, from a table of rows. */
/* @__NO_SIDE_EFFECTS__ */
export function termsOf(group: string, rows: readonly Row[]): readonly Term[] {
  return rows.map(([name, type, definition, more]) => {
    const unit = isQuantity(type) ? unitOf[type] : "";
    return Object.freeze({ name, group, type, definition, ...(unit && { unit }), ...more });
  });
}
