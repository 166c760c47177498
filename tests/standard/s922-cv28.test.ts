import { CvSet } from "cvset";
import { biDirectional2012, nmra, nmraAccessory } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv28");

test("the decoders of the standard read CV 28 by the 2012 edition, whatever later decoders keep there", () => {
  const cvs = CvSet.from({ 28: 0b1101_0011 });
  expect(nmra.tryDecode(cvs).value?.biDirectionalConfig).toEqual(["unsolicited", "asymmetrical-broadcast"]);
  expect(nmraAccessory.tryDecode(cvs).value?.biDirectionalConfig).toEqual(biDirectional2012.decode(cvs));
  expect(nmra.encode({ biDirectionalConfig: [] }, cvs).get(28)).toBe(0b1101_0000);
});
