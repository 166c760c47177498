import { ownedOf } from "../../codec/codec.js";
import { firstIndexed, lastCv, lastIndexed, nameOf, pageOf } from "../../cv/name.js";
import { factsOf, isReserved } from "../../standard/cv-facts.js";
import { biDirectionalLater } from "../../standard/cv28.js";
import { identity } from "../../standard/identity.js";
import { firstFreePage } from "../../standard/index-page.js";
import { reservedBitsOf } from "../../standard/reserved-bits.js";
import { isMakers, keysOf, knownOf } from "../known.js";
import { cvsText, defineRule, type Found, nothing, whole } from "../rule.js";

// These rules go through every CV of every file of a fleet; so they use keys, and make texts only for
// findings.

/** How to fix a reserved CV or bit: a later edition or the maker may have given it a meaning. */
function described(what: "CV" | "bit"): string {
  const clear = what === "CV" ? "Remove the CV from the set" : "Clear the bit";
  return `${clear}; if the decoder's manual or a later edition gives it a meaning, put it into the decoder's description or silence this.`;
}

const reservedText = (cvs: readonly string[]): string =>
  `${cvsText(cvs)} are reserved in the edition of July 2012`;
const reservedPageText = (cvs: readonly string[]): string =>
  `${cvsText(cvs)} are on pages that the edition of July 2012 reserves for the NMRA`;
const readOnlyText = (cvs: readonly string[]): string => `${cvsText(cvs)} cannot be written`;
const pagelessText = (cvs: readonly string[]): string => `${cvsText(cvs)} have no index page`;

/** The rules about CVs and bits that do not exist or are reserved. */
export const spaceRules = [
  /* @__PURE__ */ defineRule({
    name: "reserved-cv",
    severity: "note",
    summary:
      "A CV that the edition of July 2012 reserves, and that the decoder's description does not have, is not 0, or is to be written. A warning in a set that is to be written.",
    source: "S-9.2.2 (July 2012), Tables 1 and 3",
    fix: /* @__PURE__ */ described("CV"),
    find({ cvs, decoder, forWriting, remember }) {
      const { owned } = knownOf(decoder);
      // The standard's own codec of CV 107 and 108 does not take them out of the reserve.
      const { expandedManufacturer } = identity;
      const byStandard = Object.values<unknown>(decoder.features).includes(expandedManufacturer);
      let found: Found[] | undefined;
      for (const key of remember(keysOf)) {
        if (key > lastCv) break;
        if (!isReserved(key, cvs, decoder.kind)) continue;
        if (owned.has(key) && !(byStandard && ownedOf(expandedManufacturer).has(key))) continue;
        // A decoder that is read out has 0 in every CV that it does not use.
        if (cvs.get(key) === 0 && !forWriting) continue;
        (found ??= []).push({
          message: `CV ${key} is reserved in the edition of July 2012`,
          places: whole(key),
          ...(forWriting && { severity: "warning" }),
          gathered: reservedText,
        });
      }
      return found ?? nothing;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "reserved-bit",
    severity: "note",
    summary:
      "A bit that has no meaning in the edition of July 2012, and that the decoder's description does not have, is set. A warning in a set that is to be written.",
    source: "S-9.2.2 (July 2012), the paragraph of the CV",
    fix: /* @__PURE__ */ described("bit"),
    find({ cvs, decoder, forWriting, remember }) {
      const { owned } = knownOf(decoder);
      const found: Found[] = [];
      for (const key of remember(keysOf)) {
        const reservedBits = reservedBitsOf(key, decoder.kind);
        if (!reservedBits) continue;
        const set = (cvs.get(key) ?? 0) & reservedBits & ~(owned.get(key) ?? 0);
        // Bits of CV 28 that got a meaning after 2012: newer decoders use them.
        const later =
          decoder.kind === "multifunction" ? set & (ownedOf(biDirectionalLater).get(key) ?? 0) : 0;
        if (set & ~later) {
          const one = reservedFound(key, set & ~later);
          found.push(forWriting ? { ...one, severity: "warning" } : one);
        }
        if (later) found.push(reservedFound(key, later, "; later ones use it (from memory)"));
      }
      return found;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "reserved-page",
    severity: "note",
    summary:
      "A CV on an index page that the edition of July 2012 reserves for the NMRA: CV 31 from 0 to 15. A warning in a set that is to be written.",
    source: "S-9.2.2 (July 2012), CV 31 and 32",
    fix: "Give CV 31 the value that the decoder's manual names, 16 or more; if the manual names this page, put the CV into the decoder's description or silence this.",
    find({ cvs, decoder, forWriting, remember }) {
      const found: Found[] = [];
      const { owned } = knownOf(decoder);
      const severity: Pick<Found, "severity"> = forWriting ? { severity: "warning" } : {};
      let hasIndexed = false;
      for (const key of remember(keysOf)) {
        if (pageOf(key) < 0) hasIndexed ||= key >= firstIndexed && key <= lastIndexed;
        else if (factsOf(key, decoder.kind).status === "reserved" && !owned.has(key)) {
          const message = `CV ${nameOf(key)} is on a page that the edition of July 2012 reserves for the NMRA`;
          found.push({ message, places: whole(nameOf(key)), ...severity, gathered: reservedPageText });
        }
      }
      const high = cvs.get(31);
      if (high !== undefined && high < firstFreePage) {
        const message = `CV 31 is ${high}: the edition of July 2012 reserves the pages below ${firstFreePage} for the NMRA`;
        // Without CVs 257-512 in the set, the page has no effect.
        found.push({ message, places: whole(31), ...(hasIndexed && severity) });
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
    fix: "Remove the CV from the set before it is written.",
    find({ cvs, decoder, forWriting, remember }) {
      if (!forWriting) return nothing;
      const found: Found[] = [];
      for (const key of remember(keysOf)) {
        if (!factsOf(key, decoder.kind).readOnly) continue;
        const isReset = key === 8 && cvs.get(8) === 8;
        const message = isReset
          ? "CV 8 = 8 asks the decoder for a factory reset when it is written"
          : `CV ${key} cannot be written`;
        found.push({
          message,
          places: whole(key),
          ...(isReset && { severity: "error" }),
          gathered: readOnlyText,
        });
      }
      return found;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "page-missing",
    severity: "warning",
    summary: "A CV from 257 to 512 without its index page: CV 31 and 32 decide which one it is.",
    source: "S-9.2.2 (July 2012), CV 31, 32 and 257-512",
    fix: 'Write it with its page: "300@16.0" is CV 300 while CV 31 = 16 and CV 32 = 0.',
    find({ cvs, remember }) {
      const bare: number[] = [];
      for (const key of remember(keysOf)) if (key >= firstIndexed && key <= lastIndexed) bare.push(key);
      const [high, low] = [cvs.get(31), cvs.get(32)];
      return bare.map((key) => ({
        message: `CV ${key} has no index page`,
        places: whole(key),
        gathered: pagelessText,
        ...(high !== undefined &&
          low !== undefined && {
            fix: `Write it with its page; if that is the one of CV 31 and 32 in this set, as "${bare[0]}@${high}.${low}"${bare.length > 1 ? " and so on" : ""}.`,
          }),
      }));
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "unknown-cv",
    severity: "warning",
    summary: "The decoder's description does not have this CV, and the standard leaves it to makers.",
    source: "description of the decoder; S-9.2.2 (July 2012), Tables 1 and 3",
    fix: "Check the number in the manual; remove the CV, name the right decoder, or add it to the description.",
    last: true,
    find({ decoder, isReported, remember }) {
      const { owned, describesMaker } = knownOf(decoder);
      // A description of the standard alone does not describe the CVs of any maker.
      if (!describesMaker) return nothing;
      let found: Found[] | undefined;
      const gathered = (cvs: readonly string[]): string =>
        `${cvsText(cvs)} are not in the description of ${decoder.name}`;
      for (const key of remember(keysOf)) {
        if (owned.has(key) || !isMakers(key, decoder)) continue;
        const places = whole(nameOf(key));
        if (isReported(places)) continue;
        const message = `CV ${nameOf(key)} is not in the description of ${decoder.name}`;
        (found ??= []).push({ message, places, gathered });
      }
      return found ?? nothing;
    },
  }),
];

function reservedFound(cv: number, mask: number, later = ""): Found {
  const bits = [0, 1, 2, 3, 4, 5, 6, 7].filter((bit) => mask & (1 << bit));
  const message = `CV ${cv} bit ${bits.join(" and ")} ${bits.length > 1 ? "are" : "is"} set, but reserved in the edition of July 2012${later}`;
  return { message, places: [{ cv: String(cv), mask }] };
}
