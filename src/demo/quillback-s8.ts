import {
  type BytePlace,
  choice,
  cv,
  defineDecoder,
  flag,
  level,
  page,
  record,
  switched,
  text,
} from "../index.js";
import { factoryDefaults, locomotive } from "../standard/index.js";

// An invented decoder: no maker sells it, and its numbers follow no real one. It shows what descriptions
// can say: steam sounds, eight outputs, several choices in one byte, switched effects, index pages.

const effects = {
  steady: { value: 0, label: "Steady", means: "steady" },
  dim: { value: 3, label: "Dimmed", means: "dimmed" },
  "dim-standing": { value: 4, label: "Dimmed while standing", means: "dimmed while standing" },
  "oil-flicker": { value: 9, label: "Oil lamp, flickering", means: "oil lamp" },
  gyrating: { value: 12, label: "Gyrating beam", means: "oscillating" },
  "firebox-glow": { value: 17, label: "Firebox glow", means: "firebox glow" },
  "with-dynamo": { value: 22, label: "Comes up with the dynamo", means: "dynamo lamp" },
} as const;

/** A lamp output: effect, direction and LED brightness correction share one byte. */
function lamp(place: BytePlace, label: string, means: string) {
  return record(
    {
      effect: choice(place.bits(0, 4), effects, { label: "Effect", means: "lamp effect" }),
      lit: choice(
        place.bits(5, 6),
        {
          "both-ways": { value: 0, means: "both directions" },
          forward: { value: 1, means: "forward only" },
          reverse: { value: 2, means: "reverse only" },
        },
        { label: "Lit when running", means: "lamp direction" },
      ),
      ledCorrection: flag(place.bit(7), {
        label: "LED brightness correction",
        note: "An LED needs its series resistor all the same.",
        means: "LED correction",
      }),
    },
    { label, means },
  );
}

const percent = (place: BytePlace, label: string, means: string) =>
  level(place, { unit: "%", max: 100, label, means });

const key = (place: BytePlace, label: string, means: string) =>
  level(place, { max: 28, names: { none: 255 }, label, means });

/** Quillback S8, an invented decoder with steam sound and eight outputs. */
export const quillback = /* @__PURE__ */ defineDecoder({
  id: "quillback-s8",
  name: "Quillback S8",
  kind: "multifunction",
  note: "An invented decoder, for demonstration: no maker sells it.",
  features: {
    ...locomotive,

    whistle: choice(
      cv(141),
      {
        "one-note": { value: 0, label: "One note, high", means: "one-note whistle" },
        "two-note": { value: 2, label: "Two notes", means: "two-note whistle" },
        "three-chime": { value: 6, label: "Three chime, deep", means: "three-chime whistle" },
        "five-chime": { value: 7, label: "Five chime", means: "five-chime whistle" },
        "six-chime": { value: 13, label: "Six chime, long bell", means: "six-chime whistle" },
      },
      { label: "Whistle", means: "whistle" },
    ),
    bell: record(
      {
        sound: choice(
          cv(142).bits(0, 2),
          {
            brass: { value: 1, label: "Brass, bright", means: "bright bell" },
            steel: { value: 2, label: "Cast steel, dull", means: "dull bell" },
            cracked: { value: 6, label: "Cracked", means: "cracked bell" },
          },
          { label: "Sound", means: "bell" },
        ),
        airRung: flag(cv(142).bit(3), { label: "Rung by air, not by hand", means: "bell, rung by air" }),
      },
      { label: "Bell" },
    ),
    exhaust: choice(
      cv(143).bits(0, 3),
      {
        soft: { value: 1, label: "Soft", means: "soft exhaust" },
        crisp: { value: 4, label: "Crisp", means: "crisp exhaust" },
        heavy: { value: 5, label: "Heavy", means: "heavy exhaust" },
        "two-engines": { value: 10, label: "Two engines, drifting", means: "two-engine exhaust" },
      },
      { label: "Exhaust", means: "exhaust" },
    ),
    airPumps: choice(
      cv(144).bits(0, 2),
      {
        none: { value: 0, means: "none" },
        "single-stage": { value: 1, label: "One, single-stage", means: "single-stage air pump" },
        compound: { value: 3, label: "One, compound", means: "compound air pump" },
        "compound-pair": { value: 4, label: "Two, compound", means: "two compound air pumps" },
      },
      { label: "Air pumps", means: "air pump" },
    ),
    dynamos: choice(
      cv(144).bits(3, 4),
      {
        none: { value: 0, means: "none" },
        one: { value: 1, means: "1" },
        two: { value: 2, means: "2" },
      },
      { label: "Dynamos", means: "dynamo" },
    ),
    firing: choice(
      cv(152).bits(0, 1),
      {
        coal: { value: 0, label: "Coal", means: "coal" },
        wood: { value: 1, label: "Wood", means: "wood" },
        oil: { value: 2, label: "Oil", means: "oil" },
      },
      { label: "Firing", means: "firing" },
    ),
    injector: choice(
      cv(152).bits(2, 3),
      {
        lifting: { value: 1, label: "Lifting", means: "lifting injector" },
        "non-lifting": { value: 2, label: "Non-lifting", means: "non-lifting injector" },
        "feed-pump": { value: 3, label: "Feed-water pump", means: "feed-water pump" },
      },
      { label: "Boiler feed", means: "injector" },
    ),
    reverser: choice(
      cv(152).bits(4, 5),
      {
        lever: { value: 0, label: "Lever", means: "lever reverser" },
        screw: { value: 1, label: "Screw", means: "screw reverser" },
        power: { value: 3, label: "Steam-powered", means: "power reverser" },
      },
      { label: "Reverser", means: "reverser" },
    ),
    cylinders: choice(
      cv(153).bits(0, 1),
      {
        two: { value: 0, label: "Two", means: "2" },
        three: { value: 1, label: "Three", means: "3" },
        "two-engines": { value: 3, label: "Two engines of two", means: "two engines of two cylinders" },
      },
      { label: "Cylinders", means: "cylinders" },
    ),
    slip: level(cv(153).bits(2, 5), {
      max: 12,
      label: "Wheel slip",
      note: "0 never, 12 at every hard start.",
      means: "wheel slip",
    }),
    drains: switched(
      cv(160).bit(3),
      record({
        seconds: level(cv(161), {
          unit: "s",
          min: 1,
          max: 60,
          label: "Open for",
          means: "duration",
        }),
      }),
      { label: "Drain cocks on starting", means: "drain cocks" },
    ),
    blowdown: switched(
      cv(160).bit(6),
      record({
        every: level(cv(162), {
          unit: "min",
          min: 2.5,
          max: 60,
          step: 2.5,
          label: "Every",
          means: "interval",
        }),
      }),
      { label: "Blowdown", means: "blowdown" },
    ),

    front: lamp(cv(171), "Front lamp", "headlight, output 1"),
    rear: lamp(cv(172), "Rear lamp", "rear light, output 2"),
    output3: lamp(cv(173), "Output 3", "lamp, output 3"),
    output4: lamp(cv(174), "Output 4", "lamp, output 4"),
    output5: lamp(cv(175), "Output 5", "lamp, output 5"),
    output6: lamp(cv(176), "Output 6", "lamp, output 6"),
    output7: lamp(cv(177), "Output 7", "lamp, output 7"),
    output8: lamp(cv(178), "Output 8", "lamp, output 8"),
    fade: level(cv(180), { unit: "s", step: 0.1, max: 5, label: "Lamps fade for", means: "lamp, fade time" }),

    levels: record(
      {
        master: percent(cv(190), "All sounds", "all sounds, sound level"),
        whistle: percent(cv(191), "Whistle", "whistle, sound level"),
        bell: percent(cv(192), "Bell", "bell, sound level"),
        exhaust: percent(cv(193), "Exhaust", "exhaust, sound level"),
        pumps: percent(cv(194), "Pumps", "air pump, sound level"),
      },
      { label: "Sound levels" },
    ),
    keys: record(
      {
        whistle: key(cv(200), "Whistle", "whistle, key"),
        bell: key(cv(201), "Bell", "bell, key"),
        drains: key(cv(202), "Drain cocks", "drain cocks, key"),
        mute: key(cv(203), "Mute", "mute, key"),
      },
      { label: "Function keys of the sounds", note: "The number of the function, 0 for FL." },
    ),

    brakeSqueal: record(
      {
        below: level(page(16, 0).cv(300), {
          max: 126,
          label: "Below speed step",
          means: "below speed step",
        }),
        seconds: level(page(16, 0).cv(301), {
          unit: "s",
          step: 0.25,
          max: 8,
          label: "For at most",
          means: "duration",
        }),
      },
      { label: "Brake squeal", means: "brake squeal" },
    ),
    plate: text(page(16, 1).cv(257).through(264), { label: "Number plate text", means: "plate text" }),
  },
  rules: [
    { rule: "outputs", outputs: [1, 2, 3, 4, 5, 6, 7, 8] },
    {
      rule: "needs",
      name: "two-engine-exhaust",
      severity: "warning",
      when: { path: "exhaust", is: "two-engines" },
      needs: { path: "cylinders", is: "two-engines" },
      why: "The exhaust of two engines drifts in and out of step, as the cylinders of one engine cannot.",
      fix: "Choose the cylinders of two engines, or another exhaust.",
    },
  ],
  factory: {
    ...factoryDefaults,
    2: 2,
    3: 6,
    4: 4,
    5: 0,
    6: 0,
    7: 31,
    8: 13,
    17: 192,
    18: 128,
    19: 0,
    21: 0,
    22: 0,
    29: 6,
    // F1, F2, F7 and F8 work sounds; outputs 3-8 are on F3-F6, F9 and F10.
    ...{ 35: 0, 36: 0, 37: 4, 38: 1, 39: 2, 40: 4, 41: 0, 42: 0, 43: 1, 44: 2, 45: 0, 46: 0 },
    66: 0,
    95: 0,
    ...linear(67),
    141: 6,
    142: 1,
    143: 4,
    144: 9,
    152: 4,
    153: 8,
    160: 0,
    161: 8,
    162: 4,
    171: 32,
    172: 64,
    173: 0,
    174: 0,
    175: 0,
    176: 0,
    177: 0,
    178: 0,
    180: 3,
    190: 70,
    191: 100,
    192: 60,
    193: 80,
    194: 50,
    200: 2,
    201: 1,
    202: 7,
    203: 8,
    "300@16.0": 40,
    "301@16.0": 12,
    ...nameplate("QUILLBCK"),
  },
});

function linear(first: number): Record<number, number> {
  return Object.fromEntries(
    Array.from({ length: 28 }, (_, i) => [first + i, Math.round(((i + 1) * 255) / 28)]),
  );
}

function nameplate(name: string): Record<string, number> {
  return Object.fromEntries([...name].map((letter, i) => [`${257 + i}@16.1`, letter.charCodeAt(0)]));
}
