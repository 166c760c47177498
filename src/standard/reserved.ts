import type { CvSet } from "../cv/cvset.js";
import type { Issue } from "../cv/issue.js";
import { numberOf, pageOf, toKey } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { originalOf } from "./aliases.js";
import { contentsOf, reservedBitsOf } from "./contents.js";
import { rowOf } from "./tables.js";

/**
 * What a CV set has in places that the standard reserves: whole CVs, bits of CVs, and index pages below
 * 16.0. A 0 there is no use. Nothing of it is ever changed by encoding; this only says that it is there.
 *
 * S-9.2.2 (July 2012), Table 1, Table 3 and the paragraphs of the CVs.
 * @param cvs The decoder's CVs.
 * @param kind The kind of decoder.
 * @example
 * import { CvSet } from "cvset";
 * import { reservedUse } from "cvset/standard";
 * reservedUse(CvSet.from({ 20: 5, 29: 66 })).map((issue) => issue.places); // [[{ cv: "20", mask: 255 }], [{ cv: "29", mask: 64 }]]
 */
export function reservedUse(cvs: CvSet, kind: DecoderKind = "multifunction"): Issue[] {
  const issues: Issue[] = [];
  for (const [cv, value] of cvs) {
    const key = toKey(cv);
    const number = numberOf(key);
    const say = (mask: number, found: number, expected: string, clause: string): void => {
      if (!found) return;
      issues.push({ code: "stored", path: "", places: [{ cv, mask }], expected, found, clause });
    };
    const page = pageOf(key);
    if (page >= 0) {
      if (page < 4096) {
        say(255, value, "index pages with CV 31 = 0 to 15 are reserved", "S-9.2.2 (July 2012), CV 31 and 32");
      }
      continue;
    }
    const shown = (kind === "accessory" ? originalOf(number) : null) ?? number;
    const { status } = rowOf(shown, kind);
    if (status === "reserved" && !isExpandedId(number, cvs, kind)) {
      say(255, value, "the CV is reserved", `S-9.2.2 (July 2012), Table ${kind === "accessory" ? 3 : 1}`);
    }
    const mask = reservedBitsOf(contentsOf(shown, kind));
    const clause = `S-9.2.2 (July 2012), ${kind === "accessory" ? "accessory " : ""}CV ${shown}`;
    for (const [low, high] of runs(mask)) {
      const run = (2 << high) - (1 << low);
      say(run, (value & run) >> low, low === high ? "the bit is reserved" : "the bits are reserved", clause);
    }
  }
  return issues;
}

/** Whether a CV is one of the two that hold the maker's number while CV 8 = 238. */
function isExpandedId(number: number, cvs: CvSet, kind: DecoderKind): boolean {
  return kind === "multifunction" && (number === 107 || number === 108) && cvs.get(8) === 238;
}

/** The runs of bits of a mask, the lowest first. */
function* runs(mask: number): Generator<[low: number, high: number], void> {
  for (let low = 0; low < 8; low++) {
    if (!(mask & (1 << low))) continue;
    let high = low;
    while (mask & (1 << (high + 1))) high++;
    yield [low, high];
    low = high;
  }
}
