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
// can say. Its sounds are grouped by where they sit on an engine of a lumber line, from the stack to the tender.

const effects = {
  "brightens-slowly": { value: 14, label: "Brightens slowly", means: "dynamo lamp" },
  flickers: { value: 2, label: "Flickers", means: "oil lamp" },
  swings: { value: 9, label: "Swings from side to side", means: "oscillating" },
  glows: { value: 5, label: "Glows and dies down", means: "firebox glow" },
  "dims-at-rest": { value: 12, label: "Dims at rest", means: "dimmed while standing" },
  "half-light": { value: 11, label: "Half light", means: "dimmed" },
  plain: { value: 7, label: "Plain", means: "steady" },
} as const;

type Output = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** A lamp: direction and effect share a byte; the correction bits of all lamps share another, 1 for "not corrected". */
function lamp(output: Output, label: string, means: string) {
  const place = cv(217 - output);
  return record(
    {
      shows: choice(
        place.bits(6, 7),
        {
          forward: { value: 3, means: "forward only" },
          reverse: { value: 1, means: "reverse only" },
          "both-ways": { value: 2, means: "both directions" },
        },
        { label: "Shows", means: "lamp direction" },
      ),
      effect: choice(place.bits(1, 4), effects, { label: "Effect", means: "lamp effect" }),
      forLed: flag(cv(243).bit((8 - output) as 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7), {
        inverted: true,
        label: "For an LED",
        note: "The brightness is corrected for it; it needs its series resistor all the same.",
        means: "LED correction",
      }),
    },
    { label, means },
  );
}

const loudness = (place: BytePlace, label: string, means: string) =>
  level(place, { unit: "%", step: 2, max: 100, label, means });

const key = (place: BytePlace, label: string, means: string) =>
  level(place.bits(2, 6), { max: 28, names: { none: 30 }, label, means });

/** Quillback S8, an invented decoder with steam sound and eight outputs. */
export const quillback = /* @__PURE__ */ defineDecoder({
  id: "quillback-s8",
  name: "Quillback S8",
  kind: "multifunction",
  note: "An invented decoder, for demonstration: no maker sells it.",
  features: {
    ...locomotive,

    stack: choice(
      cv(237),
      {
        straight: { value: 38, label: "Straight stack, crisp", means: "crisp exhaust" },
        "wide-cap": { value: 11, label: "Wide cap, soft", means: "soft exhaust" },
        "spark-cage": { value: 90, label: "Spark cage, heavy", means: "heavy exhaust" },
        "two-engines": { value: 203, label: "Two engines, in and out of step", means: "two-engine exhaust" },
      },
      { label: "Exhaust", means: "exhaust" },
    ),

    // On top of the boiler.
    whistle: choice(
      cv(218).bits(4, 6),
      {
        "three-chime": { value: 5, label: "Three chime, for the valley", means: "three-chime whistle" },
        "five-chime": { value: 3, label: "Five chime", means: "five-chime whistle" },
        "one-note": { value: 6, label: "One note", means: "one-note whistle" },
        "two-note": { value: 0, label: "Two notes", means: "two-note whistle" },
        "mill-hooter": { value: 2, label: "Hooter of the old mill" },
      },
      { label: "Whistle", means: "whistle" },
    ),
    safetyValves: choice(
      cv(218).bits(0, 1),
      {
        one: { value: 3, means: "1" },
        pair: { value: 1, means: "2" },
      },
      { label: "Safety valves", means: "safety valve" },
    ),

    // On the running board: which pump, and how fast.
    pump: record(
      {
        kind: choice(
          cv(231).bits(6, 7),
          {
            "single-stage": { value: 0, label: "One, single-stage", means: "single-stage air pump" },
            "single-stage-pair": {
              value: 1,
              label: "Two, single-stage",
              means: "two single-stage air pumps",
            },
            none: { value: 2, means: "none" },
            compound: { value: 3, label: "One, compound", means: "compound air pump" },
          },
          { label: "Kind", means: "air pump" },
        ),
        strokes: level(cv(231).bits(0, 4), {
          unit: "/min",
          offset: 18,
          step: 4,
          max: 142,
          label: "Strokes",
          means: "air pump, rate",
        }),
      },
      { label: "Air pump" },
    ),

    // In the frames: a count and a level.
    cylinders: choice(
      cv(221).bits(2, 3),
      {
        "two-engines": { value: 0, label: "Two engines of two", means: "two engines of two cylinders" },
        two: { value: 1, label: "Two", means: "2" },
        three: { value: 2, label: "Three", means: "3" },
      },
      { label: "Cylinders", means: "cylinders" },
    ),
    rodKnock: level(cv(221).bits(4, 7), {
      max: 9,
      label: "Knock of the rods",
      note: "0 for new bearings, 9 for worn ones.",
      means: "rod clank, strength",
    }),

    // In the cab.
    feed: choice(
      cv(224).bits(0, 2),
      {
        "crosshead-pump": { value: 6, label: "Pump on the crosshead", means: "feed-water pump" },
        lifting: { value: 4, label: "Lifting injector", means: "lifting injector" },
        "non-lifting": { value: 1, label: "Non-lifting injector", means: "non-lifting injector" },
      },
      { label: "Boiler feed", means: "injector" },
    ),
    blower: level(cv(224).bits(3, 6), { max: 11, label: "Blower at rest", means: "blower, strength" }),

    // In the tender, which carries the bell too: three settings in one byte.
    fuel: choice(
      cv(246).bits(5, 7),
      {
        slabwood: { value: 6, label: "Slabwood of the mill", means: "wood" },
        coal: { value: 3, label: "Coal", means: "coal" },
        oil: { value: 1, label: "Oil", means: "oil" },
      },
      { label: "Fuel", means: "firing" },
    ),
    takesWater: flag(cv(246).bit(2), { label: "Takes water", means: "water filling" }),
    bell: record(
      {
        tone: choice(
          cv(246).bits(3, 4),
          {
            dull: { value: 0, label: "Dull", means: "dull bell" },
            clear: { value: 2, label: "Clear", means: "bright bell" },
            cracked: { value: 3, label: "Cracked", means: "cracked bell" },
          },
          { label: "Tone", means: "bell" },
        ),
        byAir: flag(cv(224).bit(7), {
          inverted: true,
          label: "Rung by air",
          means: "bell, rung by air",
        }),
      },
      { label: "Bell" },
    ),

    // One byte turns them on; an index page says how long and how often.
    drains: switched(
      cv(252).bit(1),
      record({
        seconds: level(page(73, 9).cv(389), {
          unit: "s",
          step: 0.25,
          min: 1.5,
          max: 40,
          label: "Open for",
          means: "duration",
        }),
      }),
      { label: "Drain cocks on starting", means: "drain cocks" },
    ),
    blowdown: switched(
      cv(252).bit(4),
      record({
        every: level(page(73, 9).cv(404), {
          unit: "min",
          offset: 3,
          step: 1.5,
          max: 60,
          label: "Every",
          means: "interval",
        }),
      }),
      { label: "Blowdown", means: "blowdown" },
    ),
    winch: flag(cv(252).bit(6), { label: "Log winch" }),

    front: lamp(1, "Front lamp", "headlight, output 1"),
    rear: lamp(2, "Rear lamp", "rear light, output 2"),
    output3: lamp(3, "Output 3", "lamp, output 3"),
    output4: lamp(4, "Output 4", "lamp, output 4"),
    output5: lamp(5, "Output 5", "lamp, output 5"),
    output6: lamp(6, "Output 6", "lamp, output 6"),
    output7: lamp(7, "Output 7", "lamp, output 7"),
    output8: lamp(8, "Output 8", "lamp, output 8"),
    fade: level(cv(239), {
      unit: "s",
      step: 0.05,
      max: 6,
      label: "Lamps fade for",
      means: "lamp, fade time",
    }),

    loudness: record(
      {
        all: level(cv(234), {
          unit: "%",
          step: 0.5,
          max: 100,
          label: "All sounds",
          means: "all sounds, sound level",
        }),
        bell: loudness(page(73, 14).cv(466), "Bell", "bell, sound level"),
        stack: loudness(page(73, 14).cv(471), "Exhaust", "exhaust, sound level"),
        pump: loudness(page(73, 14).cv(478), "Air pump", "air pump, sound level"),
        whistle: loudness(page(73, 14).cv(483), "Whistle", "whistle, sound level"),
      },
      { label: "Sound levels" },
    ),
    keys: record(
      {
        drains: key(cv(203), "Drain cocks", "drain cocks, key"),
        whistle: key(cv(206), "Whistle", "whistle, key"),
        mute: key(cv(226), "Mute", "mute, key"),
        bell: key(cv(247), "Bell", "bell, key"),
      },
      { label: "Sound keys", note: "The number of the function, 0 for FL." },
    ),

    flanges: record(
      {
        seconds: level(page(73, 22).cv(337), {
          unit: "s",
          step: 0.2,
          max: 9,
          label: "For at most",
          means: "duration",
        }),
        above: level(page(73, 22).cv(350), {
          max: 126,
          label: "Above speed step",
          means: "above speed step",
        }),
      },
      { label: "Flange squeal", means: "flange squeal" },
    ),
    slip: level(page(73, 22).cv(344), {
      max: 24,
      label: "Wheel slip",
      note: "0 never, 24 at every hard start.",
      means: "wheel slip",
    }),
    plate: text(page(112, 5).cv(426).through(433), {
      label: "Tender plate",
      means: "plate text",
    }),
  },
  rules: [
    { rule: "outputs", outputs: [1, 2, 3, 4, 5, 6, 7, 8] },
    {
      rule: "needs",
      name: "two-engine-exhaust",
      severity: "warning",
      when: { path: "stack", is: "two-engines" },
      needs: { path: "cylinders", is: "two-engines" },
      why: "The exhaust of two engines drifts in and out of step, as the cylinders of one engine cannot.",
      fix: "Choose the cylinders of two engines, or another exhaust.",
    },
  ],
  factory: {
    ...factoryDefaults,
    2: 5,
    3: 7,
    4: 5,
    5: 0,
    6: 0,
    7: 58,
    8: 13,
    17: 192,
    18: 128,
    19: 0,
    21: 0,
    22: 0,
    29: 6,
    // F5, F7, F9 and F11 work sounds; outputs 3-8 are on F1-F4, F6 and F8.
    ...{ 35: 4, 36: 8, 37: 16, 38: 4, 39: 0, 40: 8, 41: 0, 42: 16, 43: 0, 44: 0, 45: 0, 46: 0 },
    66: 0,
    95: 0,
    ...linear(67),
    203: 9 * 4,
    206: 5 * 4,
    209: 142,
    210: 142,
    211: 142,
    212: 142,
    213: 142,
    214: 142,
    215: 78,
    216: 206,
    218: 83,
    221: 36,
    224: 148,
    226: 11 * 4,
    231: 9,
    234: 130,
    237: 38,
    239: 12,
    243: 255,
    246: 96,
    247: 7 * 4,
    252: 0,
    "389@73.9": 26,
    "404@73.9": 14,
    "466@73.14": 35,
    "471@73.14": 41,
    "478@73.14": 22,
    "483@73.14": 47,
    "337@73.22": 15,
    "344@73.22": 6,
    "350@73.22": 70,
    ...nameplate("QUILLBCK"),
  },
});

function linear(first: number): Record<number, number> {
  return Object.fromEntries(
    Array.from({ length: 28 }, (_, i) => [first + i, Math.round(((i + 1) * 255) / 28)]),
  );
}

function nameplate(name: string): Record<string, number> {
  return Object.fromEntries([...name].map((letter, i) => [`${426 + i}@112.5`, letter.charCodeAt(0)]));
}
