import { type CodecSpec, CvError, CvSet, cv, defineCodec, record, switched } from "cvset";
import { checkCodecLaws } from "cvset/testing";
import { describe, expect, test } from "vitest";

const place = cv(50).bits(0, 3);
const other = cv(51);
const make = (write: CodecSpec<number>["write"], more: Partial<CodecSpec<number>> = {}) =>
  defineCodec<number>({ kind: "gear", places: [place], read: (cvs) => place.read(cvs), write, ...more });

describe("a codec from outside", () => {
  test("has the same face as the built-in ones, alone and within others", () => {
    const gear = make((cvs, n) => place.write(cvs, n), {
      about: { label: "Gear" },
      text: (n) => `gear ${n}`,
      schema: () => ({ type: "integer", minimum: 0, maximum: 15 }),
    });
    checkCodecLaws(gear, { seed: 1 });
    checkCodecLaws(switched(cv(50).bit(7), record({ gear })), { seed: 1 });
    expect(gear.kind).toBe("gear");
    expect(gear.bits).toEqual([{ cv: "50", mask: 15 }]);
    expect(gear.schema()).toEqual({ type: "integer", minimum: 0, maximum: 15, title: "Gear" });
    expect(record({ gear }).tell(CvSet.from({ 50: 0xf3 }))).toEqual([
      { path: "gear", text: "gear 3", places: [{ cv: "50", mask: 15 }] },
    ]);
    expect(() => gear.describe()).toThrow('a codec of kind "gear" holds code and cannot be written as JSON');
    expect(make(() => {}, { describe: () => ({ teeth: 3 }) }).describe()).toEqual({
      codec: "gear",
      teeth: 3,
    });
    expect(record({ gear }).tryEncode({ gear: 16 })).toMatchObject({
      ok: false,
      issues: [{ path: "gear", expected: "a whole number from 0 to 15" }],
    });
    expect(gear.tryDecode(CvSet.empty)).toMatchObject({
      ok: false,
      issues: [{ code: "missing", places: [{ cv: "50", mask: 15 }] }],
    });
  });

  test.each<[string, CodecSpec<number>["write"], RegExp]>([
    [
      "another CV",
      (cvs, n) => other.write(cvs, n),
      /^CV 51: a codec of kind "gear" writes bits that it does not own$/,
    ],
    [
      "other bits of its CV",
      (cvs, n) => cv(50).write(cvs, n),
      /^CV 50 bits 4-7: a codec of kind "gear" writes bits that it does not own$/,
    ],
    ["its bits and one more", (cvs) => cvs.put(50, 0b11111, 1), /^CV 50 bit 4: /],
    ["bits outside the mask", (cvs) => cvs.put(50, 3, 4), /writes 4, which does not fit its bits$/],
    ["NaN", (cvs) => cvs.put(50, 15, Number.NaN), /writes NaN, which does not fit its bits$/],
    ["a fraction", (cvs) => cvs.put(50, 15, 1.5), /writes 1.5, which does not fit its bits$/],
    ["a negative number", (cvs) => cvs.put(50, 15, -1), /writes -1, which does not fit its bits$/],
    ["a mask that is no whole number", (cvs) => cvs.put(50, 1.5, 1), /does not fit its bits$/],
    ["a mask beyond a byte", (cvs) => cvs.put(50, 0x10f, 1), /does not own$/],
  ])("that writes %s is refused, alone and within others", (_, write, message) => {
    const codec = make(write);
    expect(() => codec.encode(3)).toThrow(message);
    expect(codec.tryEncode(3).ok).toBe(false);
    const image = CvSet.from({ 50: 0xa5, 51: 9 }).image();
    expect(() => record({ codec }).spec.write(image, { codec: 3 }, false)).toThrow(CvError);
    expect([image.get(50), image.get(51)]).toEqual([0xa5, 9]);
  });

  test("what it throws becomes an issue with its path and kind", () => {
    const codec = make(
      () => {
        throw new RangeError("no such gear");
      },
      {
        read() {
          throw "jammed";
        },
      },
    );
    expect(record({ codec }).tryEncode({ codec: 1 })).toEqual({
      ok: false,
      issues: [{ code: "custom", path: "codec", expected: "gear: no such gear" }],
    });
    expect(record({ codec }).tryDecode(CvSet.from({ 50: 1 }))).toEqual({
      ok: false,
      value: {},
      issues: [{ code: "custom", path: "codec", expected: "gear: jammed" }],
    });
    expect(() => codec.encode(1)).toThrow("gear: no such gear");
    expect(() => codec.decode(CvSet.from({ 50: 1 }))).toThrow("gear: jammed");
  });

  test("one that fails once and not again still says why", () => {
    let calls = 0;
    const codec = make((cvs, n) => {
      if (calls++ === 0) throw new Error("a hiccup");
      place.write(cvs, n);
    });
    expect(() => codec.encode(1)).toThrow("gear: a hiccup");
  });

  test("it learns whether the nearest is wanted, and whether all fields are", () => {
    const seen: unknown[] = [];
    const codec = make((cvs, n, whole) => {
      seen.push(cvs.nearest, whole);
      place.write(cvs, Math.round(n));
    });
    codec.encode(1, { nearest: true });
    codec.encode(1);
    switched(cv(50).bit(7), codec).encode(1);
    // Making a switch asks once whether "off" is a value.
    expect(seen.slice(0, 4)).toEqual([true, false, false, false]);
    expect(seen.slice(-2)).toEqual([false, true]);
  });
});
