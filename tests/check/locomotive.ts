import { CvSet, choice, cv, defineDecoder, flag, level, page, record, switched } from "cvset";
import { locomotive } from "cvset/standard";

// An invented decoder and an invented locomotive without any finding. Tests break one thing at a time.

export const decoder = defineDecoder({
  id: "teal-t4",
  name: "Teal T4",
  kind: "multifunction",
  features: {
    ...locomotive,
    firing: choice(cv(152).bits(0, 1), { coal: 0, wood: 1, oil: 2 }),
    injector: flag(cv(152).bit(4)),
    drains: switched(cv(160).bit(3), record({ seconds: level(cv(161), { unit: "s", min: 1, max: 60 }) })),
    blower: flag(cv(160).bit(0)),
    deepWhistle: level(page(16, 0).cv(300), { max: 9 }),
  },
  rules: [
    { rule: "outputs", outputs: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14] },
    {
      rule: "needs",
      name: "oil-needs-injector",
      why: "An oil burner has no other feed.",
      fix: "Switch the injector on.",
      source: "manual, page 12",
      when: { path: "firing", is: "oil" },
      needs: { path: "injector", is: true },
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
  31: 16,
  32: 0,
  ...outputs,
  66: 128,
  ...table,
  95: 128,
  152: 0b10000,
  160: 0,
  161: 20,
  "300@16.0": 7,
});
