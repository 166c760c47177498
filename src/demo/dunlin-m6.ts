import { type BytePlace, choice, cv, defineDecoder, flag, level, record, switched } from "../index.js";
import { factoryDefaults, locomotive } from "../standard/index.js";

// An invented decoder: no maker sells it, and its numbers follow no real one. It means many of the same
// things as Quillback S8 and stores them in other places with other numbers.

function lamp(
  place: BytePlace,
  correction: BytePlace,
  bit: 0 | 1 | 2 | 3 | 4 | 5,
  label: string,
  means: string,
) {
  return record(
    {
      effect: choice(
        place.bits(4, 7),
        {
          steady: { value: 1, label: "Steady", means: "steady" },
          half: { value: 2, label: "Half bright", means: "dimmed" },
          flame: { value: 5, label: "Flame", means: "flicker" },
          sweeping: { value: 8, label: "Sweeping beam", means: "oscillating" },
          glow: { value: 11, label: "Fire glow", means: "firebox glow" },
        },
        { label: "Effect", means: "lamp effect" },
      ),
      direction: choice(
        place.bits(0, 1),
        {
          both: { value: 3, means: "both directions" },
          "forward-only": { value: 1, means: "forward only" },
          "reverse-only": { value: 2, means: "reverse only" },
        },
        { label: "Lit when running", means: "lamp direction" },
      ),
      led: flag(correction.bit(bit), {
        label: "LED brightness correction",
        note: "An LED needs its series resistor all the same.",
        means: "LED correction",
      }),
    },
    { label, means },
  );
}

/** Dunlin M6, an invented decoder: motor, six outputs and a small sound set. */
export const dunlin = /* @__PURE__ */ defineDecoder({
  id: "dunlin-m6",
  name: "Dunlin M6",
  kind: "multifunction",
  note: "An invented decoder, for demonstration: no maker sells it.",
  features: {
    ...locomotive,
    whistleSound: choice(
      cv(118).bits(3, 5),
      {
        high: { value: 1, label: "High, one note", means: "one-note whistle" },
        deep: { value: 4, label: "Deep, three notes", means: "three-chime whistle" },
      },
      { label: "Whistle", means: "whistle" },
    ),
    bellSound: choice(
      cv(118).bits(0, 2),
      {
        none: { value: 0, means: "none" },
        bright: { value: 3, means: "bright bell" },
        dull: { value: 5, means: "dull bell" },
      },
      { label: "Bell", means: "bell" },
    ),
    fuel: choice(
      cv(119).bit(0),
      { coal: { value: 1, means: "coal" }, oil: { value: 0, means: "oil" } },
      { label: "Firing", means: "firing" },
    ),
    cylinders: choice(
      cv(119).bits(1, 2),
      { two: { value: 1, means: "2" }, three: { value: 2, means: "3" } },
      { label: "Cylinders", means: "cylinders" },
    ),
    compressor: flag(cv(119).bit(5), { label: "Air pump", means: "air pump" }),
    drainCocks: switched(
      cv(119).bit(7),
      record({
        time: level(cv(122), {
          unit: "s",
          step: 0.5,
          min: 0.5,
          max: 30,
          label: "Open for",
          means: "duration",
        }),
      }),
      { label: "Drain cocks on starting", means: "drain cocks" },
    ),
    volume: level(cv(121), {
      unit: "%",
      step: 100 / 15,
      max: 100,
      decimals: 1,
      label: "All sounds",
      means: "all sounds, sound level",
    }),
    lampFront: lamp(cv(131), cv(137), 0, "Front lamp", "headlight, output 1"),
    lampRear: lamp(cv(132), cv(137), 1, "Rear lamp", "rear light, output 2"),
    lamp3: lamp(cv(133), cv(137), 2, "Output 3", "lamp, output 3"),
    lamp4: lamp(cv(134), cv(137), 3, "Output 4", "lamp, output 4"),
    lamp5: lamp(cv(135), cv(137), 4, "Output 5", "lamp, output 5"),
    lamp6: lamp(cv(136), cv(137), 5, "Output 6", "lamp, output 6"),
    whistleKey: level(cv(140), { max: 12, names: { none: 15 }, label: "Whistle key", means: "whistle, key" }),
    bellKey: level(cv(141), { max: 12, names: { none: 15 }, label: "Bell key", means: "bell, key" }),
  },
  rules: [{ rule: "outputs", outputs: [1, 2, 3, 4, 5, 6] }],
  factory: {
    ...factoryDefaults,
    2: 4,
    3: 3,
    4: 3,
    5: 0,
    6: 0,
    7: 9,
    8: 13,
    17: 192,
    18: 128,
    19: 0,
    21: 0,
    22: 0,
    29: 2,
    // F1 and F3 work sounds; outputs 3-6 are on F2 and F4-F6.
    ...{ 35: 0, 36: 4, 37: 0, 38: 1, 39: 2, 40: 4, 41: 0, 42: 0, 43: 0, 44: 0, 45: 0, 46: 0 },
    66: 128,
    95: 128,
    ...Object.fromEntries(Array.from({ length: 28 }, (_, i) => [67 + i, Math.round(4 + (i * 251) / 27)])),
    118: 11,
    119: 3,
    121: 9,
    122: 10,
    131: 17,
    132: 18,
    133: 19,
    134: 19,
    135: 19,
    136: 19,
    137: 0,
    140: 3,
    141: 1,
  },
});
