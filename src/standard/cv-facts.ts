import { lastCv, pageOf } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import type { KnownCvs } from "./address.js";
import { firstFreePage } from "./index-page.js";
import { type CvRow, type CvStatus, rowsOf } from "./tables.js";

/** The facts about one CV. */
export interface CvFacts {
  /** Whether it is defined, reserved, free for makers, or on index pages. */
  readonly status: CvStatus;
  /** It cannot be written. */
  readonly readOnly: boolean;
  /** The decoder changes it by itself. */
  readonly volatile: boolean;
}

const multifunctionFacts = /* @__PURE__ */ once("multifunction");
const accessoryFacts = /* @__PURE__ */ once("accessory");

/** The facts of a table by CV number; made when they are first needed. */
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
      byCv[cv + shift] = { status, readOnly: readOnly === true, volatile: volatile === true };
    }
  };
  for (const row of rowsOf(kind)) fill(row, 0);
  // The aliases of an accessory decoder are within the CVs that the table leaves to makers (Table 3).
  for (const row of rowsOf(kind)) if (row.alias !== undefined) fill(row, row.alias - row.cvs[0]);
  return byCv;
}

const reservedPage: CvFacts = { status: "reserved", readOnly: false, volatile: false };
const makersPage: CvFacts = { status: "indexed", readOnly: false, volatile: false };

/** The facts about the CV with a key. Index pages 0-4095 (CV 31 = 0-15) are reserved. */
export function factsOf(key: number, kind: DecoderKind): CvFacts {
  if (key > lastCv) return pageOf(key) < 256 * firstFreePage ? reservedPage : makersPage;
  // Both tables are complete, so every number has its facts.
  return (kind === "accessory" ? accessoryFacts() : multifunctionFacts())[key] as CvFacts;
}

/**
 * Whether a CV with a key is reserved as a whole. CV 107 and 108 are reserved unless CV 8 is 238 (S-9.2.2
 * (July 2012), Table 1, CV 107-108).
 */
export function isReserved(key: number, cvs: KnownCvs, kind: DecoderKind): boolean {
  if (factsOf(key, kind).status !== "reserved") return false;
  const holdsMaker = kind === "multifunction" && (key === 107 || key === 108);
  return !(holdsMaker && cvs.get(8) === 238);
}

/** The kind of decoder of a CV set: CV 29 bit 7 (S-9.2.2 (July 2012), CV 29); undefined when CV 29 is not known. */
export function decoderKindOf(cvs: KnownCvs): DecoderKind | undefined {
  const configuration = cvs.get(29);
  return configuration === undefined ? undefined : configuration & 128 ? "accessory" : "multifunction";
}
