import {
  type CodecSpec,
  CvError,
  type CvReader,
  CvSet,
  type CvWriter,
  cv,
  defineCodec,
  jsonOf,
  linesOf,
  messageOf,
  partsOf,
  record,
  schemaOf,
  switched,
  textOf,
} from "cvset";
import { checkCodecLaws } from "cvset/testing";
import { describe, expect, test } from "vitest";
import { CvImage } from "../../src/cv/image.js";
import { oddThrows } from "../support/hostile.js";
import { imageOf } from "../support/image.js";

const place = cv(50).bits(0, 3);
const other = cv(51);
const make = (write: CodecSpec<number>["write"], more: Partial<CodecSpec<number>> = {}) =>
  defineCodec<number>({ kind: "gear", places: [place], read: (cvs) => place.read(cvs), write, ...more });

describe("a codec from outside", () => {
  test("has the same face as the built-in ones, alone and within others", () => {
    const part = defineCodec({ kind: "part", places: [place], read: () => 1, write: () => {} });
    const gear = make((cvs, n) => place.write(cvs, n), {
      about: { label: "Gear" },
      parts: { part },
      text: (n) => `gear ${n}`,
      schema: () => ({ type: "integer", minimum: 0, maximum: 15 }),
    });
    checkCodecLaws(gear, { seed: 1 });
    checkCodecLaws(switched(cv(50).bit(7), record({ gear })), { seed: 1 });
    expect(gear.kind).toBe("gear");
    expect(gear.bits).toEqual([{ cv: "50", mask: 15 }]);
    expect(gear.data).toEqual({ kind: "custom", parts: { part } });
    expect(partsOf(gear)).toEqual({ part: [part] });
    expect(partsOf(part)).toEqual({});
    expect(schemaOf(gear)).toEqual({ type: "integer", minimum: 0, maximum: 15, title: "Gear" });
    expect(schemaOf(part)).toEqual({});
    expect(textOf(gear, 3)).toBe("gear 3");
    expect(textOf(part, 3)).toBe("3");
    expect(linesOf(record({ gear }), CvSet.from({ 50: 0xf3 }))).toEqual([
      { path: "gear", text: "gear 3", places: [{ cv: "50", mask: 15 }] },
    ]);
    expect(() => jsonOf(gear)).toThrow('a codec of kind "gear" holds code and cannot be written as JSON');
    expect(jsonOf(make(() => {}, { json: () => ({ teeth: 3 }) }))).toEqual({ codec: "gear", teeth: 3 });
    expect(record({ gear }).tryEncode({ gear: 16 })).toMatchObject({
      ok: false,
      issues: [{ code: "place-value", path: "gear", params: { max: 15, found: 16 } }],
    });
    expect(gear.tryDecode(CvSet.empty)).toMatchObject({
      ok: false,
      issues: [{ code: "missing-cv", places: [{ cv: "50", mask: 15 }] }],
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
    const image = imageOf(CvSet.from({ 50: 0xa5, 51: 9 }));
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
    const custom = { code: "custom", path: "codec", text: "{kind:text}: {reason:text}" };
    expect(record({ codec }).tryEncode({ codec: 1 })).toEqual({
      ok: false,
      issues: [{ ...custom, params: { kind: "gear", reason: "no such gear" } }],
    });
    expect(record({ codec }).tryDecode(CvSet.from({ 50: 1 }))).toEqual({
      ok: false,
      value: {},
      issues: [{ ...custom, params: { kind: "gear", reason: "jammed" } }],
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

  test.each(oddThrows)("whatever it throws becomes an issue: %s", (_, thrown) => {
    const fails = (): never => {
      throw thrown;
    };
    const codec = make(fails, { read: fails });
    for (const one of [codec, record({ codec }), switched(cv(50).bit(7), record({ codec }))]) {
      const written = one.tryEncode(one === codec ? 1 : { codec: 1 });
      const read = one.tryDecode(CvSet.from({ 50: 0xff }));
      for (const result of [written, read]) {
        expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["custom"]);
        expect(result.ok || messageOf(result.issues[0]!)).toMatch(/gear: ./);
      }
    }
    expect(() => codec.encode(1)).toThrow(CvError);
    expect(() => codec.decode(CvSet.from({ 50: 1 }))).toThrow(CvError);
  });

  test("an error without an issue is no success", () => {
    const fails = (): never => {
      throw new CvError([]);
    };
    const codec = make(fails, { read: fails });
    const cvs = CvSet.from({ 50: 1 });
    expect([codec.tryEncode(1).ok, codec.tryDecode(cvs).ok]).toEqual([false, false]);
    for (const result of [
      codec.tryEncode(1),
      codec.tryDecode(cvs),
      record({ codec }).tryEncode({ codec: 1 }),
    ]) {
      expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["custom"]);
    }
    expect(() => codec.encode(1)).toThrow("gear: ");
    expect(() => codec.decode(cvs)).toThrow("gear: ");
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

  test("it is read from a reader alone: a set cannot be changed through it", () => {
    const cvs = CvSet.from({ 50: 3 });
    let seen: CvReader | undefined;
    const codec = make(() => {}, {
      read(reader) {
        seen = reader;
        return place.read(reader);
      },
    });
    expect(codec.decode(cvs)).toBe(3);
    expect(record({ codec }).decode(cvs)).toEqual({ codec: 3 });
    expect(Object.keys(seen ?? {})).toEqual(["get"]);
    expect(seen).not.toBeInstanceOf(CvImage);
    Object.assign(seen ?? {}, { get: () => 9 });
    expect([codec.decode(cvs), cvs.get(50)]).toEqual([3, 3]);
  });

  test("no bit at all is no change, of its own CVs and of others", () => {
    const codec = make((cvs, n) => {
      cvs.put(50, 0, 0);
      cvs.put(99, 0, 0);
      place.write(cvs, n);
    });
    expect(codec.encode(3).toJSON()).toEqual({ cvs: {}, bits: [{ cv: "50", mask: 15, value: 3 }] });
    expect(make((cvs) => cvs.put(99, 0, 0)).encode(3).size).toBe(0);
    expect(() => make((cvs) => cvs.put(50, 0, 1)).encode(3)).toThrow("writes 1, which does not fit its bits");
    // -0 is 0.
    expect(
      make((cvs) => cvs.put(50, 15, -0))
        .encode(3)
        .toJSON().bits,
    ).toEqual([{ cv: "50", mask: 15, value: 0 }]);
  });

  test("what is put into its definition afterwards does not change it; its functions keep their this", () => {
    class Gear implements CodecSpec<number> {
      kind = "gear";
      places = [place];
      parts = {};
      about = { label: "Gear" };
      factor = 2;
      read(cvs: CvReader) {
        return place.read(cvs) * this.factor;
      }
      write(cvs: CvWriter, n: number) {
        place.write(cvs, n / this.factor);
      }
      text(n: number) {
        return `${n} of ${this.factor}`;
      }
    }
    const spec = new Gear();
    const gear = defineCodec<number>(spec);
    const never = (): never => {
      throw new Error("changed");
    };
    Object.assign(spec, { read: never, write: never, text: never, kind: "x" });
    spec.places.pop();
    spec.about.label = "x";
    Object.assign(spec.parts, { gear });
    expect(gear.decode(CvSet.from({ 50: 3 }))).toBe(6);
    expect(gear.encode(6).toJSON().bits).toEqual([{ cv: "50", mask: 15, value: 3 }]);
    expect(textOf(gear, 6)).toBe("6 of 2");
    expect([gear.kind, gear.places, gear.about, partsOf(gear)]).toEqual([
      "gear",
      [place],
      { label: "Gear" },
      {},
    ]);
  });
});
