import type { CvReader } from "../cv/image.js";

// Eight fields of a record, one statement each. V8 speeds up `object[key] = x` only where a place in the
// source always sees the same key; one text that all records share sees all of them and is several times
// slower (tests/bench/codec.mjs). A page with a content security policy rules out making copies at run
// time, so the build makes them: it repeats the function below (tsup.config.ts).

/** Reads up to eight fields into an object, a new one without it. */
export type ReadUnit = (cvs: CvReader, into?: Record<string, unknown>) => Record<string, unknown>;
/** Reads one field. */
export type ReadField = (cvs: CvReader) => unknown;

type Keys = readonly string[];
type Eight<T> = [T, T, T, T, T, T, T, T];
/** How the object for the fields of a record is made: by a constructor, or as a copy of a template. */
interface Origin {
  readonly Fresh: new () => Record<string, unknown>;
  readonly template: Readonly<Record<string, undefined>> | undefined;
}

function makeReader(keys: Keys, fields: readonly ReadField[], { Fresh, template }: Origin): ReadUnit {
  const count = keys.length;
  const [k0, k1, k2, k3, k4, k5, k6, k7] = keys as Eight<string>;
  const [f0, f1, f2, f3, f4, f5, f6, f7] = fields as Eight<ReadField>;
  return (cvs, into = template ? { ...template } : new Fresh()) => {
    into[k0] = f0(cvs);
    if (count === 1) return into;
    into[k1] = f1(cvs);
    if (count === 2) return into;
    into[k2] = f2(cvs);
    if (count === 3) return into;
    into[k3] = f3(cvs);
    if (count === 4) return into;
    into[k4] = f4(cvs);
    if (count === 5) return into;
    into[k5] = f5(cvs);
    if (count === 6) return into;
    into[k6] = f6(cvs);
    if (count === 7) return into;
    into[k7] = f7(cvs);
    return into;
  };
}

const readers = [makeReader];

/** By the names of all fields of a record: the copies that it has, and the origin of its objects. */
const known = new Map<string, { readonly copies: readonly number[]; readonly origin: Origin }>();
let next = 0;

/**
 * The readers of a record's fields, eight fields each; the first makes the object. Each takes a copy of its own, as
 * long as there are any; then it shares one with a record of the same fields, or takes them in turn. So call this
 * when a record is first read.
 */
export function readUnits(keys: Keys, fields: readonly ReadField[]): readonly ReadUnit[] {
  if (keys.length === 0) return [() => ({})];
  const name = JSON.stringify(keys);
  const same = known.get(name);
  const origin = same?.origin ?? originOf(keys);
  const copies: number[] = [];
  const units: ReadUnit[] = [];
  // Only as many as there are copies: a program may make decoders without end.
  if (next < readers.length && !same) known.set(name, { copies, origin });
  for (let i = 0; i < keys.length; i += 8) {
    const copy = (next < readers.length ? undefined : same?.copies[i / 8]) ?? next++ % readers.length;
    const make = readers[copy] as typeof makeReader;
    copies.push(copy);
    units.push(make(keys.slice(i, i + 8), fields.slice(i, i + 8), origin));
  }
  return units;
}

/**
 * The origin of objects that have room for some keys. `{}` has room for four properties, and growing it costs more
 * than reading does. What a function constructs has room for about 16; with Object.prototype as its prototype it is
 * a plain object all the same. Larger records are copies of an object that has all fields.
 */
function originOf(keys: Keys): Origin {
  function Fresh() {}
  Fresh.prototype = Object.prototype;
  return {
    Fresh: Fresh as object as Origin["Fresh"],
    template: keys.length > 16 ? Object.fromEntries(keys.map((key) => [key, undefined])) : undefined,
  };
}
