import { anObject, need, needIn, objectOf } from "../cv/argument.js";
import type { CvReader, CvWriter } from "../cv/image.js";
import { CvError, fault } from "../cv/issue.js";
import { aPlace, type Part, type Place } from "../cv/place.js";
import { badStored, storedNumber } from "./amount.js";
import { type About, aboutOf, Codec } from "./codec.js";
import { needScaleOptions, Scale, type ScaleOptions } from "./scale.js";

const badName = /* @__PURE__ */ fault(
  "level-name",
  "the name {name} needs a stored number of its own, 0 to {max}, got {found}",
);
const hasName = /* @__PURE__ */ fault("has-a-name", "the stored number for {found} has a name: write {name}");

/** Options of {@link level}. */
export interface LevelOptions<Name extends string = never> extends ScaleOptions, About {
  /** Stored numbers that are no amount but have a name: `{ continuous: 0 }`. */
  readonly names?: Readonly<Record<Name, number>>;
}

const someNames = /* @__PURE__ */ objectOf({ "names?": anObject });

/** The names as they are given, and not inferred from what the codec is used for; TypeScript before 5.4 has no NoInfer. */
type Given<Name extends string> = [Name][Name extends string ? 0 : never];

/**
 * A number, with its range and unit, stored in steps. A stored number out of range is an error when it is
 * read, and is never written. The other bits of the CV are not touched.
 * @param place Where the number is stored.
 * @param options Range, unit and scale; label, note, meaning, source.
 * @throws `CvError` when min is above max, either does not fit the place, or a name is no stored number.
 * @example
 * import { cv, CvSet, level, messageOf } from "cvset";
 * const pause = level(cv(239), { unit: "s", step: 0.1, min: 0.1, max: 20 });
 * pause.encode(0.3).toJSON().cvs; // { "239": 3 }
 * pause.decode(CvSet.from({ 239: 3 })); // 0.3
 * const result = pause.tryEncode(0.25);
 * result.ok || result.issues.map((issue) => messageOf(issue)); // ["0.25 cannot be stored exactly; the nearest are 0.2 s and 0.3 s"]
 */
/* @__NO_SIDE_EFFECTS__ */
export function level<const Name extends string = never>(
  place: Place,
  options: LevelOptions<Name> = {},
): Codec<number | Given<Name>> {
  need(aPlace, place, "place");
  needScaleOptions(options);
  needIn(someNames, options, "options");
  const { label, note, means, source, names, ...scaleOptions } = options;
  const scale = new Scale(scaleOptions, place.max, place.bitsOfCvs);
  const numbers = Object.freeze({ ...names }) as Readonly<Record<Name, number>>;
  const { nameOf, numberOf } = namedNumbers(numbers, place);
  const allNames = Object.freeze(Object.keys(numbers));
  const { min, max } = scale;

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
  const { step = 1, offset = 0 } = scaleOptions;
  // How far whole numbers are from their stored numbers; undefined for any other scale, and with names.
  const distance = step === 1 && Number.isInteger(offset) && nameOf.size === 0 ? offset : undefined;
  const way =
    place.parts.length === 1
      ? byTable(place, scale, numberOf, distance, valueAt, storedOf)
      : place.parts.length === 2 && distance !== undefined
        ? byPair(place, scale, distance, valueAt, storedOf)
        : undefined;
  return new Codec<number | Name>({
    data: { kind: "level", place, scale, names: numbers },
    places: [place],
    about: aboutOf(options),
    read: way?.read ?? ((cvs) => valueAt(place.read(cvs))),
    write: way?.write ?? ((cvs, value) => place.write(cvs, storedOf(value, cvs.nearest))),
  });
}

/** The value of a stored number. */
type ValueAt<Value> = (stored: number) => Value;
/** The stored number of a value. */
type StoredOf = (value: unknown, nearest: boolean) => number;
/** A way of reading and writing, faster than that through the place. */
interface Way<Value> {
  read(cvs: CvReader): Value;
  write(cvs: CvWriter, value: unknown): void;
}

/**
 * The way of a number in one CV. It has at most 256 stored numbers, and their values are worked out once: clean
 * decimals take long to make.
 */
function byTable<Value>(
  place: Place,
  scale: Scale,
  numberOf: ReadonlyMap<unknown, number>,
  distance: number | undefined,
  valueAt: ValueAt<Value>,
  storedOf: StoredOf,
): Way<Value | number> {
  const { key, low, width } = place.parts[0] as Part;
  const ones = (1 << width) - 1;
  const mask = ones << low;
  const { min, max } = scale;
  // It begins with undefined so that V8 never takes it for a list of numbers, which it would box on each read.
  const values: (Value | undefined)[] = [undefined];
  let stored: Map<unknown, number> | undefined;
  return {
    read:
      distance === undefined
        ? (cvs) => {
            const number = (cvs.get(key) >> low) & ones;
            return (values[number] ??= valueAt(number));
          }
        : (cvs) => {
            const value = ((cvs.get(key) >> low) & ones) + distance;
            return value < min || value > max ? valueAt(value - distance) : value;
          },
    write:
      distance === undefined
        ? (cvs, value) => {
            stored ??= storedByValue(scale, numberOf, ones);
            cvs.put(key, mask, (stored.get(value) ?? storedOf(value, cvs.nearest)) << low);
          }
        : (cvs, value) => {
            const whole = typeof value === "number" && (value | 0) === value && value >= min && value <= max;
            cvs.put(key, mask, (whole ? value - distance : storedOf(value, cvs.nearest)) << low);
          },
  };
}

/** The way of a whole number in two runs of bits, such as an address. */
function byPair<Value>(
  place: Place,
  { min, max }: Scale,
  distance: number,
  valueAt: ValueAt<Value>,
  storedOf: StoredOf,
): Way<Value | number> {
  const [first, second] = place.parts as [Part, Part];
  const { key, low, width } = first;
  const { key: key2, low: low2, width: width2 } = second;
  const ones = (1 << width) - 1;
  const ones2 = (1 << width2) - 1;
  const mask = ones << low;
  const mask2 = ones2 << low2;
  return {
    read(cvs) {
      const stored = (((cvs.get(key) >> low) & ones) << width2) | ((cvs.get(key2) >> low2) & ones2);
      const value = stored + distance;
      return value < min || value > max ? valueAt(stored) : value;
    },
    write(cvs, value) {
      const whole = typeof value === "number" && (value | 0) === value && value >= min && value <= max;
      const stored = whole ? value - distance : storedOf(value, cvs.nearest);
      cvs.put(key, mask, (stored >> width2) << low);
      cvs.put(key2, mask2, (stored & ones2) << low2);
    },
  };
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
