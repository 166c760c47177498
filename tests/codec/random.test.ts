import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CvError } from "cvset";
import { checkCodecLaws, cvSetsOf, decoders, settingsOf, valuesOf } from "cvset/testing";

describe("random descriptions", () => {
  test("every decoder keeps the laws of codecs", () => {
    fc.assert(
      fc.property(decoders(), fc.integer(), (decoder, seed) => {
        checkCodecLaws(decoder, { seed, runs: 5 });
      }),
    );
  });
});
