import { type AnyCodec, CvSet, cv, defineCodec, level, page, record } from "cvset";
import { describe, expect, test } from "vitest";
import { PatchWriter } from "../../src/cv/cvpatch.js";
import { readerOf } from "../../src/cv/cvset.js";

describe("records of every size: fields are read and written by eights", () => {
  test("more records than there can be copies of the readers: all read and write what they should", () => {
    const codecs = Array.from({ length: 200 }, (_, n) =>
      record({ [`a${n}`]: level(cv(1)), [`b${n}`]: level(cv(2)) }),
    );
    for (const _ of [1, 2]) {
      codecs.forEach((codec, n) => {
        const value = { [`a${n}`]: n, [`b${n}`]: 255 - n };
        const cvs = CvSet.from({ 1: n, 2: 255 - n });
        expect(codec.decode(cvs)).toEqual(value);
        expect(codec.encode(value).toJSON().cvs).toEqual({ 1: n, 2: 255 - n });
      });
    }
  });

  test("records with the same names, in another order and of other codecs, are not taken for each other", () => {
    const codecs = [
      record({ a: level(cv(1)), b: level(cv(2)) }),
      record({ b: level(cv(1)), a: level(cv(2)) }),
      record({ a: level(cv(2), { offset: 1000 }), b: level(cv(1), { step: 0.5 }) }),
    ];
    const cvs = CvSet.from({ 1: 3, 2: 4 });
    const values = [
      { a: 3, b: 4 },
      { b: 3, a: 4 },
      { a: 1004, b: 1.5 },
    ];
    for (let round = 0; round < 100; round++) {
      codecs.forEach((codec, i) => {
        expect(codec.decode(cvs)).toEqual(values[i]);
        expect(Object.keys(codec.decode(cvs))).toEqual(Object.keys(values[i] ?? {}));
        expect(codec.encode(values[i] as { a: number; b: number }).toJSON().cvs).toEqual({ 1: 3, 2: 4 });
      });
    }
  });

  test.each(Array.from({ length: 42 }, (_, n) => n))(
    "%i fields: all are read and written, in order",
    (count) => {
      const names = Array.from({ length: count }, (_, i) => `field ${i}`);
      const calls: string[] = [];
      const given: [string, unknown, boolean][] = [];
      const codec: AnyCodec = record(
        Object.fromEntries(
          names.map((name, i) => [
            name,
            defineCodec<unknown>({
              kind: "field",
              places: [cv(100 + i)],
              read(cvs) {
                calls.push(name);
                return i * 3 + cvs.get(1);
              },
              write(_, one, whole) {
                given.push([name, one, whole]);
              },
            }),
          ]),
        ),
      );
      const value = codec.spec.read(readerOf(CvSet.from({ 1: 1 })));
      expect(value).toEqual(Object.fromEntries(names.map((name, i) => [name, i * 3 + 1])));
      expect(Object.keys(value as object)).toEqual(names);
      expect(calls).toEqual(names);

      const write = (from: Record<string, unknown>, whole: boolean): void => {
        given.length = 0;
        codec.spec.write(new PatchWriter(), from, whole);
      };
      write(Object.fromEntries(names.map((name, i) => [name, i])), true);
      expect(given).toEqual(names.map((name, i) => [name, i, true]));
      // Undefined is left out; null and false are not.
      const some = Object.fromEntries(names.map((name, i) => [name, [undefined, null, false][i % 3]]));
      write(some, false);
      expect(given).toEqual(names.flatMap((name, i) => (i % 3 ? [[name, some[name], false]] : [])));
      if (count > 0) expect(() => write(some, true)).toThrow("field 0: a value is needed");
    },
  );

  test("what is decoded is a plain object, whatever its size", () => {
    for (const count of [0, 1, 8, 9, 16, 17, 40]) {
      const codec = record(
        Object.fromEntries(Array.from({ length: count }, (_, i) => [`f${i}`, level(cv(100 + i))])),
      );
      const cvs = CvSet.from(Array.from({ length: count }, (_, i): [number, number] => [100 + i, i]));
      const one = codec.decode(cvs) as Record<string, unknown>;
      expect(Object.getPrototypeOf(one)).toBe(Object.prototype);
      expect(one.constructor).toBe(Object);
      expect(JSON.stringify(one)).toBe(JSON.stringify(Object.fromEntries(Object.entries(one))));
      const two = codec.decode(cvs) as Record<string, unknown>;
      Reflect.set(one, "f0", 9);
      Reflect.set(one, "more", 9);
      const three = codec.decode(cvs) as Record<string, unknown>;
      for (const other of [two, three])
        expect([other["f0"], other["more"]]).toEqual([count ? 0 : undefined, undefined]);
    }
  });

  test("16,000 fields are all read and written, in less than 15 s", () => {
    const names = Array.from({ length: 16_000 }, (_, i) => `feature number ${i}`);
    const byteOf = (i: number) => page(16, i >> 8).cv(257 + (i % 256));
    const codec: AnyCodec = record(Object.fromEntries(names.map((name, i) => [name, level(byteOf(i))])));
    const cvs = CvSet.from(codec.bits.map((bits, i): [string, number] => [bits.cv, i % 256]));
    const start = performance.now();
    const value = codec.decode(cvs) as Record<string, number>;
    expect([Object.keys(value).length, value["feature number 15999"]]).toEqual([16_000, 15_999 % 256]);
    expect(cvs.apply(codec.encode(value)).equals(cvs)).toBe(true);
    expect(codec.tryDecode(CvSet.empty).ok).toBe(false);
    // It is some 0.5 s; when each eight fields looked at all names it was 40.
    expect(performance.now() - start).toBeLessThan(15_000);
  });
});

describe("clashes of bits", () => {
  const flags = (count: number): Record<string, AnyCodec> =>
    Object.fromEntries(Array.from({ length: count }, (_, i) => [`f${i}`, level(cv(1).bit(0)) as AnyCodec]));
  const issuesOf = (fields: Record<string, AnyCodec>) => {
    try {
      record(fields);
    } catch (error) {
      return (
        error as { issues: readonly { code: string; params: Record<string, unknown>; places: unknown }[] }
      ).issues;
    }
    return [];
  };

  test("each field clashes with the first owner of each of its bits, once, with all that they share", () => {
    const issues = issuesOf({
      a: record({ x: level(cv(1).bits(0, 3)), y: level(cv(2)) }),
      b: level(cv(1).bits(4, 5)),
      c: record({ x: level(cv(1).bits(2, 6)), y: level(cv(2).bits(6, 7)), z: level(cv(3)) }),
      d: level(cv(3)),
      e: level(cv(1).bit(6)),
    });
    expect(issues.map(({ code, params, places }) => [code, params, places])).toEqual([
      [
        "same-bits",
        { first: "a", second: "c" },
        [
          { cv: "1", mask: 0b1100 },
          { cv: "2", mask: 0b1100_0000 },
        ],
      ],
      ["same-bits", { first: "b", second: "c" }, [{ cv: "1", mask: 0b11_0000 }]],
      ["same-bits", { first: "c", second: "d" }, [{ cv: "3", mask: 255 }]],
      ["same-bits", { first: "c", second: "e" }, [{ cv: "1", mask: 0b100_0000 }]],
    ]);
  });

  test.each([500, 2000, 20_000])(
    "%i fields on one bit are refused in less than 20 s, without filling the stack",
    (count) => {
      const fields = flags(count);
      const start = performance.now();
      const issues = issuesOf(fields);
      // In proportion it is some 0.1 s for the most; looking at every pair takes minutes.
      expect(performance.now() - start).toBeLessThan(20_000);
      expect(issues.length).toBe(Math.min(count, 1001) - (count <= 1001 ? 1 : 0));
      expect(issues[0]).toMatchObject({
        params: { first: "f0", second: "f1" },
        places: [{ cv: "1", mask: 1 }],
      });
      if (count > 1001)
        expect(issues[1000]).toMatchObject({ code: "more-issues", params: { count: count - 1001 } });
    },
  );

  test("names of a million letters are refused, and told in short", () => {
    const long = "x".repeat(1_000_000);
    const fields = Object.fromEntries([1, 2].map((i) => [`${long}${i}`, level(cv(1)) as AnyCodec]));
    const line = `"${"x".repeat(56)}... cannot be a name: it must have 1 to 100 characters, no dot, and not be a property of every object`;
    expect(() => record(fields)).toThrow([line, line].join("\n"));
    expect(() => record({ ["\u{1f682}".repeat(100)]: level(cv(1)) })).not.toThrow();
  });
});
