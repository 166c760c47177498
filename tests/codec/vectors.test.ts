import {
  type AnyCodec,
  CvSet,
  choice,
  converted,
  cv,
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
import { describe, expect, test } from "vitest";

// What each value is stored as, by hand. A base in which every bit is set shows what is left alone.
type Row = [codec: AnyCodec, value: unknown, stored: Record<string, number>];

const three = variant(cv(9).bits(6, 7), {
  a: { value: 2, fields: { n: level(cv(10)) } },
  b: { value: 0, fields: {} },
});

const rows: Row[] = [
  // S-9.2.2 (July 2012), CV 29: bit 5 is the long address, bit 0 the direction.
  [flag(cv(29).bit(5)), false, { 29: 0b1101_1111 }],
  [flag(cv(29).bit(0)), true, { 29: 255 }],
  [flag(cv(29).bit(1), { inverted: true }), true, { 29: 0b1111_1101 }],
  [flag(cv(29).bit(7), { inverted: true }), false, { 29: 255 }],
  [choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }), "oil", { 246: 0b0011_1111 }],
  [choice(cv(246).bits(5, 7), { a: 0, b: 5 }), "b", { 246: 0b1011_1111 }],
  [choice(cv(246).bits(5, 6), { a: 0, b: 3 }), "b", { 246: 255 }],
  [choice(cv(246), { a: 0, b: 255 }), "b", { 246: 255 }],
  [choice(cv(246), { a: 0, b: 255 }), "a", { 246: 0 }],
  [choice(cv(17).with(cv(18)), { a: 0x0102 }), "a", { 17: 1, 18: 2 }],
  [level(cv(3)), 7, { 3: 7 }],
  [level(cv(3).bits(2, 4)), 5, { 3: 0b1111_0111 }],
  // S-9.2.2 (July 2012), CV 17 and 18: the long address 1234 is 192 + 4 and 210.
  [level(cv(17).bits(0, 5).with(cv(18))), 1234, { 17: 196, 18: 210 }],
  [level(cv(1).with(cv(2)).with(cv(3)).with(cv(4))), 0xdeadbeef, { 1: 0xde, 2: 0xad, 3: 0xbe, 4: 0xef }],
  // Two runs of bits in the middle of their CVs: 0b10_110.
  [level(cv(1).bits(2, 3).with(cv(2).bits(4, 6))), 0b10110, { 1: 0b1111_1011, 2: 0b1110_1111 }],
  [level(cv(1).bits(2, 3).with(cv(2).bits(4, 6)), { offset: 100 }), 100, { 1: 0b1111_0011, 2: 0b1000_1111 }],
  [level(cv(1).bits(2, 3).with(cv(2).bits(4, 6)), { offset: -3 }), -3, { 1: 0b1111_0011, 2: 0b1000_1111 }],
  [level(cv(1).bits(2, 3).with(cv(2).bits(4, 6)), { step: 0.5 }), 11, { 1: 0b1111_1011, 2: 0b1110_1111 }],
  [level(cv(1).with(cv(2)).with(cv(3).bit(7))), 0x1fe01, { 1: 0xff, 2: 0, 3: 0xff }],
  // S-9.2.2 (July 2012), CV 3: CV 3 * 0.896 seconds from stop to full speed.
  [level(cv(3), { step: 0.896, unit: "s" }), 1.792, { 3: 2 }],
  [level(cv(3), { step: 0.1, min: 0.1, max: 20 }), 0.3, { 3: 3 }],
  [level(cv(3), { step: -1, offset: 255 }), 250, { 3: 5 }],
  [level(cv(3), { offset: -128 }), -1, { 3: 127 }],
  [level(cv(3), { names: { off: 0, on: 255 } }), "on", { 3: 255 }],
  [level(cv(3), { names: { off: 0 } }), 255, { 3: 255 }],
  // S-9.2.2 (July 2012), CV 35 (F1): bit 0 is output 1.
  [flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]), [1, 3, 8], { 35: 0b1000_0101 }],
  [flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]), [], { 35: 0 }],
  [flags(cv(35).bits(3, 5), ["a", null, "c"]), ["c"], { 35: 0b1111_0111 }],
  [text(cv(5).through(7)), "No9", { 5: 78, 6: 111, 7: 57 }],
  [text(cv(5).through(7)), "", { 5: 0, 6: 0, 7: 0 }],
  [text(cv(5).through(7), { pad: 32 }), " a", { 5: 32, 6: 97, 7: 32 }],
  [text(cv(5).through(7), { pad: 255 }), "~", { 5: 126, 6: 255, 7: 255 }],
  [table(cv(5).through(7)), [0, 128, 255], { 5: 0, 6: 128, 7: 255 }],
  [table(cv(5).through(7), { step: 0.5, offset: 1 }), [1, 1.5, 128.5], { 5: 0, 6: 1, 7: 255 }],
  [table(page(16, 0).cv(300).through(301)), [1, 2], { "300@16.0": 1, "301@16.0": 2 }],
  [record({ a: flag(cv(1).bit(0)), b: level(cv(1).bits(4, 6)) }), { a: false, b: 2 }, { 1: 0b1010_1110 }],
  [three, { kind: "a", n: 7 }, { 9: 0b1011_1111, 10: 7 }],
  [three, { kind: "b" }, { 9: 0b0011_1111, 10: 255 }],
  [switched(cv(252).bit(1), level(cv(249))), "off", { 252: 0b1111_1101, 249: 255 }],
  [switched(cv(252).bit(1), level(cv(249))), 3, { 252: 255, 249: 3 }],
  [switched(cv(252).bit(1), level(cv(249)), { inverted: true }), 3, { 252: 0b1111_1101, 249: 3 }],
  [switched(cv(252).bit(1), level(cv(249)), { inverted: true }), "off", { 252: 255, 249: 255 }],
  [
    converted(level(cv(90).bits(0, 1)), [
      [2, "half"],
      [3, "whole"],
    ]),
    "half",
    { 90: 0b1111_1110 },
  ],
  [converted(level(cv(90)), { decode: (n) => `${n}`, encode: (s) => Number(s) }), "12", { 90: 12 }],
];

describe("values and what they are stored as, both ways", () => {
  test.each(rows)("row %#", (codec, value, stored) => {
    const full = CvSet.from(Object.keys(stored).map((name): [string, number] => [name, 255]));
    const after = full.apply(codec.encode(value));
    expect(after.toJSON()).toEqual(stored);
    expect(codec.decode(after)).toEqual(value);
    expect(codec.tryDecode(after)).toEqual({ ok: true, value });
    // With nothing but zeros around it, it is read the same.
    const zeros = CvSet.from(codec.bits.map((bits): [string, number] => [bits.cv, 0])).apply(
      codec.encode(value),
    );
    expect(codec.decode(zeros)).toEqual(value);
  });
});

test("bits and places that codecs own", () => {
  const codec = record({
    a: flag(cv(30).bit(7)),
    b: level(page(16, 0).cv(300).bits(0, 2)),
    c: flag(cv(30).bit(0)),
    d: level(cv(2)),
  });
  expect(codec.bits).toEqual([
    { cv: "2", mask: 255 },
    { cv: "30", mask: 129 },
    { cv: "300@16.0", mask: 7 },
  ]);
  expect(three.bits).toEqual([
    { cv: "9", mask: 192 },
    { cv: "10", mask: 255 },
  ]);
  expect(flags(cv(35).bits(3, 5), ["a", null, "c"]).bits).toEqual([{ cv: "35", mask: 0b0010_1000 }]);
});
