import { CvError, type Issue, nearestNames, show } from "../cv/issue.js";
import type { Part, Place } from "../cv/place.js";
import { type About, Codec, definitionError, type Json } from "./codec.js";

/** One option of a {@link choice}: its number, alone or with what it says of itself. */
export type Option = number | (OptionSpec & { readonly value: number });

/** What an option may say of itself. */
export interface OptionSpec {
  /** Its name for people. */
  readonly label?: string;
  /** A remark for people. */
  readonly note?: string;
  /** What it is in the trade's terms, the same for every decoder. */
  readonly means?: string;
}

/** The names of a choice's options. */
export type OptionName<Options> = `${keyof Options & (string | number)}`;

/**
 * One of several named options, each stored as a number. A number that no option has is an error when it
 * is read, and is never written. The other bits of the CV are not touched.
 * @param place Where the number is stored.
 * @param options The number of each option: `{ coal: 0, oil: { value: 2, label: "Oil, heavy" } }`.
 * @param about What it says of itself.
 * @throws `CvError` when there is no option, two have the same number, or one does not fit.
 * @example
 * import { choice, cv, CvSet } from "cvset";
 * const firing = choice(cv(152).bits(0, 1), { coal: 0, wood: 1, oil: 2 });
 * firing.encode("oil").toJSON().bits; // [{ "cv": "152", "mask": 3, "value": 2 }]
 * firing.decode(CvSet.from({ 152: 0b11110001 })); // "wood"
 */
/* @__NO_SIDE_EFFECTS__ */
export function choice<const Options extends Readonly<Record<string, Option>>>(
  place: Place,
  options: Options,
  about: About = {},
): Codec<OptionName<Options>> {
  type Name = OptionName<Options>;
  const specs = new Map<string, OptionSpec & { readonly value: number }>();
  const names: (Name | undefined)[] = [];
  const byValue = new Map<number, Name>();
  for (const [name, option] of Object.entries(options)) {
    const spec = typeof option === "number" ? { value: option } : option;
    const { value } = spec;
    if (!Number.isInteger(value) || value < 0 || value > place.max) {
      throw definitionError(
        `option ${show(name)} is ${show(value)}, which does not fit 0 to ${place.max}`,
        place.bitsOfCvs,
      );
    }
    const twin = byValue.get(value);
    if (twin !== undefined) {
      throw definitionError(`options ${show(twin)} and ${show(name)} are both ${value}`, place.bitsOfCvs);
    }
    specs.set(name, spec);
    byValue.set(value, name as Name);
  }
  if (specs.size === 0) throw definitionError("a choice needs an option", place.bitsOfCvs);

  const none = (value: number): never => {
    throw new CvError([notStored(place, value, byValue)]);
  };
  const raws = new Map<unknown, number>([...specs].map(([name, { value }]) => [name, value]));
  const { key, low, width } = place.parts[0] as Part;
  const single = place.parts.length === 1;
  const ones = (1 << width) - 1;
  const mask = ones << low;
  if (single) for (let value = 0; value <= ones; value++) names.push(byValue.get(value));

  return new Codec<Name>({
    kind: "choice",
    places: [place],
    about,
    read: single
      ? (cvs) => names[(cvs.get(key) >> low) & ones] ?? none(place.read(cvs))
      : (cvs) => {
          const value = place.read(cvs);
          return byValue.get(value) ?? none(value);
        },
    write(cvs, name) {
      const value = raws.get(name);
      if (value === undefined) throw new CvError([notAnOption(name, specs.keys())]);
      if (single) cvs.put(key, mask, value << low);
      else place.write(cvs, value);
    },
    text: (name) => specs.get(name)?.label ?? name,
    schema: () => ({ enum: [...specs.keys()] }),
    describe: () => ({
      place: place.toJSON(),
      options: Object.fromEntries(
        [...specs].map(([name, spec]): [string, Json] => [
          name,
          Object.keys(spec).length === 1 ? spec.value : { ...spec },
        ]),
      ),
    }),
  });
}

function notStored(place: Place, found: number, options: ReadonlyMap<number, string>): Issue {
  const known = [...options].map(([value, name]) => `${value} ${name}`);
  const shown = known.length > 12 ? [...known.slice(0, 12), `${known.length - 12} more`] : known;
  return { code: "stored", path: "", places: place.bitsOfCvs, expected: shown.join(", "), found };
}

/** The issue that a value is none of the allowed names. */
export function notAnOption(found: unknown, options: Iterable<unknown>): Issue {
  const allowed = [...options];
  // Only a text is misspelt: "1" instead of 1 is not.
  const names = allowed.filter((one) => typeof one === "string");
  const nearest = typeof found === "string" ? nearestNames(found, names) : [];
  return {
    code: "option",
    path: "",
    expected: allowed.join(", "),
    found,
    ...(nearest.length && { nearest }),
  };
}
