// cvset/testing, which needs fast-check beside it: a law that holds, and one that is broken.
import { cv, defineCodec, level } from "cvset";
import { checkCodecLaws, valuesOf } from "cvset/testing";
import { decoder } from "./program.js";

export function results(): unknown {
  checkCodecLaws(decoder, { runs: 20, seed: 1 });
  checkCodecLaws(level(cv(2)), { runs: 50, seed: 1 });
  const place = cv(3);
  const forgetful = defineCodec<number>({
    kind: "forgetful",
    places: [place],
    read: (cvs) => place.read(cvs),
    write: (cvs, value) => place.write(cvs, value & 127),
  });
  try {
    checkCodecLaws(forgetful, { runs: 200, seed: 1, values: valuesOf(level(cv(2))) });
  } catch {
    return "as expected";
  }
  return "a codec that loses a bit passes the laws";
}
