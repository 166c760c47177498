import {
  type AnyCodec,
  choice,
  converted,
  cv,
  defineCodec,
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

const upper = cv(50).bits(4, 7);
const lower = cv(50).bits(0, 3);

const mixed: [number, string | number | boolean][] = [
  [0, "empty"],
  [1, 0.5],
  [3, true],
];

/** A codec of every kind, and of every way in which one can be set up. */
export const kinds: Readonly<Record<string, AnyCodec>> = {
  flag: flag(cv(29).bit(5)),
  "flag, inverted, on a page": flag(page(16, 0).cv(300).bit(0), { inverted: true }),
  choice: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }),
  "choice of a whole CV": choice(cv(218), {
    "one-note": 6,
    "three-chime": { value: 5, label: "Three" },
    off: 255,
  }),
  "choice of a pair": choice(cv(17).with(cv(18)), { low: 3, high: 65535, middle: 256 }),
  "choice of names that objects have": choice(cv(1).bits(0, 1), {
    constructor: 0,
    toString: 1,
    ["__proto__"]: 2,
  }),
  level: level(cv(2)),
  "level of some bits": level(cv(2).bits(1, 4)),
  "level with a range": level(cv(249).bits(0, 5), { min: 1, max: 60, unit: "s" }),
  "level of a pair": level(cv(17).bits(0, 5).with(cv(18))),
  "level of a pair with a range": level(cv(17).with(cv(18)), { min: 100, max: 10239 }),
  "level of 32 bits": level(cv(1).with(cv(2)).with(cv(3)).with(cv(4)), { min: 1, max: 4294967294 }),
  "level of three runs of bits": level(cv(1).bits(7, 7).with(cv(2).bits(2, 5)).with(cv(3).bits(0, 1))),
  "level in steps": level(cv(3), { step: 0.896, unit: "s" }),
  "level in steps, upside down": level(cv(3).bits(0, 3), { step: -0.1, offset: 1.5, min: 0.2 }),
  "level in percent": level(cv(3), { step: 100 / 255, decimals: 1, unit: "%" }),
  "level with names": level(cv(4), { names: { continuous: 0, never: 255 }, min: 1, max: 99, unit: "s" }),
  "level of a pair in steps": level(cv(4).with(cv(5)), { step: 0.25, offset: -8192 }),
  flags: flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]),
  "flags with gaps": flags(cv(36).bits(2, 6), ["a", null, "b", null, 7]),
  text: text(cv(200).through(203)),
  "text filled with spaces": text(cv(200).through(203), { pad: 32 }),
  "text filled with 255, on a page": text(page(16, 3).cv(400).through(402), { pad: 255 }),
  table: table(cv(67).through(94)),
  "table of 14": table(cv(33).through(46)),
  "table of 3 with a range": table(cv(120).through(122), { min: 2, max: 9 }),
  "table in steps": table(cv(120).through(122), { step: 0.5, offset: -1, unit: "%" }),
  "table on a page": table(page(20, 1).cv(500).through(512)),
  record: record({
    effect: choice(cv(216).bits(1, 4), { plain: 7, flickers: 2, swings: 15 }),
    forLed: flag(cv(243).bit(7), { inverted: true }),
  }),
  "record of records": record({
    a: record({ b: record({ c: flag(cv(1).bit(0)) }), d: level(cv(2)) }),
    7: flag(cv(1).bit(1)),
  }),
  "record of 20": record(
    Object.fromEntries(Array.from({ length: 20 }, (_, i) => [`field${i}`, level(cv(100 + i), { max: 200 })])),
  ),
  "record of nothing": record({ only: flag(cv(9).bit(3)), none: record({}) }),
  variant: variant(cv(130).bit(7), {
    timed: { value: 0, fields: { seconds: level(cv(131), { unit: "s" }) } },
    counted: { value: 1, label: "Counted", fields: { times: level(cv(131), { max: 9 }) } },
  }),
  "variant with a gap, a tag and nothing in a case": variant(
    cv(130).bits(0, 1),
    { off: { value: 0, fields: {} }, on: { value: 3, fields: { pair: level(cv(131).with(cv(132))) } } },
    { tag: "mode" },
  ),
  switched: switched(cv(252).bit(1), record({ seconds: level(cv(249), { step: 0.25, min: 1.5, max: 40 }) })),
  "switched, inverted, a choice": switched(cv(252).bit(0), choice(cv(252).bits(1, 2), { a: 0, b: 3 }), {
    inverted: true,
  }),
  "switched table": switched(cv(252).bit(0), table(cv(249).through(250), { max: 9 })),
  "switched variant": switched(
    cv(252).bit(7),
    variant(cv(252).bits(0, 1), { x: { value: 1, fields: { n: level(cv(249), { max: 3 }) } } }),
  ),
  "converted by pairs": converted(level(cv(90), { max: 3 }), mixed),
  "converted by code": converted(level(cv(91), { max: 15 }), {
    decode: (n) => n * n,
    encode: (t) => Math.sqrt(t),
  }),
  "converted by code that loses something": converted(level(cv(92), { max: 15 }), {
    decode: (n) => n >> 1,
    encode: (t) => t << 1,
  }),
  "from outside": defineCodec<readonly [number, number]>({
    kind: "ratio",
    places: [upper, lower],
    read: (cvs) => [upper.read(cvs), lower.read(cvs)],
    write(cvs, value) {
      if (!Array.isArray(value) || value.length !== 2) throw new Error("two numbers are needed");
      upper.write(cvs, value[0]);
      lower.write(cvs, value[1]);
    },
  }),
};
