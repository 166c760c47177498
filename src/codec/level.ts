import type { CvWriter } from "../cv/image.js";
import { type BitsOfCv, CvError, type Issue, show } from "../cv/issue.js";
import type { Part, Place } from "../cv/place.js";
import { notAnOption } from "./choice.js";
import { type About, aboutOf, Codec, definitionError, type Json } from "./codec.js";
import { Scale, type ScaleOptions } from "./scale.js";

/** What a {@link level} may say besides its place. */
export interface LevelOptions<Name extends string = never> extends ScaleOptions, About {
  /** Stored numbers that are no amount but have a name: `{ continuous: 0 }`. */
  readonly names?: Readonly<Record<Name, number>>;
}

/**
 * A number, with its range and unit, stored in steps. A stored number out of range is an error when it is
 * read, and is never written. The other bits of the CV are not touched.
 * @param place Where the number is stored.
 * @param options Range, unit and scale.
 * @throws `CvError` when min is above max, either does not fit the place, or a name is no stored number.
 * @example
 * import { cv, CvSet, level } from "cvset";
 * const pause = level(cv(161), { unit: "s", step: 0.1, min: 0.1, max: 20 });
 * pause.encode(0.3).toJSON().cvs; // { "161": 3 }
 * pause.decode(CvSet.from({ 161: 3 })); // 0.3
 * const result = pause.tryEncode(0.25);
 * result.ok || result.issues[0]?.expected; // "0.2 s and 0.3 s"
 */
/* @__NO_SIDE_EFFECTS__ */
export function level<const Name extends string = never>(
  place: Place,
  options: LevelOptions<Name> = {},
): Codec<number | NoInfer<Name>> {
  const { label, note, means, clause, names, ...scaleOptions } = options;
  const scale = new Scale(scaleOptions, place.max, place.bitsOfCvs);
  const named = namedNumbers<Name>(names, place);
  const { key, low, width } = place.parts[0] as Part;
  const single = place.parts.length === 1;
  const ones = (1 << width) - 1;
  const mask = ones << low;
  const direct = scale.plain && named.size === 0;
  const { min, max } = scale;
  const everything = min === 0 && max === place.max;
  // A pair of CVs, such as an address, is common enough for a way of its own.
  const [, second, third] = place.parts;
  const paired = direct && second !== undefined && third === undefined && place.width < 31;
  const { key: key2 = 0, low: low2 = 0, width: width2 = 0 } = second ?? {};
  const ones2 = (1 << width2) - 1;
  const mask2 = ones2 << low2;

  const slow = (stored: number): number | Name => {
    const name = named.get(stored);
    if (name !== undefined) return name;
    const value = scale.valueOf(stored);
    if (!scale.has(value)) throw outOfRange(place.bitsOfCvs, stored, scale, named);
    return value;
  };
  const values: (number | Name)[] = [];
  const writeSlowly = (cvs: CvWriter, value: unknown): void => {
    let stored: number;
    if (typeof value === "string" && named.size > 0) {
      stored = numberOfName(named, value, scale);
    } else {
      try {
        stored = scale.stored(value, cvs.nearest);
      } catch (error) {
        throw withNames(error, named);
      }
      const name = named.get(stored);
      if (name !== undefined) {
        throw new CvError([{ code: "content", path: "", expected: `write "${name}"`, found: value }]);
      }
    }
    place.write(cvs, stored);
  };

  return new Codec<number | Name>({
    kind: "level",
    places: [place],
    about: aboutOf(options),
    // The quick ways are short, so that they are inlined.
    read: paired
      ? (cvs) => {
          const stored = (((cvs.get(key) >> low) & ones) << width2) | ((cvs.get(key2) >> low2) & ones2);
          return stored < min || stored > max ? slow(stored) : stored;
        }
      : single && direct
        ? everything
          ? (cvs) => (cvs.get(key) >> low) & ones
          : (cvs) => {
              const stored = (cvs.get(key) >> low) & ones;
              return stored < min || stored > max ? slow(stored) : stored;
            }
        : single
          ? (cvs) => {
              // Worked out once for each of the 256 numbers at most: clean decimals are not cheap.
              const stored = (cvs.get(key) >> low) & ones;
              return (values[stored] ??= slow(stored));
            }
          : (cvs) => slow(place.read(cvs)),
    write: paired
      ? (cvs, value) => {
          if (typeof value === "number" && (value | 0) === value && value >= min && value <= max) {
            cvs.put(key, mask, (value >> width2) << low);
            cvs.put(key2, mask2, (value & ones2) << low2);
          } else writeSlowly(cvs, value);
        }
      : single && direct && everything
        ? (cvs, value) => {
            if (typeof value === "number" && (value & ones) === value) cvs.put(key, mask, value << low);
            else writeSlowly(cvs, value);
          }
        : single && direct
          ? (cvs, value) => {
              if (typeof value === "number" && (value | 0) === value && value >= min && value <= max) {
                cvs.put(key, mask, value << low);
              } else writeSlowly(cvs, value);
            }
          : writeSlowly,
    text: (value) => (typeof value === "number" ? scale.text(value) : value),
    schema: () => {
      if (named.size === 0) return scale.schema();
      // A number that has a name is written by its name.
      const taken = [...named.keys()]
        .map((stored) => scale.valueOf(stored))
        .filter((value) => scale.has(value));
      const amount = { ...scale.schema(), ...(taken.length && { not: { enum: taken } }) };
      return { anyOf: [amount, { enum: [...named.values()] }] };
    },
    describe: (): Record<string, Json> => ({
      place: place.toJSON(),
      ...scaleOptions,
      ...(names && { names: { ...names } }),
    }),
  });
}

function namedNumbers<Name extends string>(
  names: Readonly<Record<Name, number>> | undefined,
  place: Place,
): ReadonlyMap<number, Name> {
  const named = new Map<number, Name>();
  for (const [name, stored] of Object.entries<number>(names ?? {})) {
    if (!Number.isInteger(stored) || stored < 0 || stored > place.max || named.has(stored)) {
      throw definitionError(
        `the name "${name}" needs a stored number of its own, 0 to ${place.max}`,
        place.bitsOfCvs,
      );
    }
    named.set(stored, name as Name);
  }
  return named;
}

function numberOfName(named: ReadonlyMap<number, string>, value: string, scale: Scale): number {
  for (const [stored, name] of named) if (name === value) return stored;
  const issue = notAnOption(value, named.values());
  throw new CvError([{ ...issue, expected: `${issue.expected}, or a number, ${scale.range()}` }]);
}

/** A scale's error, which knows of no names: where a number is refused, they are allowed too. */
function withNames(error: unknown, named: ReadonlyMap<number, string>): unknown {
  if (!(error instanceof CvError) || named.size === 0) return error;
  const names = [...named.values()].map((name) => `, or ${show(name)}`).join("");
  return new CvError(
    error.issues.map((issue) =>
      issue.code === "between" ? issue : { ...issue, expected: `${issue.expected}${names}` },
    ),
  );
}

/** The error that a stored number stands for no value. */
export function outOfRange(
  places: readonly BitsOfCv[],
  found: number,
  scale: Scale,
  named: ReadonlyMap<number, string> = new Map(),
): CvError {
  const ends = [scale.stored(scale.min, true), scale.stored(scale.max, true)].sort((a, b) => a - b);
  const stored = scale.plain ? "" : ` (stored as ${ends.join(" to ")})`;
  const names = [...named].map(([n, name]) => `, or ${n} for ${name}`).join("");
  const issue: Issue = {
    code: "range",
    path: "",
    places,
    expected: `${scale.range()}${stored}${names}`,
    found,
  };
  return new CvError([issue]);
}
