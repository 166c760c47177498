import fc, { type Arbitrary } from "fast-check";
import { needIn } from "../cv/argument.js";
import { CvSet } from "../cv/cvset.js";
import { type CvName, firstIndexed, lastCv, lastIndexed, nameOf, pagedKey } from "../cv/name.js";
import { codecOf, neededBy, ofValues, type Source } from "./source.js";
import { type ValuesOptions, valuesOf } from "./values.js";

const byte = /* @__PURE__ */ fc.integer({ min: 0, max: 255 });

/** The names of CVs: 1-1024, and some on index pages. */
const names: Arbitrary<CvName> = /* @__PURE__ */ cvNames();

function cvNames(): Arbitrary<CvName> {
  return fc.oneof(
    { weight: 3, arbitrary: fc.integer({ min: 1, max: lastCv }) },
    fc
      .tuple(fc.integer({ min: firstIndexed, max: lastIndexed }), byte, byte)
      .map(([cv, high, low]) => nameOf(pagedKey(cv, high, low))),
  );
}

/**
 * An arbitrary of CV sets that hold every CV of a codec or decoder, and some others. All bits are random,
 * those that no codec owns too; in half of the sets what is stored is a valid value.
 * @param source A codec or a decoder.
 * @param options `at`: values by path, as for {@link valuesOf}. `raw`: every bit pattern is as likely as any
 *   other, in all sets.
 * @throws Error as {@link valuesOf}, unless `raw` is set.
 * @example
 * import fc from "fast-check";
 * import { cv, flag } from "cvset";
 * import { cvSetsOf } from "cvset/testing";
 * const reversed = flag(cv(29).bit(0));
 * fc.sample(cvSetsOf(reversed), 50).every((cvs) => cvs.has(29)); // true
 */
export function cvSetsOf(
  source: Source,
  options: Pick<ValuesOptions, "at"> & { readonly raw?: boolean } = {},
): Arbitrary<CvSet> {
  needIn(ofValues, options, "options");
  const codec = codecOf(source);
  const own = [...new Set([...codec.bits, ...neededBy(codec)].map(({ cv }) => cv))];
  const raw = fc
    .tuple(
      fc.array(fc.tuple(names, byte), { maxLength: 5 }),
      fc.uint8Array({ minLength: own.length, maxLength: own.length }),
    )
    .map(([others, bytes]) =>
      CvSet.from([...others, ...own.map((cv, i): [string, number] => [cv, bytes[i] ?? 0])]),
    );
  if (options.raw) return raw;
  const valid = fc
    .tuple(raw, valuesOf(codec, options))
    .map(([cvs, value]) => cvs.apply(codec.encode(value, { base: cvs })));
  return fc.oneof(raw, valid);
}
