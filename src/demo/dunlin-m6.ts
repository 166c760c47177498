import { choice, cv, defineDecoder, flag, level, type Place, record, switched } from "../index.js";
import { factoryDefaults, locomotive } from "../standard/index.js";

// An invented decoder: no maker sells it, and its numbers follow no real one. It means many of the same
// things as Quillback S8 and stores them in other places with other numbers.

/** A lamp: the effects of two outputs share a byte, and so do direction and correction of two others. */
function lamp(effects: Place, lit: Place, led: Place, label: string, means: string) {
  return record(
    {
      effect: choice(
        effects,
        {
          sweeping: { value: 2, label: "Sweeping beam", means: "oscillating" },
          half: { value: 4, label: "Half bright", means: "dimmed" },
          glow: { value: 7, label: "Fire glow", means: "firebox glow" },
          steady: { value: 9, label: "Steady", means: "steady" },
          flame: { value: 14, label: "Flame", means: "flicker" },
        },
        { label: "Effect", means: "lamp effect" },
      ),
      direction: choice(
        lit,
        {
          "reverse-only": { value: 0, means: "reverse only" },
          both: { value: 1, means: "both directions" },
          "forward-only": { value: 2, means: "forward only" },
        },
        { label: "Lit when running", means: "lamp direction" },
      ),
      led: flag(led, {
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
    cylinders: choice(
      cv(116).bits(6, 7),
      { three: { value: 1, means: "3" }, two: { value: 2, means: "2" } },
      { label: "Cylinders", means: "cylinders" },
    ),
    airPump: flag(cv(127).bit(3), { inverted: true, label: "Air pump", means: "air pump" }),
    whistleSound: choice(
      cv(127).bits(5, 6),
      {
        deep: { value: 1, label: "Deep, three notes", means: "three-chime whistle" },
        high: { value: 2, label: "High, one note", means: "one-note whistle" },
      },
      { label: "Whistle", means: "whistle" },
    ),
    bellSound: choice(
      cv(116).bits(2, 4),
      {
        bright: { value: 2, means: "bright bell" },
        dull: { value: 3, means: "dull bell" },
        none: { value: 5, means: "none" },
      },
      { label: "Bell", means: "bell" },
    ),
    burns: choice(
      cv(127).bits(0, 1),
      { oil: { value: 0, means: "oil" }, coal: { value: 3, means: "coal" } },
      { label: "Firing", means: "firing" },
    ),
    volume: level(cv(133).bits(0, 3), {
      unit: "%",
      step: 100 / 12,
      max: 100,
      decimals: 1,
      label: "All sounds",
      means: "all sounds, sound level",
    }),
    drainCocks: switched(
      cv(133).bit(5),
      record({
        time: level(cv(120), {
          unit: "s",
          step: 0.4,
          min: 0.8,
          max: 36,
          label: "Open for",
          means: "duration",
        }),
      }),
      { label: "Drain cocks on starting", means: "drain cocks" },
    ),
    lampFront: lamp(
      cv(165).bits(4, 7),
      cv(154).bits(0, 1),
      cv(154).bit(2),
      "Front lamp",
      "headlight, output 1",
    ),
    lampRear: lamp(
      cv(167).bits(4, 7),
      cv(154).bits(4, 5),
      cv(154).bit(6),
      "Rear lamp",
      "rear light, output 2",
    ),
    lamp3: lamp(cv(163).bits(4, 7), cv(158).bits(0, 1), cv(158).bit(2), "Output 3", "lamp, output 3"),
    lamp4: lamp(cv(165).bits(0, 3), cv(158).bits(4, 5), cv(158).bit(6), "Output 4", "lamp, output 4"),
    lamp5: lamp(cv(167).bits(0, 3), cv(156).bits(0, 1), cv(156).bit(2), "Output 5", "lamp, output 5"),
    lamp6: lamp(cv(163).bits(0, 3), cv(156).bits(4, 5), cv(156).bit(6), "Output 6", "lamp, output 6"),
    whistleKey: level(cv(136).bits(0, 3), {
      max: 12,
      names: { none: 13 },
      label: "Whistle key",
      means: "whistle, key",
    }),
    bellKey: level(cv(136).bits(4, 7), {
      max: 12,
      names: { none: 13 },
      label: "Bell key",
      means: "bell, key",
    }),
  },
  rules: [{ rule: "outputs", outputs: [1, 2, 3, 4, 5, 6] }],
  factory: {
    ...factoryDefaults,
    2: 4,
    3: 3,
    4: 3,
    5: 0,
    6: 0,
    7: 21,
    8: 13,
    17: 192,
    18: 128,
    19: 0,
    21: 0,
    22: 0,
    29: 2,
    // F2 and F4 work sounds; outputs 3-6 are on F1, F3, F5 and F6.
    ...{ 35: 4, 36: 0, 37: 8, 38: 0, 39: 2, 40: 4, 41: 0, 42: 0, 43: 0, 44: 0, 45: 0, 46: 0 },
    66: 128,
    95: 128,
    ...Object.fromEntries(Array.from({ length: 28 }, (_, i) => [67 + i, Math.round(4 + (i * 251) / 27)])),
    116: 136,
    120: 15,
    127: 35,
    133: 8,
    136: 66,
    154: 2,
    156: 17,
    158: 17,
    163: 153,
    165: 153,
    167: 153,
  },
});
