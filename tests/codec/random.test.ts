import { CvSet } from "cvset";
import { checkCodecLaws, cvSetsOf, decoders, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { rootOf } from "../../src/decoder/decoder.js";
import { imageOf } from "../support/image.js";

const base = fc.integer({ min: 0, max: 255 });

describe("random descriptions", () => {
  test("every decoder keeps the laws of codecs", () => {
    fc.assert(
      fc.property(decoders(), fc.integer(), (decoder, seed) => checkCodecLaws(decoder, { seed, runs: 4 })),
    );
  });

  const pairs = decoders({ maxFeatures: 5 }).chain((decoder) =>
    fc.tuple(
      fc.constant(decoder),
      valuesOf(decoder),
      valuesOf(decoder, { partial: true }),
      cvSetsOf(decoder),
    ),
  );

  test("encode and decode of a decoder undo each other, on any base", () => {
    fc.assert(
      fc.property(pairs, ([decoder, whole, some, cvs]) => {
        const after = decoder.encode(whole, cvs);
        expect(decoder.decode(after)).toEqual(whole);
        expect(decoder.encode(decoder.decode(after), cvs).equals(after)).toBe(true);
        expect(decoder.encode(whole, after).equals(after)).toBe(true);
        expect(decoder.tryEncode(whole, cvs)).toEqual({ ok: true, value: after });
        expect(cvs.apply(decoder.patch(whole)).equals(after)).toBe(true);
        const image = imageOf(cvs);
        rootOf(decoder).spec.write(image, whole, false);
        expect(new CvSet(image).equals(after)).toBe(true);

        // What is left out stays as it was.
        const partly = decoder.encode(some, after);
        const expected: Record<string, unknown> = { ...(whole as object), ...some };
        expect(decoder.decode(partly)).toEqual(expected);
        expect(decoder.encode({}, cvs).equals(cvs)).toBe(true);
      }),
    );
  });

  test("only owned bits change, and every feature owns its bits alone", () => {
    fc.assert(
      fc.property(pairs, base, ([decoder, whole, , cvs], fill) => {
        const owned = new Map(decoder.bits.map(({ cv, mask }) => [cv, mask]));
        const bytes = new Map([...cvs].map(([cv]) => [cv, fill]));
        for (const [cv, byte] of decoder.encode(whole, CvSet.from(bytes))) {
          expect(byte & ~(owned.get(cv) ?? 0) & 255).toBe(fill & ~(owned.get(cv) ?? 0) & 255);
        }
        const masks = new Map<string, number>();
        for (const [name, codec] of Object.entries(decoder.features)) {
          for (const { cv, mask } of codec.bits) {
            expect((masks.get(cv) ?? 0) & mask).toBe(0);
            masks.set(cv, (masks.get(cv) ?? 0) | mask);
            expect(decoder.featuresOf(cv)).toContain(name);
          }
        }
        expect(masks).toEqual(owned);
      }),
    );
  });

  test("one bad CV never hides the rest: tryDecode gives what each feature gives by itself", () => {
    fc.assert(
      fc.property(
        decoders({ maxFeatures: 5 }).chain((decoder) =>
          fc.tuple(fc.constant(decoder), cvSetsOf(decoder, { raw: true }), fc.nat()),
        ),
        ([decoder, all, index]) => {
          const names = [...all].map(([cv]) => cv);
          const cvs = index % 2 ? all.without(names[index % names.length] ?? 1) : all;
          const result = decoder.tryDecode(cvs);
          const issues = result.ok ? [] : result.issues;
          for (const [name, codec] of Object.entries(decoder.features)) {
            const alone = codec.tryDecode(cvs);
            const value = (result.value as Record<string, unknown> | undefined)?.[name];
            expect(value).toEqual(alone.value);
            const own = issues.filter(({ path }) => path === name || path.startsWith(`${name}.`));
            expect(own.length).toBe(alone.ok ? 0 : alone.issues.length);
          }
        },
      ),
    );
  });
});
