import { aList, need } from "../cv/argument.js";
import { notAList } from "../cv/faults.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { aPlace, maskOf, type Part, Place } from "../cv/place.js";
import { optionIssue } from "./choice.js";
import { type About, anAbout, Codec } from "./codec.js";

const notOneRun = /* @__PURE__ */ fault("flags-place", "expected one run of bits of one CV");
const wrongCount = /* @__PURE__ */ fault("flags-count", "expected {count} names, one a bit, got {found}");
const nameTwice = /* @__PURE__ */ fault("flags-name-twice", "two bits have the name {name}");
const noName = /* @__PURE__ */ fault("flags-without-name", "no bit has a name");
const badName = /* @__PURE__ */ fault(
  "flags-name",
  "expected a text, a number or null as the name of a bit, got {found}",
);
const listedTwice = /* @__PURE__ */ fault("listed-twice", "{found} stands twice in the list");
const tooMany = /* @__PURE__ */ fault("flags-list-length", "expected a list of at most {most}, got {found}");

// A list that is much longer than there are bits is not looked at one by one.
const longestList = 100;

/**
 * Any number of named bits of one CV, as the list of those that are set, lowest bit first. Bits without a
 * name are not owned: they are neither read nor touched.
 * @param place Where they are; one run of bits.
 * @param names The name of each bit, lowest first; `null` leaves a bit alone.
 * @param about Label, note, meaning, source.
 * @throws `CvError` when the number of names is not the number of bits, or two bits have one name.
 * @example
 * import { cv, CvSet, flags } from "cvset";
 * const outputs = flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]);
 * outputs.decode(CvSet.from({ 35: 0b101 })); // [1, 3]
 * outputs.encode([4]).toJSON().cvs; // { "35": 8 }
 */
/* @__NO_SIDE_EFFECTS__ */
export function flags<const Names extends readonly (string | number | null)[]>(
  place: Place,
  names: Names,
  about: About = {},
): Codec<readonly Exclude<Names[number], null>[]> {
  type Name = Exclude<Names[number], null>;
  need(aPlace, place, "place");
  need(aList, names, "names");
  need(anAbout, about, "about");
  const where = { places: place.bitsOfCvs };
  const { key, low, width } = place.parts[0] as Part;
  if (place.parts.length !== 1) throw new CvError([notOneRun({}, where)]);
  if (names.length !== width) throw new CvError([wrongCount({ count: width, found: names.length }, where)]);
  // A copy: the caller may change the list afterwards.
  const ownNames = Object.freeze([...names]);
  const bitOf = new Map<unknown, number>();
  const places: Place[] = [];
  ownNames.forEach((name, i) => {
    if (name === null) return;
    if (typeof name !== "string" && typeof name !== "number")
      throw new CvError([badName({ found: name }, where)]);
    if (bitOf.has(name)) throw new CvError([nameTwice({ name }, where)]);
    bitOf.set(name, 1 << (low + i));
    places.push(new Place([{ key, low: low + i, width: 1 }]));
  });
  if (places.length === 0) throw new CvError([noName({}, where)]);
  const mask = places.reduce((sum, one) => sum | maskOf(one.parts[0] as Part), 0);
  // One list for each byte, made when first needed; handed out as copies, so that no caller can change it.
  const lists: Name[][] = [];
  const listOf = (byte: number): Name[] =>
    ownNames.filter((name, i): name is Name => name !== null && (byte & (1 << (low + i))) !== 0);

  return new Codec<readonly Name[]>({
    data: { kind: "flags", place, names: ownNames },
    places,
    about,
    read(cvs) {
      const byte = cvs.get(key) & mask;
      return (lists[byte] ??= listOf(byte)).slice();
    },
    write(cvs, value) {
      if (!Array.isArray(value)) throw new CvError([notAList({ found: value })]);
      if (value.length > longestList) {
        throw new CvError([tooMany({ most: bitOf.size, found: value.length })]);
      }
      let bits = 0;
      // By index: forEach would pass over holes.
      for (let i = 0; i < value.length; i++) {
        const bit = bitOf.get(value[i]);
        if (bit === undefined || bits & bit) throw new CvError(badNames(value, bitOf));
        bits |= bit;
      }
      cvs.put(key, mask, bits);
    },
  });
}

/** Names that do not exist, and those that are listed twice. */
function badNames(list: readonly unknown[], bitOf: ReadonlyMap<unknown, number>): Issue[] {
  const issues = new IssueList();
  const seen = new Set<unknown>();
  for (let i = 0; i < list.length; i++) {
    const found = list[i];
    if (!bitOf.has(found)) issues.add(optionIssue(found, bitOf.keys(), String(i)));
    else if (seen.has(found)) issues.add(listedTwice({ found }, { path: String(i) }));
    seen.add(found);
  }
  return issues.done();
}
