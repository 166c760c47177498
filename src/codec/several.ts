import { CvError, type Issue, show } from "../cv/issue.js";
import { maskOf, type Part, Place } from "../cv/place.js";
import { notAnOption } from "./choice.js";
import { type About, Codec, definitionError, typeError } from "./codec.js";

/** The name of one bit of {@link several}: a text or a number; `null` for a bit that is left alone. */
export type BitName = string | number | null;

/**
 * Any number of named bits of one CV, as the list of those that are set, lowest bit first. Bits without a
 * name are not owned: they are neither read nor touched.
 * @param place Where they are; one run of bits.
 * @param names The name of each bit, lowest first; `null` leaves a bit alone.
 * @param about What it says of itself.
 * @throws `CvError` when the number of names is not the number of bits, or a name is there twice.
 * @example
 * import { cv, CvSet, several } from "cvset";
 * const outputs = several(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]);
 * outputs.decode(CvSet.from({ 35: 0b101 })); // [1, 3]
 * outputs.encode([4]).toJSON().cvs; // { "35": 8 }
 */
/* @__NO_SIDE_EFFECTS__ */
export function several<const Names extends readonly BitName[]>(
  place: Place,
  names: Names,
  about: About = {},
): Codec<readonly NonNullable<Names[number]>[]> {
  type Name = NonNullable<Names[number]>;
  const { key, low, width } = place.parts[0] as Part;
  if (place.parts.length !== 1 || names.length !== width) {
    throw definitionError(`${width} names are needed, one a bit, not ${names.length}`, place.bitsOfCvs);
  }
  const bitOf = new Map<unknown, number>();
  const places: Place[] = [];
  names.forEach((name, i) => {
    if (name === null) return;
    if (bitOf.has(name)) throw definitionError(`the name ${show(name)} is there twice`, place.bitsOfCvs);
    bitOf.set(name, 1 << (low + i));
    places.push(new Place([{ key, low: low + i, width: 1 }]));
  });
  if (places.length === 0) throw definitionError("no bit has a name", place.bitsOfCvs);
  const mask = places.reduce((sum, one) => sum | maskOf(one.parts[0] as Part), 0);
  // One list for each byte, made when first needed; handed out as copies, so that nobody can change it.
  const lists: Name[][] = [];
  const listOf = (byte: number): Name[] =>
    names.filter((name, i): name is Name => name !== null && (byte & (1 << (low + i))) !== 0);

  return new Codec<readonly Name[]>({
    kind: "several",
    places,
    about,
    read: (cvs) => {
      const byte = cvs.get(key) & mask;
      return (lists[byte] ??= listOf(byte)).slice();
    },
    write(cvs, value) {
      if (!Array.isArray(value)) throw typeError(`a list, any of ${[...bitOf.keys()].join(", ")}`, value);
      let bits = 0;
      const issues: Issue[] = [];
      // By index: forEach would pass over holes.
      for (let i = 0; i < value.length; i++) {
        const name: unknown = value[i];
        const bit = bitOf.get(name);
        if (bit === undefined) {
          issues.push({ ...notAnOption(name, bitOf.keys()), path: String(i) });
        } else if (bits & bit) {
          issues.push({ code: "content", path: String(i), expected: "each name once", found: name });
        } else bits |= bit;
      }
      if (issues.length) throw new CvError(issues);
      cvs.put(key, mask, bits);
    },
    text: (value) => value.join(", ") || "none",
    schema: () => ({ type: "array", items: { enum: [...bitOf.keys()] as Name[] }, uniqueItems: true }),
    describe: () => ({ place: place.toJSON(), names }),
  });
}
