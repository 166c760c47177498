import { type AnyCodec, defineDecoder, jsonOf } from "cvset";
import { describeCv, factoryDefaults, locomotive } from "cvset/standard";
import { expect, test } from "vitest";

const decoder = defineDecoder({
  id: "example-loco",
  name: "Example locomotive",
  kind: "multifunction",
  features: { ...locomotive },
  factory: { ...factoryDefaults, 2: 4, 3: 10, 4: 5, 5: 255, 6: 1, 19: 0, 21: 0, 22: 0, 29: 2 },
});

test("a whole locomotive reads as words and writes back as it was", () => {
  const cvs = decoder.defaults();
  const settings = decoder.decode(cvs);
  expect(settings).toEqual({
    address: { kind: "primary", number: 3 },
    consist: { address: "none", reversed: false },
    consistFunctions: { f1ToF8: [], flF9ToF12: [] },
    directionReversed: false,
    speedSteps: "28/128",
    analogue: false,
    biDirectional: false,
    speed: { kind: "three-point", vstart: 4, vmid: "not-used-1", vhigh: 255 },
    momentum: { acceleration: 8.96, deceleration: 4.48 },
    functionMap: {
      "FL(f)": [1],
      "FL(r)": [2],
      F1: [3],
      F2: [4],
      F3: [5],
      F4: [6],
      F5: [7],
      F6: [8],
      F7: [9],
      F8: [10],
      F9: [11],
      F10: [12],
      F11: [13],
      F12: [14],
    },
  });
  expect(decoder.encode(settings, cvs).equals(cvs)).toBe(true);
});

// S-9.2.2 (July 2012), CV 29, CV 17 and 18: address 1234 in 28/128 steps is CV 17 = 196, CV 18 = 210, CV 29 = 34.
test("the address brings its bit of CV 29 along and touches no other", () => {
  const cvs = decoder.encode({ address: { kind: "extended", number: 1234 } });
  const factory = decoder.defaults().toJSON();
  expect(cvs.toJSON()).toEqual({ ...factory, 17: 196, 18: 210, 29: 34 });
  expect(decoder.encode({ address: { kind: "primary", number: 9 } }, cvs).toJSON()).toEqual({
    ...factory,
    1: 9,
    17: 196,
    18: 210,
    29: 2,
  });
});

test("a speed table is decoded with its trims", () => {
  const levels = Array.from({ length: 28 }, (_, i) => 9 * i);
  const table = Object.fromEntries(levels.map((level, i) => [67 + i, level]));
  const cvs = decoder
    .defaults()
    .apply(decoder.patch({ speed: { kind: "table", forwardTrim: "none", levels, reverseTrim: 1.25 } }));
  expect(cvs.toJSON()).toEqual({ ...decoder.defaults().toJSON(), ...table, 29: 18, 66: 0, 95: 160 });
  expect(decoder.decode(cvs).speed).toEqual({
    kind: "table",
    forwardTrim: "none",
    levels,
    reverseTrim: 1.25,
  });
});

test("every feature can be written as JSON", () => {
  for (const codec of Object.values(locomotive)) {
    const json = jsonOf(codec as AnyCodec);
    expect(JSON.parse(JSON.stringify(json))).toEqual(json);
    expect(json["source"]).toMatch(/^S-9\.2\.2 \(July 2012\), CV /);
  }
});

test("nothing of it owns a bit that the standard reserves", () => {
  const reserved = decoder.bits.filter(({ cv, mask }) => mask & describeCv(cv).reservedBits);
  expect(reserved).toEqual([]);
  expect(decoder.bits.filter(({ cv }) => describeCv(cv).status === "reserved")).toEqual([]);
  // CV 22 and 29 have reserved bits beside those that are used.
  const owned = new Map(decoder.bits.map(({ cv, mask }) => [cv, mask]));
  expect([owned.get("22"), owned.get("29")]).toEqual([0b0011_1111, 0b0011_1111]);
  expect([22, 29].map((cv) => describeCv(cv).reservedBits)).toEqual([0b1100_0000, 0b0100_0000]);
});
