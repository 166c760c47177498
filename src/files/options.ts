import { aNumber, aText, fitting, objectOf, type Wanted } from "../cv/argument.js";
import { fault } from "../cv/issue.js";
/** How to read a file. */
export interface ReadOptions {
  /** What the file is called; it is put into every issue. */
  readonly file?: string;
  /** The most UTF-16 units that are read; 16,777,216 if not given. */
  readonly maxLength?: number;
}

/** How long a text may be, in UTF-16 units. */
export function maxLengthOf({ maxLength = 16_777_216 }: ReadOptions): number {
  return maxLength;
}

/** Options of reading. */
export const ofReading = /* @__PURE__ */ objectOf({ "file?": aText, "maxLength?": aNumber });

const notASource = /* @__PURE__ */ fault(
  "not-a-source",
  "expected a text, bytes, or pieces of them one after the other, got {found}",
);
/** What a file is read from. */
export const aSource: Wanted = (value, path, report) => {
  const isPieces =
    typeof value === "object" &&
    value !== null &&
    (Symbol.iterator in value || Symbol.asyncIterator in value);
  if (typeof value !== "string" && !isPieces) report(notASource({ found: value }, { path }));
};

/** A piece of a file that is no text. */
export const someBytes: Wanted = /* @__PURE__ */ fitting((value) => value instanceof Uint8Array, notASource);
