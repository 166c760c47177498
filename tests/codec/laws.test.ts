import { type AnyCodec, CvError, CvSet, linesOf } from "cvset";
import { checkCodecLaws } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { everySet, ownedBits } from "../../src/testing/source.js";
import { timesUsual } from "../support/runs.js";
import { kinds } from "./kinds.js";

const runs = timesUsual(1);

describe.each(Object.entries(kinds))("laws: %s", (_, codec) => {
  test("random values and CV sets", () => checkCodecLaws(codec, { runs, seed: 9 }));

  test("every pattern of its bits is refused, or decoded to what encodes to the same pattern", () => {
    // Of codecs with more than 10 bits, some.
    const sets = ownedBits(codec) <= 10 ? everySet(codec) : fc.sample(someSets(codec), 2 * runs);
    let valid = 0;
    for (const cvs of sets) {
      const result = codec.tryDecode(cvs);
      if (result.ok) {
        valid++;
        if (!cvs.apply(codec.encode(result.value)).equals(cvs)) expect.unreachable(JSON.stringify(cvs));
      } else {
        expect(result.issues.length).toBeGreaterThan(0);
        expect(() => codec.decode(cvs)).toThrow(CvError);
      }
    }
    expect(valid).toBeGreaterThan(0);
  });

  test("of a CV set that lacks everything each CV that is read first is missed, and nothing else is thrown", () => {
    const result = codec.tryDecode(CvSet.empty);
    expect(result.ok).toBe(false);
    const issues = result.ok ? [] : result.issues;
    expect(issues.every(({ code }) => code === "missing-cv")).toBe(true);
    const { data } = codec;
    // Of what is switched and of a variant the place that chooses is read before all others.
    const first = data.kind === "switched" || data.kind === "variant" ? data.place.bitsOfCvs : codec.bits;
    const missed = issues.flatMap(({ places = [] }) => places.map(({ cv }) => cv));
    expect([...new Set(missed)].sort()).toEqual(first.map(({ cv }) => cv).sort());
    expect(() => codec.decode(CvSet.empty)).toThrow(/: not in the CV set/);
    expect(linesOf(codec, CvSet.empty)).toEqual([]);
  });

  test("a decoded value that the caller changes never changes later decodes", () => {
    for (const cvs of fc.sample(someSets(codec), { numRuns: 20, seed: 4 })) {
      const first = codec.tryDecode(cvs);
      const before = JSON.stringify(first.value);
      ruin(first.value);
      expect(JSON.stringify(codec.tryDecode(cvs).value)).toBe(before);
    }
  });
});

/** Random bytes, often small ones and the ends, so that codecs with ranges find something too. */
function someSets(codec: AnyCodec): fc.Arbitrary<CvSet> {
  const names = codec.bits.map(({ cv }) => cv);
  const byte = fc.oneof(
    fc.constantFrom(0, 255),
    fc.integer({ min: 0, max: 9 }),
    fc.integer({ min: 32, max: 126 }),
    fc.integer({ min: 0, max: 255 }),
  );
  return fc
    .oneof(
      fc.array(byte, { minLength: names.length, maxLength: names.length }),
      byte.map((one) => names.map(() => one)),
    )
    .map((bytes) => CvSet.from(names.map((name, i): [string, number] => [name, bytes[i] ?? 0])));
}

function ruin(value: unknown): void {
  if (typeof value !== "object" || value === null) return;
  for (const [key, inner] of Object.entries(value)) {
    ruin(inner);
    Reflect.set(value, key, "ruined");
  }
  if (Array.isArray(value)) value.push("ruined");
}
