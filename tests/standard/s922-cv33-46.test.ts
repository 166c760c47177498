import { CvSet } from "cvset";
import { describeCv, factoryDefaults, functionMap, nmra } from "cvset/standard";
import { expect, test } from "vitest";
import { runVectors } from "./run-vectors.js";

runVectors("s922-cv33-46");

// S-9.2.2 (July 2012), CV 33-46: as values, the defaults are these.
test("the factory defaults", () => {
  const values = [1, 2, 4, 8, 16, 4, 8, 16, 32, 64, 16, 32, 64, 128];
  expect(factoryDefaults).toEqual({ 1: 3, ...Object.fromEntries(values.map((value, i) => [33 + i, value])) });
  expect(Object.values(functionMap.decode(nmra.defaults()))).toEqual(
    Array.from({ length: 14 }, (_, i) => [i + 1]),
  );
});

test("the help for each bit names the output that the codec reads from it", () => {
  for (let number = 33; number <= 46; number++) {
    const { text, bits } = describeCv(number);
    const outputs = bits.map((_, bit) => {
      const value = functionMap.tryDecode(CvSet.from({ [number]: 2 ** bit })).value ?? {};
      return Object.values(value)[0]?.[0] as number;
    });
    expect(bits.map((bit) => bit.text)).toEqual(outputs.map((output) => `works output ${output}`));
    expect(text).toContain(`outputs ${outputs[0]}-${outputs[7]}`);
  }
});
