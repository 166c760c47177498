import { CvSet, cv, level, record } from "cvset";
import { describe, expect, test } from "vitest";
import { readers, readUnits, writers, writeUnits } from "../../src/codec/unit.js";
import { PatchWriter } from "../../src/cv/cvpatch.js";

describe("the copies of the record readers and writers", () => {
  test.each<[string, readonly unknown[]]>([
    ["readers", readers],
    ["writers", writers],
  ])("all %s are equal to the first", (_, copies) => {
    const texts = copies.map((copy) => Function.prototype.toString.call(copy));
    expect(texts.length).toBe(32);
    expect(new Set(texts).size).toBe(1);
    expect(new Set(copies).size).toBe(32);
  });

  test("each takes the next copy, readers and writers by themselves", () => {
    const used = (from: typeof readers | typeof writers): unknown[] => from.map((copy) => copy);
    expect(used(readers)).not.toEqual(used(writers));
    // More records than copies: all still read and write what they should.
    for (let n = 0; n < 70; n++) {
      const codec = record({ [`a${n}`]: level(cv(1)), [`b${n}`]: level(cv(2)) });
      const value = { [`a${n}`]: n, [`b${n}`]: 2 * n };
      const cvs = CvSet.from({ 1: n, 2: 2 * n });
      expect(codec.decode(cvs)).toEqual(value);
      expect(codec.encode(value).toJSON().cvs).toEqual({ 1: n, 2: 2 * n });
    }
  });

  test.each(Array.from({ length: 41 }, (_, n) => n))(
    "records of %i fields: all are read and written, in order",
    (count) => {
      const names = Array.from({ length: count }, (_, i) => `field ${i}`);
      const calls: string[] = [];
      const read = readUnits(
        names,
        names.map((name, i) => (cvs) => {
          calls.push(name);
          return i * 3 + cvs.get(1);
        }),
      );
      const image = CvSet.from({ 1: 1 }).image();
      const value = read.reduce<Record<string, unknown> | undefined>(
        (into, unit) => unit(image, into),
        undefined,
      );
      expect(value ?? {}).toEqual(Object.fromEntries(names.map((name, i) => [name, i * 3 + 1])));
      expect(Object.keys(value ?? {})).toEqual(names);
      expect(calls).toEqual(names);

      const given: [string, unknown, boolean][] = [];
      const write = writeUnits(
        names,
        names.map((name) => (_, one, whole) => given.push([name, one, whole])),
      );
      const writer = new PatchWriter();
      const run = (from: Record<string, unknown>): number =>
        write.reduce((sum, unit) => sum + unit(writer, from, true), 0);
      expect(run(Object.fromEntries(names.map((name, i) => [name, i])))).toBe(count);
      expect(given).toEqual(names.map((name, i) => [name, i, true]));
      given.length = 0;
      // Undefined is left out; null and false are not.
      expect(run(Object.fromEntries(names.map((name, i) => [name, i % 3 ? null : undefined])))).toBe(
        names.filter((_, i) => i % 3).length,
      );
      expect(given.map(([name]) => name)).toEqual(names.filter((_, i) => i % 3));
    },
  );

  test("what is decoded is a plain object, whatever its size", () => {
    for (const count of [1, 8, 9, 16, 17, 40]) {
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
      expect([two["f0"], (codec.decode(cvs) as Record<string, unknown>)["f0"]]).toEqual([0, 0]);
    }
  });
});
