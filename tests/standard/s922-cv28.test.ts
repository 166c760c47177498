import { CvSet } from "cvset";
import { biDirectionalLater, describeCv, nmra, nmraAccessory, reservedUse } from "cvset/standard";
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

test("as later decoders keep it, CV 28 is a codec of its own, that tells where this is from", () => {
  expect(biDirectionalLater.about).toEqual({
    label: "Bi-directional communication (later practice)",
    source: "S-9.3.2 (December 2012) and RCN-217, CV 28, from memory",
  });
  expect(biDirectionalLater.decode(CvSet.from({ 28: 0b1111_1111 }))).toEqual([
    "channel-1",
    "channel-2",
    "channel-1-auto-off",
    "programming-address",
    "high-current",
    "automatic-logon",
  ]);
  // Bits 3 and 5 are not touched.
  expect(biDirectionalLater.encode(["automatic-logon"]).toJSON().bits).toEqual([
    { cv: "28", mask: 0b1101_0111, value: 0b1000_0000 },
  ]);
});
