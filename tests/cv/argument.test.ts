import { CvError, CvPatch, CvSet, cv, messageOf } from "cvset";
import { describe, expect, test } from "vitest";
import {
  aBoolean,
  aFunction,
  aList,
  aNumber,
  anObject,
  anything,
  aText,
  isBare,
  listOf,
  mapOf,
  need,
  needIn,
  objectOf,
  oneOf,
  severalOf,
  type Wanted,
} from "../../src/cv/argument.js";
import { brandOf, isA, isInstance } from "../../src/cv/brand.js";
import { aPatch } from "../../src/cv/cvpatch.js";
import { someCvs } from "../../src/cv/cvset.js";
import { mostMisspelt, Spelling } from "../../src/cv/nearest.js";
import { show } from "../../src/cv/show.js";

// Arguments are looked at before they are used: each kind of what is wanted, with values that fit and values that do not.

const said = (wanted: Wanted, value: unknown): string[] => {
  try {
    need(wanted, value, "given");
  } catch (error) {
    if (!(error instanceof CvError)) throw error;
    return error.issues.map((issue) => messageOf(issue));
  }
  return [];
};

const call = () => 1;
const pairs = objectOf({ name: aText, "count?": aNumber });
async function* later() {
  yield 1;
}

test.each<[string, Wanted, unknown[]]>([
  ["a text", aText, ["", "x"]],
  ["a number", aNumber, [0, -1, 1.5, Number.POSITIVE_INFINITY]],
  ["true or false", aBoolean, [true, false]],
  ["a list", aList, [[], [1]]],
  ["an object", anObject, [{}, { a: 1 }, Object.create(null), new (class {})()]],
  ["a function", aFunction, [call, class {}]],
  ["anything", anything, [undefined, null, 0, "x", call]],
  ["one of some", oneOf("a", 2, true), ["a", 2, true]],
  ["a list of texts", listOf(aText), [[], ["a"], ["a", "b"]]],
  ["several texts", severalOf(aText), [[], ["a"], new Set(["a"]), new Map(), later()]],
  ["an object with keys", pairs, [{ name: "x" }, { name: "x", count: 1 }, { name: "x", other: call }]],
  ["a map of numbers", mapOf(aNumber), [{}, { a: 1, b: 2 }]],
])("%s", (_, wanted, values) => {
  for (const value of values) expect(said(wanted, value)).toEqual([]);
});

test.each<[Wanted, unknown, string[]]>([
  [aText, 1, ["given: expected a text, got 1"]],
  [aText, undefined, ["given: expected a text, got undefined"]],
  [aNumber, Number.NaN, ["given: expected a number, got NaN"]],
  [aNumber, "1", ['given: expected a number, got "1"']],
  [aBoolean, 0, ["given: expected true or false, got 0"]],
  [aList, {}, ["given: expected a list, got {}"]],
  [aList, "x", ['given: expected a list, got "x"']],
  [anObject, null, ["given: expected an object, got null"]],
  [anObject, [], ["given: expected an object, got []"]],
  [anObject, "x", ['given: expected an object, got "x"']],
  [anObject, new Date(0), ["given: expected an object, got Date {...}"]],
  [anObject, new Map(), ["given: expected an object, got Map {...}"]],
  [anObject, new Set(), ["given: expected an object, got Set {...}"]],
  [anObject, Promise.resolve(), ["given: expected an object, got Promise {...}"]],
  [aFunction, {}, ["given: expected a function, got {}"]],
  [oneOf("a", 2), "2", ['given: "2" is not an option; the options are "a", 2']],
  [oneOf("a", "b"), "c", ['given: "c" is not an option; the options are "a", "b"']],
  [listOf(aText), "x", ['given: expected a list, got "x"']],
  // Up to the first item that is wrong.
  [listOf(aText), ["a", 2, 3], ["given.1: expected a text, got 2"]],
  [
    listOf(pairs),
    [{ name: 1, count: "x" }, 7],
    ["given.0.name: expected a text, got 1", 'given.0.count: expected a number, got "x"'],
  ],
  [severalOf(aText), ["a", 2], ["given.1: expected a text, got 2"]],
  [severalOf(aText), "x", ['given: expected what can be iterated over, got "x"']],
  [severalOf(aText), {}, ["given: expected what can be iterated over, got {}"]],
  [severalOf(aText), null, ["given: expected what can be iterated over, got null"]],
  [severalOf(aText), 3, ["given: expected what can be iterated over, got 3"]],
  [pairs, {}, ["given.name: expected a text, got undefined"]],
  [pairs, { name: "x", count: null }, ["given.count: expected a number, got null"]],
  [pairs, [], ["given: expected an object, got []"]],
  [
    mapOf(aNumber),
    { a: 1, b: "2", c: "3" },
    ['given.b: expected a number, got "2"', 'given.c: expected a number, got "3"'],
  ],
  [mapOf(aNumber), 3, ["given: expected an object, got 3"]],
])("%# is refused, with its path", (wanted, value, words) => {
  expect(said(wanted, value)).toEqual(words);
});

test("CVs, and patches, of this copy or in JSON", () => {
  const patch = CvPatch.from({ cvs: { 5: 1 } });
  for (const right of [CvSet.from({ 1: 3 }), CvSet.empty, {}, { 1: 3 }, [[1, 3]], new Map([["300@16.0", 3]])])
    expect(said(someCvs, right)).toEqual([]);
  for (const right of [
    patch,
    {},
    { cvs: { 5: 1 } },
    { bits: [{ cv: 5, mask: 2, value: 2 }] },
    patch.toJSON(),
  ])
    expect(said(aPatch, right)).toEqual([]);
  for (const bad of [null, undefined, 5, "x", call]) {
    expect(said(someCvs, bad)).toEqual([
      `given: expected an object with CV numbers as keys, got ${show(bad)}`,
    ]);
    expect(said(aPatch, bad)).toEqual([
      `given: expected an object with cvs or bits, as a patch has it in JSON, got ${show(bad)}`,
    ]);
  }
  expect(said(someCvs, { 1: 256, 0: 1 })).toEqual([
    'given: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "0"',
    "given: CV 1: expected a whole number from 0 to 255, got 256",
  ]);
  expect(said(aPatch, { cvs: { 1: 256 }, bits: [{ cv: 5, mask: 0, value: 0 }] })).toEqual([
    "given: CV 1: expected a whole number from 0 to 255, got 256",
    "given: CV 5: expected a mask, a whole number from 1 to 255, got 0",
  ]);
});

test("without a name of its own the path begins with the key", () => {
  const issues: string[] = [];
  pairs({ name: 1 }, "", ({ path }) => issues.push(path));
  expect(issues).toEqual(["name"]);
});

test("of an object of options what is wrong has its path in the object, and the object itself its name", () => {
  const words = (value: unknown): string[] => {
    try {
      needIn(pairs, value, "options");
    } catch (error) {
      return (error as CvError).issues.map((issue) => messageOf(issue));
    }
    return [];
  };
  expect(words({ name: "x", count: 1 })).toEqual([]);
  expect(words({ name: 1, count: "x" })).toEqual([
    "name: expected a text, got 1",
    'count: expected a number, got "x"',
  ]);
  expect(words([])).toEqual(["options: expected an object, got []"]);
});

test("a getter that throws is an issue of the argument", () => {
  const broken = {
    get name(): never {
      throw new Error("broken getter");
    },
  };
  expect(said(pairs, broken)).toEqual([expect.stringMatching(/^given: .*broken getter/)]);
});

describe("objects of no class", () => {
  test("are told from those of a class", () => {
    expect([{}, Object.create(null), Object.create(Object.create(null))].map(isBare)).toEqual([
      true,
      true,
      true,
    ]);
    expect([new Date(), [], new Map(), new (class {})()].map(isBare)).toEqual([false, false, false, false]);
  });
});

describe("what a class of this library made", () => {
  const set = CvSet.from({ 1: 3 });
  test("has the name of its class, whichever copy made it", () => {
    expect([set, CvPatch.from({}), cv(1), new CvError([])].map(brandOf)).toEqual([
      "CvSet",
      "CvPatch",
      "BytePlace",
      "CvError",
    ]);
    const called = Object.assign(() => 1, { "~cvset": "CvSet" });
    expect([{}, null, undefined, 3, "CvSet", { "~cvset": 3 }, called].map(brandOf)).toEqual(
      Array(7).fill(undefined),
    );
    const throwing = new Proxy(
      {},
      {
        get: () => {
          throw new Error("no");
        },
      },
    );
    expect(brandOf(throwing)).toBe(undefined);
    expect([isA("CvSet", set), isA("CvPatch", set), isA("CvSet", {})]).toEqual([true, false, false]);
  });

  test("is an instance of that class, and of no class that extends it", () => {
    class Own extends CvSet {}
    expect(set instanceof CvSet).toBe(true);
    expect(set instanceof Own).toBe(false);
    expect({} instanceof CvSet).toBe(false);
    expect({ "~cvset": "CvSet" } instanceof CvSet).toBe(true);
    expect(isInstance(Own, CvSet, "CvSet", set)).toBe(false);
    expect(isInstance(CvSet, CvSet, "CvSet", { "~cvset": "CvSet" })).toBe(true);
    expect(isInstance(Array, CvSet, "CvSet", [])).toBe(true);
    expect(isInstance(3, CvSet, "CvSet", set)).toBe(false);
  });
});

test("of many misspelt names the first twenty get suggestions", () => {
  const spelling = new Spelling();
  let asked = 0;
  const names = () => {
    asked++;
    return ["whistle", "bell"];
  };
  const found = Array.from({ length: mostMisspelt + 5 }, () => spelling.nearest("whistel", names));
  expect(found.slice(0, mostMisspelt)).toEqual(Array(mostMisspelt).fill(["whistle"]));
  expect(found.slice(mostMisspelt)).toEqual(Array(5).fill([]));
  expect(asked).toBe(20);
});
