import { CvPatch, CvSet, messageOf } from "cvset";
import { describe, expect, test } from "vitest";
import { frozenCopy } from "../../src/cv/frozen.js";
import { saidBy } from "../support/said.js";

// What is no map and no list at all, and what a caller cannot reach.

describe("what is no map of CVs", () => {
  const noMap = (found: string) => [saidBy(() => CvSet.from(null as never))[0]?.replace("null", found)];
  test.each([
    ["null", null],
    ["undefined", undefined],
    ["7", 7],
    ['"29=34"', "29=34"],
    ["true", true],
  ])("%s", (found, value) => {
    const result = CvSet.tryFrom(value);
    expect(result.ok || result.issues.map((issue) => messageOf(issue))).toEqual(noMap(found));
    expect(noMap(found)[0]).toContain(`got ${found}`);
  });

  test("a list whose items are no pairs", () => {
    const items = [null, 7, "29", [29], [29, 34, 1], [null, 1], { cv: 29 }];
    const result = CvSet.tryFrom(items);
    expect(result.ok || result.issues.map(({ code }) => code)).toEqual(items.map(() => "expected-cv-pair"));
    expect(CvSet.tryFrom([[29, 34]]).value?.toJSON()).toEqual({ 29: 34 });
    expect(CvSet.tryFrom([["29", 34]]).value?.toJSON()).toEqual({ 29: 34 });
  });
});

describe("what is no patch in JSON", () => {
  const aPatch = "expected an object with cvs or bits, as a patch has it in JSON, got";
  test.each<[string, unknown, string[]]>([
    ["nothing", null, [`${aPatch} null`]],
    ["a number", 7, [`${aPatch} 7`]],
    ["a text", "x", [`${aPatch} "x"`]],
    ["cvs that are none", { cvs: 3 }, ["cvs: expected an object, got 3"]],
    ["cvs that are null", { cvs: null }, ["cvs: expected an object, got null"]],
    ["bits that are no list", { bits: 3 }, ["bits: expected a list, got 3"]],
    ["bits that are null", { bits: null }, ["bits: expected a list, got null"]],
    ["bits that are an object", { bits: { cv: 29 } }, ['bits: expected a list, got {"cv":29}']],
    ["both", { cvs: "x", bits: "x" }, ['cvs: expected an object, got "x"', 'bits: expected a list, got "x"']],
    ["a bit that is none", { bits: [3] }, ["bits.0: expected an object, got 3"]],
    [
      "whole bytes that do not fit",
      { cvs: { 5: 256, 6: -1 } },
      [
        "CV 5: expected a whole number from 0 to 255, got 256",
        "CV 6: expected a whole number from 0 to 255, got -1",
      ],
    ],
  ])("%s", (_, json, said) => {
    expect(saidBy(() => CvPatch.from(json as never))).toEqual(said);
  });

  test("either part may be left out", () => {
    expect(CvPatch.from({}).toJSON()).toEqual({ cvs: {}, bits: [] });
    expect(CvPatch.from({ cvs: { 5: 1 } }).toJSON()).toEqual({ cvs: { 5: 1 }, bits: [] });
    expect(CvPatch.from({ bits: [{ cv: 5, mask: 1, value: 1 }] }).toJSON()).toEqual({
      cvs: {},
      bits: [{ cv: "5", mask: 1, value: 1 }],
    });
  });
});

describe("an issue as JSON gives it back", () => {
  const issue = {
    code: "c",
    path: "a.b",
    text: "wrong {n}",
    params: { n: 1 },
    places: [{ cv: "29", mask: 32 }],
  };
  test("is taken, with and without what may be left out", () => {
    expect(messageOf(issue)).toBe("a.b: CV 29 bit 5: wrong 1");
    expect(messageOf({ ...issue, source: "S" })).toBe("a.b: CV 29 bit 5: wrong 1 (S)");
    expect(messageOf({ code: "c", path: "", text: "wrong", params: {} })).toBe("wrong");
    expect(
      messageOf({
        ...issue,
        places: [
          { cv: "29", mask: 255 },
          { cv: "30", mask: 1 },
        ],
      }),
    ).toBe("a.b: CV 29, CV 30 bit 0: wrong 1");
  });

  test.each<[string, unknown]>([
    ["nothing", null],
    ["a text", "x"],
    ["a code that is no text", { ...issue, code: 3 }],
    ["a path that is no text", { ...issue, path: 3 }],
    ["a text that is none", { ...issue, text: undefined }],
    ["a source that is no text", { ...issue, source: 3 }],
    ["params that are a list", { ...issue, params: [] }],
    ["no params", { ...issue, params: undefined }],
    ["places that are no list", { ...issue, places: {} }],
    ["a place without a CV", { ...issue, places: [{ mask: 1 }] }],
    ["a place whose CV is a number", { ...issue, places: [{ cv: 29, mask: 1 }] }],
    ["a place without a mask", { ...issue, places: [{ cv: "29" }] }],
    ["a mask that is a text", { ...issue, places: [{ cv: "29", mask: "1" }] }],
    ["a mask without a bit", { ...issue, places: [{ cv: "29", mask: 0 }] }],
    ["a place that is null", { ...issue, places: [null] }],
    ["one place of several", { ...issue, places: [{ cv: "29", mask: 1 }, {}] }],
  ])("%s is none", (_, value) => {
    expect(saidBy(() => messageOf(value as never))).toEqual([
      expect.stringContaining("expected an issue, an object"),
    ]);
  });
});

test("where a patch is wanted, what is none is refused with the name of the argument", () => {
  const set = CvSet.from({ 29: 2 });
  expect(saidBy(() => set.apply(3 as never))).toEqual([
    "patch: expected an object with cvs or bits, as a patch has it in JSON, got 3",
  ]);
  expect(saidBy(() => set.apply({ bits: [{ cv: true, mask: 1, value: 1 }] } as never))).toEqual([
    expect.stringMatching(/^patch.*: expected a CV number from 1 to 1024, .* got true$/),
  ]);
  expect(saidBy(() => set.apply({ bits: [{ cv: 29, mask: 3, value: 4 }] } as never))).toEqual([
    expect.stringContaining(
      "CV 29: expected a whole number from 0 to 255 without bits outside the mask 3, got 4",
    ),
  ]);
  expect(set.apply({ bits: [{ cv: 29, mask: 1, value: 1 }] } as never).get(29)).toBe(3);
});

test("what a set and a patch are made of cannot be reached from outside", () => {
  type Hidden = Record<"image" | "entries", (asked?: unknown) => unknown>;
  const set = CvSet.from({ 1: 3 }) as unknown as Hidden;
  const patch = CvPatch.from({ cvs: { 1: 3 } }) as unknown as Hidden;
  for (const asked of [undefined, {}, null, set]) {
    expect(() => set.image(asked)).toThrow(TypeError);
    expect(() => patch.entries(asked)).toThrow(TypeError);
  }
});

test("a frozen copy is a copy, frozen through and through, with functions as they are", () => {
  const call = () => 1;
  const value = { list: [{ a: 1 }, null, "x"], map: { call, n: 2 } };
  const copy = frozenCopy(value);
  expect(copy).toEqual(value);
  expect(copy).not.toBe(value);
  expect(copy.list).not.toBe(value.list);
  expect(Array.isArray(copy.list)).toBe(true);
  expect(copy.map.call).toBe(call);
  for (const one of [copy, copy.list, copy.list[0], copy.map]) expect(Object.isFrozen(one)).toBe(true);
  expect(Object.isFrozen(value.map) || Object.isFrozen(value.list)).toBe(false);
  for (const plain of [null, undefined, 7, "x", true, call]) expect(frozenCopy(plain)).toBe(plain);
});
