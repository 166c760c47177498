import { need } from "../cv/argument.js";
import { type CvsLike, toCvSet } from "../cv/cvset.js";
import { fault, type Issue } from "../cv/issue.js";
import { numberOf, pageOf, toKey } from "../cv/name.js";
import { aDecoderKind, type DecoderKind } from "../decoder/decoder.js";
import { originalOf } from "./aliases.js";
import { isReserved } from "./cv-facts.js";
import { reservedBitsOf } from "./reserved-bits.js";

const reservedPage = /* @__PURE__ */ fault(
  "reserved-page",
  "index pages with CV 31 = 0 to 15 are reserved; found {found}",
);
const reservedCv = /* @__PURE__ */ fault("reserved-cv", "the CV is reserved; found {found}");
const reservedBit = /* @__PURE__ */ fault("reserved-bit", "the bit is reserved; found {found}");
const reservedBits = /* @__PURE__ */ fault("reserved-bits", "the bits are reserved; found {found}");

/**
 * The values other than 0 that a CV set has in places that the standard reserves: whole CVs, bits of CVs,
 * and index pages with CV 31 below 16. Encoding never changes them.
 *
 * S-9.2.2 (July 2012), Table 1, Table 3 and the paragraphs of the CVs.
 * @param cvs The decoder's CVs.
 * @param kind The kind of decoder.
 * @returns One issue for each place, in CV order.
 * @example
 * import { CvSet } from "cvset";
 * import { reservedUse } from "cvset/standard";
 * reservedUse(CvSet.from({ 20: 5, 29: 66 })).map((issue) => issue.places); // [[{ cv: "20", mask: 255 }], [{ cv: "29", mask: 64 }]]
 */
export function reservedUse(cvs: CvsLike, kind: DecoderKind = "multifunction"): Issue[] {
  const held = toCvSet(cvs);
  need(aDecoderKind, kind, "kind");
  const issues: Issue[] = [];
  for (const [cv, found] of held) {
    const key = toKey(cv);
    if (isReserved(key, held, kind)) {
      if (!found) continue;
      const isPage = pageOf(key) >= 0;
      const document = isPage ? "CV 31 and 32" : `Table ${kind === "accessory" ? 3 : 1}`;
      const where = { places: [{ cv, mask: 255 }], source: `S-9.2.2 (July 2012), ${document}` };
      issues.push((isPage ? reservedPage : reservedCv)({ found }, where));
      continue;
    }
    const number = numberOf(key);
    const shown = kind === "accessory" ? `accessory CV ${originalOf(number) ?? number}` : `CV ${number}`;
    for (const [low, high] of runs(reservedBitsOf(key, kind))) {
      const run = (2 << high) - (1 << low);
      if ((found & run) === 0) continue;
      const where = { places: [{ cv, mask: run }], source: `S-9.2.2 (July 2012), ${shown}` };
      issues.push((low === high ? reservedBit : reservedBits)({ found: (found & run) >> low }, where));
    }
  }
  return issues;
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
