import { CvSet } from "cvset";
import type { AccessMode } from "cvset/packets";
import type { DecoderModel } from "cvset/plan";
import fc from "fast-check";

/** A decoder, what is in it, what is known of that, and what is wanted. */
export interface Case {
  readonly mode: AccessMode;
  readonly decoder: DecoderModel & { readonly factory: CvSet; readonly derived: readonly Derived[] };
  readonly contents: CvSet;
  readonly from: CvSet;
  readonly to: CvSet;
  readonly factoryReset: boolean;
  readonly all: boolean;
  /** All of it for people. */
  readonly text: string;
}

const byte = fc.nat(255);

/** Values that the standards allow in a CV, where they allow only some (S-9.2.2, July 2012). */
function validValue(name: string): fc.Arbitrary<number> {
  switch (name) {
    case "1":
      return fc.integer({ min: 1, max: 127 });
    case "15":
    case "16":
      return fc.nat(2);
    case "17":
      return fc.integer({ min: 192, max: 231 });
    case "29":
      return fc.nat(127);
    default:
      // Small numbers make equal bytes likely, so that some CVs need no write.
      return fc.oneof(byte, fc.nat(3));
  }
}

const plainCv = fc
  .integer({ min: 2, max: 1024 })
  .filter((cv) => ![7, 8, 9, 15, 16, 17, 18, 19, 29, 31, 32].includes(cv) && (cv < 257 || cv > 512));

const pageNumber = fc.tuple(fc.constantFrom(16, 17, 40, 255), fc.constantFrom(0, 1, 2, 255));

function subset(names: readonly string[]): fc.Arbitrary<readonly string[]> {
  return fc.oneof(fc.subarray([...names]), fc.constant(names));
}

function filled(names: readonly string[]): fc.Arbitrary<CvSet> {
  return fc
    .tuple(...names.map(validValue))
    .map((values) => CvSet.from(names.map((name, i) => [name, values[i] as number] as const)));
}

/** The CVs of a decoder. */
const shape = fc
  .record({
    lock: fc.boolean(),
    long: fc.boolean(),
    consist: fc.boolean(),
    plain: fc.uniqueArray(plainCv, { maxLength: 8 }),
    pages: fc.uniqueArray(pageNumber, { maxLength: 5, selector: String }),
    cvs: fc.uniqueArray(fc.integer({ min: 257, max: 512 }), { minLength: 1, maxLength: 3 }),
  })
  .map(({ lock, long, consist, plain, pages, cvs }) => ({
    lock,
    long,
    consist,
    pages,
    cvs,
    names: [
      "1",
      "2",
      "7",
      "8",
      "29",
      ...(lock ? ["15", "16"] : []),
      ...(long ? ["17", "18"] : []),
      ...(consist ? ["19"] : []),
      ...plain.filter((cv) => cv > 2).map(String),
      ...(pages.length ? ["31", "32"] : []),
      ...pages.flatMap(([high, low]) => cvs.map((cv) => `${cv}@${high}.${low}`)),
    ],
  }));

/** Some CVs whose values are worked out from others, each after those that it is worked out from. */
function derivedIn(names: readonly string[]): fc.Arbitrary<Derived[]> {
  const stored = names.filter((name) => name.includes("@") || Number(name) > 95);
  const sources = names.filter((name) => !["7", "8", "15", "16", "31", "32"].includes(name));
  return fc.shuffledSubarray(stored, { maxLength: Math.min(3, stored.length) }).chain((cvs) =>
    fc.tuple(...cvs.map(() => fc.subarray(sources, { minLength: 1 }))).map((lists) =>
      cvs.map((cv, i) => {
        const later = cvs.slice(i);
        const from = (lists[i] ?? []).filter((name) => !later.includes(name));
        return { cv, from: from.length ? from : ["2"] };
      }),
    ),
  );
}

/** A CV whose value is worked out from others. */
export interface Derived {
  readonly cv: string;
  readonly from: readonly string[];
}

const registerCvs = ["1", "2", "3", "4", "29"];

/** Cases for one mode. */
export function cases(mode: AccessMode): fc.Arbitrary<Case> {
  const free = mode === "direct" || mode === "paged" || mode === "main";
  const shapes = free
    ? shape
    : fc.constant({
        lock: false,
        long: false,
        consist: false,
        pages: [],
        cvs: [],
        names: [...registerCvs, "7", "8"],
      });
  return shapes.chain(({ names, pages, cvs, long }) =>
    fc
      .record({
        factory: filled(names),
        contents: filled(names),
        wanted: filled(names),
        wantedNames: subset(names),
        forgotten: subset(
          names.filter((name) => name.includes("@") || (Number(name) > 32 && Number(name) < 257)),
        ),
        forgetIndex: fc.boolean(),
        forgetLong: fc.boolean(),
        at: fc.nat(99),
        bare: fc.boolean(),
        factoryReset: mode === "main" || !free ? fc.constant(false) : fc.boolean(),
        all: fc.boolean(),
        derived: free ? derivedIn(names) : fc.constant([]),
      })
      .map((given) => {
        let { contents, factory } = given;
        const { all, factoryReset, derived } = given;
        let to = pick(given.wanted, given.wantedNames);
        const configuration = contents.get(29) as number;
        // Without CV 17 and 18 there is no long address, and no way for the register modes to put back
        // what writing CV 1 clears, unless nothing is there to put back.
        if (!long) {
          contents = contents.with(29, configuration & ~32);
          factory = factory.with(29, (factory.get(29) as number) & ~32);
          if (to.has(29)) to = to.with(29, (to.get(29) as number) & ~32);
        }
        if (mode === "address-only") to = pick(to, ["1"]);
        let from = contents.without(...given.forgotten);
        const page = pages[given.at % (pages.length || 1)];
        if (page) {
          contents = contents.with(31, page[0]).with(32, page[1]);
          from = given.forgetIndex ? from.without(31, 32) : from.with(31, page[0]).with(32, page[1]);
          if (given.forgetIndex && given.bare && !factoryReset) {
            // A CV without its page, on the page that the decoder happens to have.
            const cv = cvs[0] as number;
            to = to.without(31, 32, `${cv}@${page[0]}.${page[1]}`).with(cv, 77);
          }
        }
        if (long && given.forgetLong && to.has(17) && to.has(18)) from = from.without(17, 18);
        const text = JSON.stringify({ factory, contents, from, to, derived });
        const decoder = { kind: "multifunction" as const, factory, derived };
        return { mode, decoder, contents, from, to, factoryReset, all, text };
      }),
  );
}

function pick(set: CvSet, names: readonly string[]): CvSet {
  return CvSet.from([...set].filter(([name]) => names.includes(name)));
}
