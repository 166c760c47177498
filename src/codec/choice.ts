import { anything, aText, mapOf, need, objectOf } from "../cv/argument.js";
import { notAnOption } from "../cv/faults.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { nearestNames } from "../cv/nearest.js";
import { aPlace, type Part, type Place } from "../cv/place.js";
import { type About, anAbout, Codec } from "./codec.js";

const doesNotFit = /* @__PURE__ */ fault(
  "option-does-not-fit",
  "option {name} needs a whole number from 0 to {max}, got {found}",
);
const sameNumber = /* @__PURE__ */ fault(
  "options-with-same-number",
  "options {names} have the same number {found}",
);
const notANumberOrOption = /* @__PURE__ */ fault(
  "expected-option",
  "expected a stored number, or an object with value, got {found}",
);
const noOption = /* @__PURE__ */ fault("choice-without-option", "a choice needs an option");
const noSuchNumber = /* @__PURE__ */ fault(
  "stored-option",
  "no option has the stored number {found}; the options are {options:list}",
);

/** One option of a {@link choice}: its number, alone or with what people read of it. */
export type Option =
  | number
  | {
      /** Its stored number. */
      readonly value: number;
      /** Its name for people. */
      readonly label?: string;
      /** A remark for people. */
      readonly note?: string;
      /** What it is in the trade's terms, the same for every decoder. */
      readonly means?: string;
    };

const anOption = /* @__PURE__ */ objectOf({
  value: anything,
  "label?": aText,
  "note?": aText,
  "means?": aText,
});
const someOptions = /* @__PURE__ */ mapOf((value, path, report) => {
  if (typeof value === "object" && value !== null) anOption(value, path, report);
  else if (typeof value !== "number") report(notANumberOrOption({ found: value }, { path }));
});

/**
 * One of several named options, each stored as a number. A number that no option has is an error when it
 * is read, and is never written. The other bits of the CV are not touched.
 * @param place Where the number is stored.
 * @param options The number of each option: `{ coal: 3, oil: { value: 1, label: "Oil, heavy" } }`.
 * @param about Label, note, meaning, source.
 * @throws `CvError` when there is no option, two have the same number, or one does not fit.
 * @example
 * import { choice, cv, CvSet } from "cvset";
 * const fuel = choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 });
 * fuel.encode("oil").toJSON().bits; // [{ "cv": "246", "mask": 224, "value": 32 }]
 * fuel.decode(CvSet.from({ 246: 0b11010001 })); // "slabwood"
 */
/* @__NO_SIDE_EFFECTS__ */
export function choice<const Options extends Readonly<Record<string, Option>>>(
  place: Place,
  options: Options,
  about: About = {},
): Codec<`${keyof Options & (string | number)}`> {
  type Name = `${keyof Options & (string | number)}`;
  need(aPlace, place, "place");
  need(someOptions, options, "options");
  need(anAbout, about, "about");
  const entries = Object.entries(options).map(([name, option]): [Name, Exclude<Option, number>] => [
    name as Name,
    Object.freeze(typeof option === "number" ? { value: option } : { ...option }),
  ]);
  const issues: Issue[] = [];
  const where = { places: place.bitsOfCvs };
  const byValue = new Map<number, Name>();
  const stored = new Map<unknown, number>();
  for (const [name, { value }] of entries) {
    const twin = byValue.get(value);
    if (!Number.isInteger(value) || value < 0 || value > place.max) {
      issues.push(doesNotFit({ name, max: place.max, found: value }, where));
    } else if (twin !== undefined) issues.push(sameNumber({ names: [twin, name], found: value }, where));
    byValue.set(value, name);
    stored.set(name, value);
  }
  if (entries.length === 0) issues.push(noOption({}, where));
  if (issues.length) throw new CvError(issues);

  const fails = (found: number): never => {
    const known = entries.map(([name, { value }]) => `${value} ${name}`);
    throw new CvError([noSuchNumber({ found, options: known }, where)]);
  };
  const { key, low, width } = place.parts[0] as Part;
  const single = place.parts.length === 1;
  const ones = (1 << width) - 1;
  const mask = ones << low;
  const names: (Name | undefined)[] = [];
  if (single) for (let value = 0; value <= ones; value++) names.push(byValue.get(value));

  return new Codec<Name>({
    data: { kind: "choice", place, options: Object.freeze(Object.fromEntries(entries)) },
    places: [place],
    about,
    read: single
      ? (cvs) => names[(cvs.get(key) >> low) & ones] ?? fails(place.read(cvs))
      : (cvs) => {
          const value = place.read(cvs);
          return byValue.get(value) ?? fails(value);
        },
    write(cvs, name) {
      const value = stored.get(name);
      if (value === undefined) throw new CvError([optionIssue(name, stored.keys())]);
      if (single) cvs.put(key, mask, value << low);
      else place.write(cvs, value);
    },
  });
}

/** The issue that a value is not one of the allowed ones. */
export function optionIssue(found: unknown, options: Iterable<unknown>, path = ""): Issue {
  const allowed = [...options];
  // Only a text is misspelt: "1" instead of 1 is not.
  const names = allowed.filter((one) => typeof one === "string");
  const nearest = typeof found === "string" ? nearestNames(found, names) : [];
  return notAnOption({ found, allowed, nearest }, { path });
}
