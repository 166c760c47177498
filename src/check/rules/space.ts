import { firstIndexed, lastCv, lastIndexed, nameOf, pageOf } from "../../cv/name.js";
import { expandedManufacturer } from "../../standard/identity.js";
import { keysOf, knownOf } from "../known.js";
import { defineRule, type Found, nothing, whole } from "../rule.js";

// Loops over every CV of the set: they run for each file of a fleet, so they go by key and make no text
// before there is something to say.

// These bits of CV 28 got meanings after 2012 (S-9.3.2 of December 2012, RCN-217; from memory), so that the
// set of a newer decoder has them for good reason.
const laterBitsOf28 = 0b11010000;

/** The rules about which CVs and bits there are at all. */
export const spaceRules = [
  /* @__PURE__ */ defineRule({
    name: "reserved-cv",
    severity: "warning",
    summary:
      "A CV that the standard reserves, and that the decoder's description does not have, is not 0, or is to be written.",
    source: "S-9.2.2 (July 2012), Tables 1 and 3",
    mend: "Take the CV out of the set.",
    find({ cvs, decoder, forWriting, remember }) {
      const { standing } = knownOf(decoder);
      const { owned } = decoder.root;
      // Two CVs hold the maker's number where CV 8 says so. A description that has the standard's codec for
      // them has them on no other terms.
      const expanded = decoder.kind === "multifunction" && cvs.get(8) === 238;
      const byStandard = Object.values<unknown>(decoder.features).includes(expandedManufacturer);
      let found: Found[] | undefined;
      for (const key of remember(keysOf)) {
        if (key > lastCv) break;
        if (standing[key]?.status !== "reserved") continue;
        const makersNumber = key === 107 || key === 108;
        if (makersNumber ? expanded || (owned.has(key) && !byStandard) : owned.has(key)) continue;
        // What is read out of a decoder has a 0 wherever there is nothing.
        if (cvs.get(key) === 0 && !forWriting) continue;
        (found ??= []).push({ message: `CV ${key} is reserved and must not be used`, places: whole(key) });
      }
      return found ?? nothing;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "reserved-bit",
    severity: "warning",
    summary:
      "A bit that the standard gives no meaning, and that the decoder's description does not have, is set.",
    source: "S-9.2.2 (July 2012), the paragraph of the CV",
    mend: "Clear the bit.",
    find({ cvs, decoder, remember }) {
      const { standing } = knownOf(decoder);
      const { owned } = decoder.root;
      const found: Found[] = [];
      for (const key of remember(keysOf)) {
        const reserved = standing[key]?.reservedBits;
        if (!reserved) continue;
        const set = (cvs.get(key) ?? 0) & reserved & ~(owned.get(key) ?? 0);
        const later = key === 28 && decoder.kind === "multifunction" ? set & laterBitsOf28 : 0;
        if (set & ~later)
          found.push(reservedFound(key, set & ~later, key === 28 ? " in the 2012 edition" : ""));
        if (later) {
          const edition = " in the 2012 edition; later ones use it";
          found.push({ ...reservedFound(key, later, edition), severity: "note" });
        }
      }
      return found;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "reserved-page",
    severity: "warning",
    summary: "A CV on an index page that is reserved for the NMRA: CV 31 from 0 to 15.",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
    mend: "Give CV 31 the value that the decoder's manual names, 16 or more.",
    find({ cvs, decoder, remember }) {
      const found: Found[] = [];
      const { owned } = decoder.root;
      let bare = false;
      for (const key of remember(keysOf)) {
        const page = pageOf(key);
        if (page < 0) bare ||= key >= firstIndexed && key <= lastIndexed;
        else if (page < 4096 && !owned.has(key)) {
          const message = `CV ${nameOf(key)} is on a page that is reserved for the NMRA`;
          found.push({ message, places: whole(nameOf(key)) });
        }
      }
      const high = cvs.get(31);
      if (high !== undefined && high < 16) {
        const message = `CV 31 is ${high}: the pages below 16 are reserved for the NMRA`;
        // It only points somewhere; as long as no CV of a page is in the set, nothing hangs on it.
        found.push({ message, places: whole(31), ...(!bare && { severity: "note" }) });
      }
      return found;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "read-only-cv",
    severity: "warning",
    summary:
      "A CV that cannot be written is in a set that is to be written. (A write of 8 to CV 8 asks for a factory reset.)",
    source: "S-9.2.2 (July 2012), Tables 1 and 3; S-9.2.3 (July 2012), Decoder Factory Reset",
    mend: "Take the CV out of the set before it is written.",
    find({ cvs, decoder, forWriting, remember }) {
      if (!forWriting) return nothing;
      const { standing } = knownOf(decoder);
      const found: Found[] = [];
      for (const key of remember(keysOf)) {
        if (!standing[key]?.readOnly) continue;
        const reset = key === 8 && cvs.get(8) === 8;
        const message = reset
          ? "CV 8 = 8 asks the decoder for a factory reset when it is written"
          : `CV ${key} cannot be written`;
        found.push({ message, places: whole(key), ...(reset && { severity: "error" }) });
      }
      return found;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "page-missing",
    severity: "warning",
    summary:
      "A CV from 257 to 512 without its index page: which one it is depends on CV 31 and 32 at the time.",
    source: "S-9.2.2 (July 2012), CV 31, 32 and 257-512",
    mend: 'Write it with its page: "300@16.0" is CV 300 while CV 31 = 16 and CV 32 = 0.',
    find({ cvs, remember }) {
      const bare: number[] = [];
      for (const key of remember(keysOf)) if (key >= firstIndexed && key <= lastIndexed) bare.push(key);
      const [high, low] = [cvs.get(31), cvs.get(32)];
      return bare.map((key) => ({
        message: `CV ${key} has no index page`,
        places: whole(key),
        ...(high !== undefined &&
          low !== undefined && {
            mend: `Write it with its page; if that is the one of CV 31 and 32 in this set, as "${key}@${high}.${low}".`,
          }),
      }));
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "unknown-cv",
    severity: "warning",
    summary: "The decoder's description does not have this CV, and the standard leaves it to makers.",
    source: "description of the decoder; S-9.2.2 (July 2012), Tables 1 and 3",
    mend: "Check the number in the manual; take the CV out, name the right decoder, or add it to the description.",
    last: true,
    find({ decoder, spoken, remember }) {
      const { standing, describesMaker } = knownOf(decoder);
      // A description of the standard alone says nothing of any maker's CVs.
      if (!describesMaker) return nothing;
      const { owned } = decoder.root;
      let found: Found[] | undefined;
      for (const key of remember(keysOf)) {
        if (owned.has(key)) continue;
        const status = key > lastCv ? "indexed" : standing[key]?.status;
        if (status !== "manufacturer" && status !== "indexed") continue;
        const places = whole(nameOf(key));
        if (spoken(places)) continue;
        const message = `CV ${nameOf(key)} is none that ${decoder.name} is described to have`;
        (found ??= []).push({ message, places });
      }
      return found ?? nothing;
    },
  }),
];

function reservedFound(cv: number, mask: number, edition: string): Found {
  const bits = [0, 1, 2, 3, 4, 5, 6, 7].filter((bit) => mask & (1 << bit));
  const message = `CV ${cv} bit ${bits.join(" and ")} ${bits.length > 1 ? "are" : "is"} set, but reserved${edition}`;
  return { message, places: [{ cv: String(cv), mask }] };
}
