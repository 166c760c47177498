import type { CvWriter } from "../cv/image.js";
import { CvError, fault } from "../cv/issue.js";
import type { Part, Place } from "../cv/place.js";
import { badStored, storedNumber } from "./amount.js";
import { type About, aboutOf, Codec } from "./codec.js";
import { Scale, type ScaleOptions } from "./scale.js";

const badName = /* @__PURE__ */ fault(
  "level-name",
  "the name {name} needs a stored number of its own, 0 to {max}, got {found}",
);
const hasName = /* @__PURE__ */ fault("has-a-name", "{found} has a name: write {name}");

/** Options of {@link level}. */
export interface LevelOptions<Name extends string = never> extends ScaleOptions, About {
  /** Stored numbers that are no amount but have a name: `{ continuous: 0 }`. */
  readonly names?: Readonly<Record<Name, number>>;
}

/**
 * A number, with its range and unit, stored in steps. A stored number out of range is an error when it is
 * read, and is never written. The other bits of the CV are not touched.
 * @param place Where the number is stored.
 * @param options Range, unit and scale; label, note, meaning, source.
 * @throws `CvError` when min is above max, either does not fit the place, or a name is no stored number.
 * @example
 * import { cv, CvSet, level, messageOf } from "cvset";
 * const pause = level(cv(161), { unit: "s", step: 0.1, min: 0.1, max: 20 });
 * pause.encode(0.3).toJSON().cvs; // { "161": 3 }
 * pause.decode(CvSet.from({ 161: 3 })); // 0.3
 * const result = pause.tryEncode(0.25);
 * result.ok || result.issues.map((issue) => messageOf(issue)); // ["0.25 cannot be stored exactly; the nearest are 0.2 s and 0.3 s"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function level<const Name extends string = never>(
  place: Place,
  options: LevelOptions<Name> = {},
): Codec<number | NoInfer<Name>> {
  const { label, note, means, source, names, ...scaleOptions } = options;
  const scale = new Scale(scaleOptions, place.max, place.bitsOfCvs);
  const numbers = Object.freeze({ ...names }) as Readonly<Record<Name, number>>;
  const { nameOf, numberOf } = namedNumbers(numbers, place);
  const allNames = Object.keys(numbers);
  const { key, low, width } = place.parts[0] as Part;
  const single = place.parts.length === 1;
  const ones = (1 << width) - 1;
  const mask = ones << low;
  const { min, max } = scale;
  // Stored numbers are the values, as they are.
  const direct = scale.plain && nameOf.size === 0;

  const valueAt = (stored: number): number | Name => {
    const name = nameOf.get(stored);
    if (name !== undefined) return name;
    const value = scale.valueOf(stored);
    if (value < min || value > max) {
      throw new CvError([badStored(scale, stored, { places: place.bitsOfCvs }, numbers)]);
    }
    return value;
  };
  const storedOf = (value: unknown, nearest: boolean): number => {
    const named = numberOf.get(value);
    if (named !== undefined) return named;
    const stored = storedNumber(scale, value, nearest, allNames);
    const name = nameOf.get(stored);
    if (name !== undefined) throw new CvError([hasName({ found: value, name })]);
    return stored;
  };
  const data = { kind: "level", place, scale, names: numbers } as const;
  const base = { data, places: [place], about: aboutOf(options) };

  if (direct && place.width < 31) {
    const read = directReader(place);
    const write = directWriter(place);
    return new Codec<number | Name>({
      ...base,
      read(cvs) {
        const stored = read(cvs);
        return stored < min || stored > max ? valueAt(stored) : stored;
      },
      write(cvs, value) {
        if (typeof value === "number" && (value | 0) === value && value >= min && value <= max) {
          write(cvs, value);
        } else place.write(cvs, storedOf(value, cvs.nearest));
      },
    });
  }
  if (!single) {
    return new Codec<number | Name>({
      ...base,
      read: (cvs) => valueAt(place.read(cvs)),
      write: (cvs, value) => place.write(cvs, storedOf(value, cvs.nearest)),
    });
  }
  // At most 256 stored numbers: their values are worked out once, since clean decimals take long to make.
  const values: (number | Name)[] = [];
  let stored: Map<unknown, number> | undefined;
  return new Codec<number | Name>({
    ...base,
    read(cvs) {
      const number = (cvs.get(key) >> low) & ones;
      return (values[number] ??= valueAt(number));
    },
    write(cvs, value: unknown) {
      stored ??= storedByValue(scale, numberOf, ones);
      const number = stored.get(value) ?? storedOf(value, cvs.nearest);
      cvs.put(key, mask, number << low);
    },
  });
}

/** The stored number of every value in range, and of every name. */
function storedByValue(
  scale: Scale,
  numberOf: ReadonlyMap<unknown, number>,
  top: number,
): Map<unknown, number> {
  const stored = new Map<unknown, number>();
  const named = new Set(numberOf.values());
  for (let number = 0; number <= top; number++) {
    const value = scale.valueOf(number);
    if (value >= scale.min && value <= scale.max && !named.has(number)) stored.set(value, number);
  }
  for (const [name, number] of numberOf) stored.set(name, number);
  return stored;
}

/** Reads the number of a place. One CV and a pair are common enough for a short way, which is inlined. */
function directReader(place: Place): Place["read"] {
  const [first, second, third] = place.parts;
  if (!first || third) return (cvs) => place.read(cvs);
  const { key, low, width } = first;
  const ones = (1 << width) - 1;
  if (!second) return (cvs) => (cvs.get(key) >> low) & ones;
  const { key: key2, low: low2, width: width2 } = second;
  const ones2 = (1 << width2) - 1;
  return (cvs) => (((cvs.get(key) >> low) & ones) << width2) | ((cvs.get(key2) >> low2) & ones2);
}

/** Writes a number that fits into a place. */
function directWriter(place: Place): (cvs: CvWriter, value: number) => void {
  const [first, second, third] = place.parts;
  if (!first || third) return (cvs, value) => place.write(cvs, value);
  const { key, low, width } = first;
  const mask = ((1 << width) - 1) << low;
  if (!second) return (cvs, value) => cvs.put(key, mask, value << low);
  const { key: key2, low: low2, width: width2 } = second;
  const ones2 = (1 << width2) - 1;
  const mask2 = ones2 << low2;
  return (cvs, value) => {
    cvs.put(key, mask, (value >> width2) << low);
    cvs.put(key2, mask2, (value & ones2) << low2);
  };
}

function namedNumbers<Name extends string>(names: Readonly<Record<Name, number>>, place: Place) {
  const nameOf = new Map<number, Name>();
  const numberOf = new Map<unknown, number>();
  for (const [name, stored] of Object.entries<number>(names)) {
    if (!Number.isInteger(stored) || stored < 0 || stored > place.max || nameOf.has(stored)) {
      throw new CvError([badName({ name, max: place.max, found: stored }, { places: place.bitsOfCvs })]);
    }
    nameOf.set(stored, name as Name);
    numberOf.set(name, stored);
  }
  return { nameOf, numberOf };
}
