import { type CvName, lastCv, pageOf, toKey } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import type { KnownCvs } from "./address.js";
import { contentsOf, reservedBitsOf } from "./contents.js";
import { type CvRow, type CvStatus, catalogue } from "./tables.js";

/** The facts about one CV that programs ask for. */
export interface CvFacts {
  /** What may be done with it. */
  readonly status: CvStatus;
  /** It cannot be written. */
  readonly readOnly: boolean;
  /** It changes by itself. */
  readonly volatile: boolean;
  /** The mask of the bits that have no meaning. */
  readonly reservedBits: number;
}

const multifunctionFacts = /* @__PURE__ */ once("multifunction");
const accessoryFacts = /* @__PURE__ */ once("accessory");

/** The facts of both tables by CV number, [0] is empty; made when they are asked for first. */
/* @__NO_SIDE_EFFECTS__ */
function once(kind: DecoderKind): () => readonly CvFacts[] {
  let made: readonly CvFacts[] | undefined;
  return () => {
    made ??= makeFacts(kind);
    return made;
  };
}

function makeFacts(kind: DecoderKind): CvFacts[] {
  const byCv: CvFacts[] = [];
  const fill = ({ status, readOnly, volatile, cvs: [first, last] }: CvRow, shift: number): void => {
    for (let cv = first; cv <= last; cv++) {
      byCv[cv + shift] = {
        status,
        readOnly: readOnly === true,
        volatile: volatile === true,
        reservedBits: reservedBitsOf(contentsOf(cv, kind)),
      };
    }
  };
  for (const row of catalogue[kind]) fill(row, 0);
  // The aliases of an accessory decoder lie where the table leaves the CVs to makers (Table 3).
  for (const row of catalogue[kind]) if (row.alias !== undefined) fill(row, row.alias - row.cvs[0]);
  return byCv;
}

// A reserved index page; a page of the makers.
const reservedPage: CvFacts = { status: "reserved", readOnly: false, volatile: false, reservedBits: 0 };
const makersPage: CvFacts = { status: "indexed", readOnly: false, volatile: false, reservedBits: 0 };

/** The facts about the CV with a key. Index pages 0-4095 (CV 31 = 0-15) are reserved. */
export function factsOf(key: number, kind: DecoderKind): CvFacts {
  if (key > lastCv) return pageOf(key) < 4096 ? reservedPage : makersPage;
  // Both tables are complete, so there is one.
  return (kind === "accessory" ? accessoryFacts() : multifunctionFacts())[key] as CvFacts;
}

/**
 * Whether a CV cannot be written: CV 7 and 8.
 *
 * S-9.2.2 (July 2012), Table 1 and Table 3.
 * @param cv The CV: its number, or `"300@16.0"`.
 * @param kind The kind of decoder.
 * @throws `CvError` when there is no such CV.
 * @example
 * import { isReadOnly } from "cvset/standard";
 * isReadOnly(8); // true
 */
export function isReadOnly(cv: CvName, kind: DecoderKind = "multifunction"): boolean {
  return factsOf(toKey(cv), kind).readOnly;
}

/**
 * Whether the decoder changes a CV by itself while it runs: CV 880-895 of a multi-function decoder.
 *
 * S-9.2.2 (July 2012), Table 1.
 * @param cv The CV: its number, or `"300@16.0"`.
 * @param kind The kind of decoder.
 * @throws `CvError` when there is no such CV.
 * @example
 * import { isVolatile } from "cvset/standard";
 * isVolatile(894); // true
 */
export function isVolatile(cv: CvName, kind: DecoderKind = "multifunction"): boolean {
  return factsOf(toKey(cv), kind).volatile;
}

/**
 * Whether a whole CV is reserved, so that it must not be used: by its row of the table, or because it lies
 * on an index page with CV 31 = 0-15. CV 107 and 108 are in use while CV 8 = 238; that is not looked at.
 *
 * S-9.2.2 (July 2012), Table 1, Table 3, CV 31 and 32.
 * @param cv The CV: its number, or `"300@16.0"`.
 * @param kind The kind of decoder.
 * @throws `CvError` when there is no such CV.
 * @example
 * import { isReserved } from "cvset/standard";
 * [isReserved(20), isReserved("300@0.0"), isReserved(29)]; // [true, true, false]
 */
export function isReserved(cv: CvName, kind: DecoderKind = "multifunction"): boolean {
  return factsOf(toKey(cv), kind).status === "reserved";
}

/**
 * The mask of the bits of a CV that have no meaning; 0 where all have one, or the whole CV is reserved.
 *
 * S-9.2.2 (July 2012), the paragraphs of the CVs.
 * @param cv The CV: its number, or `"300@16.0"`.
 * @param kind The kind of decoder.
 * @throws `CvError` when there is no such CV.
 * @example
 * import { reservedBits } from "cvset/standard";
 * reservedBits(29); // 64
 */
export function reservedBits(cv: CvName, kind: DecoderKind = "multifunction"): number {
  return factsOf(toKey(cv), kind).reservedBits;
}

/**
 * The kind of decoder that the CVs belong to: CV 29 bit 7.
 *
 * S-9.2.2 (July 2012), CV 29 bit 7.
 * @param cvs The CVs, as far as they are known.
 * @returns The kind; undefined when CV 29 is not known.
 * @example
 * import { CvSet } from "cvset";
 * import { decoderKindOf } from "cvset/standard";
 * decoderKindOf(CvSet.from({ 29: 128 })); // "accessory"
 */
export function decoderKindOf(cvs: KnownCvs): DecoderKind | undefined {
  const configuration = cvs.get(29);
  return configuration === undefined ? undefined : configuration & 128 ? "accessory" : "multifunction";
}
