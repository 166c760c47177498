import { type Keys, makeReader, type Origin, type ReadField, type ReadUnit } from "./make-reader.js";

export type { ReadUnit };

// The build makes this a list of copies (tsup.config.ts): tests/bench/codec.mjs measures what they bring.
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
