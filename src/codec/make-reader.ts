import type { CvReader } from "../cv/image.js";

// Eight fields of a record, one statement each. V8 speeds up `object[key] = x` only where a place in the
// source always sees the same key; one text that all records share sees all of them and is several times
// slower (tests/bench/codec.mjs). A page with a content security policy rules out making copies at run
// time, so the build makes them: it takes this file several times (tsup.config.ts).

/** Reads up to eight fields into an object, a new one without it. */
export type ReadUnit = (cvs: CvReader, into?: Record<string, unknown>) => Record<string, unknown>;
/** Reads one field. */
export type ReadField = (cvs: CvReader) => unknown;

export type Keys = readonly string[];
type Eight<T> = [T, T, T, T, T, T, T, T];
/** How the object for the fields of a record is made: by a constructor, or as a copy of a template. */
export interface Origin {
  readonly Fresh: new () => Record<string, unknown>;
  readonly template: Readonly<Record<string, undefined>> | undefined;
}

/** Makes a reader of up to eight fields; {@link Origin} makes the object. */
export function makeReader(keys: Keys, fields: readonly ReadField[], { Fresh, template }: Origin): ReadUnit {
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
