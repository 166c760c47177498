import {
  type AnyCodec,
  CvSet,
  choice,
  cv,
  defineCodec,
  defineDecoder,
  flag,
  flags,
  level,
  page,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import type { SheetLocomotive } from "cvset/sheet";
import { factoryDefaults, locomotive } from "cvset/standard";

/** When a lamp is lit: by the meaning of an option, by its name, or by neither. */
const lit = (place: number) =>
  choice(
    cv(place).bits(3, 4),
    { always: 0, ahead: { value: 1, means: "forward only" }, "reverse-only": 2 },
    { label: "Lit", means: "lamp direction" },
  );

const effect = (place: number) =>
  choice(
    cv(place).bits(0, 2),
    { steady: { value: 1, label: "Steady" }, flicker: { value: 2, label: "Flickers" } },
    { label: "Effect", means: "lamp effect" },
  );

/** A codec from outside with parts. */
const puffs = defineCodec<{ readonly beats: number; readonly loud: number }>({
  kind: "puffs",
  places: [cv(148), cv(149)],
  about: { label: "Puffs", means: "exhaust" },
  read: (cvs) => ({ beats: cv(148).read(cvs), loud: cv(149).read(cvs) }),
  write(cvs, { beats, loud }) {
    cv(148).write(cvs, beats);
    cv(149).write(cvs, loud);
  },
  parts: { beats: level(cv(148), { label: "Beats" }), loud: level(cv(149), { label: "Loudness" }) },
}) as AnyCodec;

/** A decoder with a setting for each way in which a sheet tells of one. */
export const everyDecoder = defineDecoder({
  id: "example-x2",
  name: "Example X2",
  kind: "multifunction",
  features: {
    ...locomotive,
    front: record(
      {
        effect: effect(120),
        lit: lit(120),
        led: flag(cv(120).bit(7), { label: "LED", means: "LED correction" }),
      },
      { label: "Front lamp", means: "headlight, output 1" },
    ),
    // A label that only repeats the number; an effect that is off; a level.
    rear: record(
      {
        effect: effect(121),
        lit: lit(121),
        led: flag(cv(121).bit(7), { label: "For LEDs", means: "LED correction" }),
        dim: level(cv(122), { label: "Dimmed to", means: "brightness", unit: "%", max: 100 }),
      },
      { label: "Output 2, rear", means: "rear light, output 2" },
    ),
    // No label.
    cab: record(
      {
        lit: lit(123),
        fade: level(cv(124), { unit: "s", means: "fade time" }),
        side: choice(cv(191), { "on the forward side": 0 }, { label: "Mounted", means: "fitted" }),
      },
      { means: "cab light, output 3" },
    ),
    // No term of what it is.
    fourth: level(cv(125), { max: 9, means: "output 4" }),
    smoke: switched(cv(126).bit(0), level(cv(127), { max: 10 }), {
      label: "Smoke unit",
      means: "smoke unit, output 5",
    }),

    whistle: record(
      {
        sound: choice(
          cv(130),
          { low: 1, chime: { value: 2, label: "Three chime" } },
          { label: "Steam whistle", means: "whistle" },
        ),
        level: level(cv(131), { max: 8, means: "sound level" }),
        key: level(cv(132), { max: 28, means: "key" }),
        lamp: flag(cv(133).bit(0), { label: "With steam", means: "fitted" }),
        wait: level(cv(134), { unit: "s", label: "Waits for", means: "delay" }),
        air: flag(cv(133).bit(1), { label: "Unused", means: "rung by air" }),
      },
      { label: "Whistle", means: "whistle" },
    ),
    bell: choice(cv(135), { dull: 0, bright: 1 }, { label: "Bell on the boiler", means: "bell" }),
    bellKey: level(cv(136), { max: 28, names: { none: 255 }, means: "bell, key" }),
    bellLevel: level(cv(137), { max: 14, names: { silent: 255 }, means: "bell, sound level" }),
    blow: switched(
      cv(138).bit(0),
      record({ time: level(cv(139), { unit: "s", label: "Open for", means: "duration" }) }, {}),
      { label: "Drain cocks", means: "drain cocks" },
    ),
    slip: switched(cv(138).bit(1), level(cv(140), { unit: "s", label: "Slips for" }), {
      label: "Wheel slip",
      means: "wheel slip",
    }),
    puffs,
    // What it is and how much, in one CV.
    steam: switched(cv(141).bit(7), level(cv(141).bits(0, 3), { unit: "s" }), {
      label: "Blow-off",
      means: "safety valve",
    }),
    lifts: record(
      {
        mode: switched(cv(142).bit(0), record({ for: level(cv(143), { unit: "s", label: "Lifts for" }) }), {
          label: "Lifts",
          means: "fitted",
        }),
        more: switched(cv(142).bit(1), level(cv(144)), { label: "Twice", means: "delay" }),
      },
      { label: "Valves", means: "safety valve" },
    ),
    horn: choice(cv(147), { one: 1 }, { label: "Air horn", means: "horn" }),

    cylinders: choice(
      cv(150),
      { two: { value: 2, label: "Two" } },
      { label: "Cylinders", means: "cylinders" },
    ),
    kick: level(cv(151), { max: 255, label: "Kick start", means: "kick start" }),
    volume: level(cv(152), { max: 4, label: "All sounds", means: "sound level" }),
    brake: level(cv(153), { label: "Brake key", max: 28, means: "brake, key" }),
    stroke: variant(
      cv(154).bit(7),
      {
        timed: {
          value: 0,
          label: "By time",
          fields: { rest: level(cv(155).bits(0, 3), { label: "Rest", unit: "s" }) },
        },
        counted: {
          value: 1,
          fields: { rest: level(cv(155).bits(4, 7), { label: "Strokes" }), more: flag(cv(154).bit(0)) },
        },
      },
      { label: "Air pump strokes" },
    ),
    long: variant(
      cv(171),
      {
        four: {
          value: 4,
          fields: {
            number: level(cv(172).with(cv(173).with(cv(174).with(cv(175)))), { label: "Number" }),
            list: table(cv(180).through(184), { label: "List" }),
          },
        },
      },
      { label: "Long" },
    ),
    five: defineCodec<number>({
      kind: "five",
      places: cv(185).through(189).places,
      about: { label: "Five" },
      read: (cvs) => cv(185).read(cvs),
      write: (cvs, n) => cv(185).write(cvs, n),
      text: (n) => `number ${n}`,
    }) as AnyCodec,
    plate: text(cv(156).through(158), { label: "Number plate", means: "plate text" }),
    hours: table(cv(160).through(164), { label: "Hours" }),
    pair: table(cv(165).through(166), { label: "Pair" }),
    listed: flags(cv(167), [1, 2, null, 4, null, null, null, null], { label: "Listed" }),
    wide: level(cv(168).with(cv(169)), { label: "Wide" }),
    paged: level(page(16, 0).cv(300), { label: "Paged", unit: "min" }),
    unused: switched(cv(170).bit(0), level(page(16, 0).cv(301), { label: "Inner" }), { label: "Unused" }),
  },
  factory: { ...factoryDefaults, 29: 2, 120: 1, 130: 1, 152: 4, 160: 1 },
  rules: [{ rule: "outputs", outputs: [6, 2, 1, 3, 5, 4] }],
});

export const everyCvs = CvSet.from({
  ...everyDecoder.defaults().toJSON(),
  2: 10,
  3: 25,
  4: 18,
  5: 200,
  6: 90,
  9: 5,
  17: 196,
  18: 210,
  19: 160,
  20: 3,
  21: 0,
  22: 0,
  23: 0,
  24: 133,
  25: 2,
  29: 49,
  33: 0b101,
  34: 0b111,
  35: 0b1000,
  36: 0b1,
  37: 0b10000,
  38: 0b10,
  ...Object.fromEntries(Array.from({ length: 28 }, (_, i) => [67 + i, 9 * (i + 1) + 3])),
  66: 128,
  95: 120,
  48: 7,
  60: 10,
  120: 0b10001001,
  121: 0b00010001,
  122: 40,
  123: 0b00011000,
  124: 2,
  125: 7,
  126: 1,
  127: 5,
  130: 2,
  131: 4,
  132: 2,
  133: 1,
  134: 3,
  135: 1,
  136: 255,
  137: 255,
  138: 1,
  141: 0x85,
  142: 1,
  143: 6,
  144: 3,
  171: 4,
  191: 0,
  ...{ 172: 0, 173: 0, 174: 1, 175: 2, 180: 5, 181: 4, 182: 3, 183: 2, 184: 1 },
  ...{ 185: 7, 186: 0, 187: 0, 188: 0, 189: 0 },
  139: 12,
  140: 4,
  147: 9,
  148: 4,
  149: 9,
  150: 2,
  151: 60,
  152: 1,
  153: 5,
  154: 129,
  155: 0x37,
  156: 65,
  157: 66,
  158: 67,
  160: 1,
  161: 2,
  162: 3,
  163: 4,
  164: 5,
  165: 8,
  166: 9,
  167: 9,
  168: 1,
  169: 2,
  "300@16.0": 20,
  170: 0,
  "301@16.0": 9,
});

/** A locomotive whose sheet has everything that a sheet can have. */
export const every: SheetLocomotive = {
  name: "No. 7 <Lumber & Sons>",
  note: "Runs on Sundays | by hand",
  decoder: everyDecoder,
  cvs: everyCvs,
  fullSpeed: 11,
  findings: [
    { severity: "error", message: "the curve falls" },
    { severity: "warning", message: "forward and reverse are trimmed apart" },
    { severity: "warning", message: "output 6 has no lamp" },
    { severity: "note", message: "=no formula" },
  ],
};
