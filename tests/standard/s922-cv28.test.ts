import { CvSet } from "cvset";
import { describeCv, nmra, nmraAccessory, reservedUse } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv28");

test("the decoders of the standard read CV 28 by the 2012 edition, whatever later decoders keep there", () => {
  const cvs = CvSet.from({ 28: 0b1101_0011 });
  expect(nmra.tryDecode(cvs).value?.biDirectionalConfig).toEqual(["unsolicited", "asymmetrical-broadcast"]);
  expect(nmra.encode({ biDirectionalConfig: [] }, cvs).get(28)).toBe(0b1101_0000);
});

// S-9.2.2 (July 2012), accessory CV 28: bit 0 unsolicited transmission, bit 1 not used, bits 2-7 reserved.
test.each([28, 540])("accessory CV %i has a meaning for bit 0 alone", (cv) => {
  for (let byte = 0; byte < 256; byte++) {
    const { value } = nmraAccessory.tryDecode(CvSet.from({ [cv]: byte }));
    const config = cv === 28 ? value?.biDirectionalConfig : value?.aliases?.biDirectionalConfig;
    expect(config).toEqual(byte & 1 ? ["unsolicited"] : []);
    const reserved = reservedUse(CvSet.from({ [cv]: byte }), "accessory");
    expect(reserved.length > 0).toBe((byte & 0b1111_1110) !== 0);
  }
  expect(describeCv(cv, "accessory").bits.map(({ bits, reserved }) => [...bits, reserved ?? false])).toEqual([
    [0, 0, false],
    [1, 1, true],
    [2, 5, true],
    [6, 7, true],
  ]);
});
