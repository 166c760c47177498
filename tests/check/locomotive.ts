import { CvSet, choice, cv, defineDecoder, flag, level, page, record, switched } from "cvset";
import { locomotive } from "cvset/standard";

// An invented decoder and an invented locomotive without any finding. Tests break one thing at a time.

export const decoder = defineDecoder({
  id: "teal-t4",
  name: "Teal T4",
  kind: "multifunction",
  features: {
    ...locomotive,
    fuel: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }),
    sparkCage: flag(cv(246).bit(2)),
    drains: switched(
      cv(252).bit(1),
      record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
    ),
    blower: flag(cv(252).bit(5)),
    deepWhistle: level(page(73, 9).cv(389), { max: 9 }),
  },
  rules: [
    { rule: "outputs", outputs: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14] },
    {
      rule: "needs",
      name: "slabwood-needs-cage",
      why: "Slabwood throws sparks.",
      fix: "Fit the spark cage.",
      source: "manual, page 12",
      when: { path: "fuel", is: "slabwood" },
      needs: { path: "sparkCage", is: true },
    },
    {
      rule: "at-most-one",
      name: "one-steam-effect",
      severity: "warning",
      of: [
        { path: "drains", not: "off" },
        { path: "blower", is: true },
      ],
    },
  ],
});

/** 4, 13, 22 ... 247: a straight speed table. */
const table = Object.fromEntries(Array.from({ length: 28 }, (_, i) => [67 + i, 4 + 9 * i]));

/** One output a key, as the decoder leaves the factory (S-9.2.2 (July 2012), CV 33-46). */
const outputs = {
  33: 1,
  34: 2,
  35: 4,
  36: 8,
  37: 16,
  38: 4,
  39: 8,
  40: 16,
  41: 32,
  42: 64,
  43: 16,
  44: 32,
  45: 64,
  46: 128,
};

export const good = CvSet.from({
  1: 3,
  2: 6,
  3: 10,
  4: 8,
  5: 220,
  6: 90,
  7: 21,
  8: 13,
  15: 1,
  16: 1,
  17: 196,
  18: 210,
  19: 0,
  21: 0,
  22: 0,
  23: 0,
  24: 0,
  // Long address, 28/128 steps, speed table.
  29: 0b110010,
  31: 73,
  32: 9,
  ...outputs,
  66: 128,
  ...table,
  95: 128,
  246: 0b0110_0100,
  249: 20,
  252: 0,
  "389@73.9": 7,
});
