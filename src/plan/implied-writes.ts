import { fault, type Issue } from "../cv/issue.js";
import { reaches, unreachable } from "../packets/access-mode.js";
import type { Address } from "../standard/address.js";
import type { CollectedWrites } from "./collected-writes.js";
import type { Group } from "./order-rules.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { byteWrite, type GroupedWrites, type Write } from "./write.js";

const halfAddress = /* @__PURE__ */ fault(
  "half-address",
  "not known, but to be written: CV 17 takes effect only when CV 18 is written",
);
const clearedByCv1 = /* @__PURE__ */ fault(
  "cleared-by-cv-1",
  "writing CV 1 clears CV 19 and bit 5 of CV 29, on the main perhaps; their contents are not known, and are lost",
);

/**
 * The writes that other writes make necessary: CV 18 after CV 17, and CV 19 and 29 after CV 1.
 *
 * S-9.2.1 (July 2012), note to Write Byte. S-9.2.3 (July 2012), section E says that a CV 1 written "using any
 * method" clears CV 19 and bit 5 of CV 29; it is a document about service mode, and whether it holds on the
 * main is open. Writing both again is right for a decoder that clears them and for one that does not.
 * @param request What is asked for.
 * @param collected The writes so far.
 * @param address On the main, the address that the decoder answers to.
 */
export function impliedWrites(
  { mode, kind, known, decoder }: PlanRequest,
  { groups }: CollectedWrites,
  address: Address | undefined,
): Findings & { readonly implied: GroupedWrites } {
  const implied = new Map<Group, Write[]>();
  const issues: Issue[] = [];
  const lost: number[] = [];
  const again = (group: Group, key: number, value: number): void => {
    if (!reaches(mode, key)) issues.push(unreachable(mode, key));
    implied.set(group, [byteWrite(key, value, value, "again")]);
  };
  if (groups.has("extended-high") && !groups.has("extended-low")) {
    const low = known.get(18);
    if (low !== undefined) again("extended-low", 18, low);
    else {
      const places = [{ cv: "18", mask: 255 }];
      issues.push(halfAddress({}, { places, source: "S-9.2.1 (July 2012), note to Write Byte" }));
    }
  }
  if (groups.has("primary") && kind === "multifunction") {
    // What is cleared is lost where it is not known and not written as a whole.
    for (const [group, key, mask] of [
      ["configuration", 29, 32],
      ["consist", 19, 255],
    ] as const) {
      const written = groups.get(group)?.[0];
      const value = known.get(key);
      // The address in use shows bit 5 of CV 29, known or not.
      if (key === 29 && value === undefined && address && ((written?.mask ?? 0) & mask) === 0) {
        if (address.kind === "extended") {
          const [others, bits] = [written?.mask ?? 0, written?.value ?? 0];
          const need = written?.need ?? "again";
          implied.set(group, [{ key, mask: others | mask, value: bits | mask, was: undefined, need }]);
        }
      } else if (written) {
        if ((written.mask & mask) !== mask) lost.push(key);
      } else if (value !== undefined) {
        if (value & mask) again(group, key, value);
      } else if (!decoder || decoder.has(key)) lost.push(key);
    }
  }
  const notes = noteOn(lost, "warning", clearedByCv1, {}, "S-9.2.3 (July 2012), section E");
  return { implied, issues, notes };
}
