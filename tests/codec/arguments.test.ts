import {
  type AnyCodec,
  CvError,
  choice,
  converted,
  cv,
  defineCodec,
  derived,
  flag,
  flags,
  level,
  record,
  switched,
  table,
  text,
  variant,
} from "cvset";
import { describe, expect, test } from "vitest";

// Every argument of every function that makes a codec, with something that it cannot be: the whole sentence.

type Make = (...args: never[]) => unknown;

function refusalOf(make: Make, args: readonly unknown[]): string {
  try {
    make(...(args as never[]));
  } catch (error) {
    return error instanceof CvError ? error.message : `${error}`;
  }
  return "taken";
}

const aPlace = "expected a place, such as cv(29).bit(5), got symbol";
const aRun = "expected a run of CVs, such as cv(67).through(94), got symbol";
const aCodec = "expected a codec, such as flag(cv(29).bit(5)), got symbol";
const anObject = "expected an object, got symbol";
const aList = "expected a list, got symbol";
const aText = "expected a text, got symbol";
const aFunction = "expected a function, got symbol";
const aBoolean = "expected true or false, got symbol";

const about = { label: aText, note: aText, means: aText, source: aText };
const scale = { ...about, unit: aText, nearest: aBoolean };
const one = level(cv(1));

/** Arguments that work, the names of all with what is said of a wrong one, and the keys of the last that has keys. */
const functions: Readonly<
  Record<
    string,
    readonly [
      make: Make,
      args: readonly unknown[],
      said: Readonly<Record<string, string>>,
      keys: Readonly<Record<string, string>>,
      within?: string,
    ]
  >
> = {
  flag: [flag, [cv(1).bit(0), {}], { place: aPlace, options: anObject }, { ...about, inverted: aBoolean }],
  choice: [
    choice,
    [cv(1), { a: 1 }, {}],
    { place: aPlace, options: anObject, about: anObject },
    about,
    "about.",
  ],
  flags: [
    flags,
    [cv(1).bits(0, 1), ["a", "b"], {}],
    { place: aPlace, names: aList, about: anObject },
    about,
    "about.",
  ],
  level: [level, [cv(1), {}], { place: aPlace, options: anObject }, { ...scale, names: anObject }],
  table: [table, [cv(1).through(2), {}], { run: aRun, options: anObject }, scale],
  text: [text, [cv(1).through(2), {}], { run: aRun, options: anObject }, about],
  record: [record, [{ a: one }, {}], { fields: anObject, about: anObject }, about, "about."],
  switched: [
    switched,
    [cv(2).bit(0), one, {}],
    { place: aPlace, codec: aCodec, options: anObject },
    { ...about, inverted: aBoolean },
  ],
  variant: [
    variant,
    [cv(2).bit(0), { a: { value: 0, fields: { b: one } } }, {}],
    { place: aPlace, cases: anObject, options: anObject },
    { ...about, tag: aText },
  ],
  converted: [
    converted,
    [one, [[0, "a"]], {}],
    { codec: aCodec, conversion: anObject, about: anObject },
    about,
    "about.",
  ],
  derived: [
    derived,
    [cv(2), { from: [cv(1)], by: "sum" }],
    { place: aPlace, options: anObject },
    { ...about, from: aList, kind: aText, json: aFunction },
  ],
  defineCodec: [
    defineCodec,
    [{ kind: "x", places: [cv(1)], read: () => 0, write() {} }],
    { spec: anObject },
    {
      kind: aText,
      places: aList,
      about: anObject,
      parts: anObject,
      read: aFunction,
      write: aFunction,
      text: aFunction,
      schema: aFunction,
      json: aFunction,
    },
  ],
  "defineCodec around another": [
    defineCodec,
    [{ kind: "x", item: one }],
    { spec: anObject },
    {
      kind: aText,
      item: aCodec,
      places: aList,
      about: anObject,
      read: aFunction,
      write: aFunction,
      text: aFunction,
      schema: aFunction,
      json: aFunction,
    },
  ],
};

describe.each(Object.entries(functions))("%s", (_, [make, args, said, keys, within = ""]) => {
  const bad = Symbol.iterator;

  test("takes what is right", () => expect(refusalOf(make, args)).toBe("taken"));

  test("names each argument", () => {
    const names = Object.keys(said);
    const refused = names.map((_name, i) => refusalOf(make, args.with(i, bad)));
    expect(refused).toEqual(names.map((name) => `${name}: ${said[name]}`));
  });

  test("names each key of its last argument", () => {
    const last = args.at(-1) as object;
    const refused = Object.keys(keys).map((key) =>
      refusalOf(make, [...args.slice(0, -1), { ...last, [key]: bad }]),
    );
    expect(refused).toEqual(Object.entries(keys).map(([key, words]) => `${within}${key}: ${words}`));
  });
});

const place = cv(2).bit(0);
const spec = { kind: "x", places: [cv(1)], read: () => 0, write() {} };

test.each<[string, Make, readonly unknown[]]>([
  [`options.a.label: ${aText}`, choice, [cv(1), { a: { value: 1, label: Symbol.iterator } }]],
  [`options.a.note: ${aText}`, choice, [cv(1), { a: { value: 1, note: Symbol.iterator } }]],
  [`options.a.means: ${aText}`, choice, [cv(1), { a: { value: 1, means: Symbol.iterator } }]],
  [`fields.a: ${aCodec}`, record, [{ a: Symbol.iterator }]],
  [`cases.a: ${anObject}`, variant, [place, { a: Symbol.iterator }]],
  [`cases.a.fields: ${anObject}`, variant, [place, { a: { value: 0, fields: Symbol.iterator } }]],
  [`cases.a.fields.b: ${aCodec}`, variant, [place, { a: { value: 0, fields: { b: Symbol.iterator } } }]],
  [`cases.a.label: ${aText}`, variant, [place, { a: { value: 0, fields: {}, label: Symbol.iterator } }]],
  [`conversion.0: ${aList}`, converted, [one, [Symbol.iterator]]],
  [`conversion.decode: ${aFunction}`, converted, [one, { decode: Symbol.iterator, encode: Number }]],
  [`conversion.encode: ${aFunction}`, converted, [one, { decode: Number, encode: Symbol.iterator }]],
  [`conversion.encode: expected a function, got undefined`, converted, [one, { decode: Number }]],
  [`from.0: ${aPlace}`, derived, [cv(2), { from: [Symbol.iterator], by: "sum" }]],
  [
    `by: symbol is not an option; the options are "sum", "xor"`,
    derived,
    [cv(2), { from: [one.places[0]], by: Symbol.iterator }],
  ],
  [`places.0: ${aPlace}`, defineCodec, [{ ...spec, places: [Symbol.iterator] }]],
  [`parts.a: ${aCodec}`, defineCodec, [{ ...spec, parts: { a: Symbol.iterator } }]],
  [`about.label: ${aText}`, defineCodec, [{ ...spec, about: { label: Symbol.iterator } }]],
  [`places.0: ${aPlace}`, defineCodec, [{ kind: "x", item: one, places: [Symbol.iterator] }]],
  [`about.label: ${aText}`, defineCodec, [{ kind: "x", item: one, about: { label: Symbol.iterator } }]],
])("what is within an argument is named: %s", (words, make, args) => {
  expect(refusalOf(make, args)).toBe(words);
});

test("options of encoding are named", () => {
  for (const call of [
    (options: never) => one.encode(1, options),
    (options: never) => {
      const result = one.tryEncode(1, options);
      if (!result.ok) throw new CvError(result.issues);
    },
  ]) {
    expect(refusalOf(call, [5])).toBe("options: expected an object, got 5");
    expect(refusalOf(call, [{ nearest: 5 }])).toBe("nearest: expected true or false, got 5");
    expect(refusalOf(call, [{ base: 5 }])).toBe("base: expected an object with CV numbers as keys, got 5");
    expect(refusalOf(call, [{ nearest: true, base: {} }])).toBe("taken");
  }
});

test("what throws within a value is told with the kind of codec that looked at it", () => {
  const list = Object.defineProperty([1, 2, 3], 1, {
    get() {
      throw new Error("dropped");
    },
  });
  const object = (key: string) =>
    Object.defineProperty({}, key, {
      get() {
        throw new Error("dropped");
      },
      enumerable: true,
    });
  const fails = () => {
    throw new Error("dropped");
  };
  for (const [codec, value, said] of [
    [table(cv(1).through(3)), list, "1 custom table"],
    [flags(cv(1).bits(0, 2), [1, 2, 3]), list, " custom flags"],
    [record({ a: one }), object("a"), " custom record"],
    [switched(cv(2).bit(0), record({ a: one })), object("a"), " custom record"],
    [variant(cv(2).bit(0), { a: { value: 0, fields: {} } }), object("kind"), " custom variant"],
    [variant(cv(2).bit(0), { a: { value: 0, fields: {} } }, { tag: "is" }), object("is"), " custom variant"],
    [converted(one, { decode: Number, encode: fails }), 1, " custom converted"],
    [defineCodec({ ...spec, write: fails }), 1, " custom x"],
    [defineCodec({ kind: "y", item: one, write: fails }), 1, " custom y"],
  ] as const) {
    const result = (codec as AnyCodec).tryEncode(value);
    expect(
      result.ok || result.issues.map((issue) => `${issue.path} ${issue.code} ${issue.params["kind"]}`),
    ).toEqual([said]);
  }
});
