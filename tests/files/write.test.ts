import { CvError, CvSet } from "cvset";
import { type FileHead, readCvSet, readSettings, writeCvSet, writeSettings } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";

type CvSetContent = FileHead & { readonly cvs: CvSet };

const cvNames = fc.oneof(
  fc.integer({ min: 1, max: 1024 }).map(String),
  fc
    .tuple(fc.integer({ min: 257, max: 512 }), fc.nat(255), fc.nat(255))
    .map(([cv, high, low]) => `${cv}@${high}.${low}`),
);
const sets = fc.dictionary(cvNames, fc.nat(255)).map((map) => CvSet.from(map));
const texts = fc.string({ unit: "binary", minLength: 1 });
const values = fc.jsonValue({ maxDepth: 4 });

/** An object of those fields that are there. */
function some<Head extends object>(head: Head): { [Key in keyof Head]?: Exclude<Head[Key], undefined> } {
  return Object.fromEntries(Object.entries(head).filter(([, value]) => value !== undefined)) as Head;
}

const heads = fc
  .record({
    decoder: fc.option(texts, { nil: undefined }),
    name: fc.option(texts, { nil: undefined }),
    note: fc.option(texts, { nil: undefined }),
    schema: fc.option(texts, { nil: undefined }),
    silence: fc.option(values, { nil: undefined }),
  })
  .map(some);
const files = fc.tuple(heads, sets).map(([head, cvs]): CvSetContent => ({ ...head, cvs }));

/** Plain data without the difference between objects with and without a prototype. */
function plainly(value: unknown): unknown {
  return value === undefined ? undefined : JSON.parse(JSON.stringify(value));
}

function contentOf({ cvs, decoder, name, note, schema, silence }: CvSetContent) {
  return { cvs: [...cvs], decoder, name, note, schema, silence: plainly(silence) };
}

describe("what is written is read back", () => {
  test("JSON, to the same content and the same bytes", () => {
    fc.assert(
      fc.property(files, (file) => {
        for (const format of ["json", "line"] as const) {
          const text = writeCvSet(file, format);
          expect(text.endsWith("}\n")).toBe(true);
          const result = readCvSet(text);
          if (!result.ok) throw new Error(result.issues[0]?.code);
          expect(contentOf(result.value)).toEqual(contentOf(file));
          expect(writeCvSet(result.value, format)).toBe(text);
        }
        expect(writeCvSet(file, "line").trimEnd()).not.toMatch(/[\r\n]/);
      }),
    );
  });

  test("a plain list, to the same set, decoder and name", () => {
    fc.assert(
      fc.property(files, (file) => {
        const text = writeCvSet(file, "list");
        const result = readCvSet(text);
        if (!result.ok) throw new Error(result.issues[0]?.code);
        const { cvs, decoder, name } = result.value;
        expect({ cvs: [...cvs], decoder, name }).toEqual({
          cvs: [...file.cvs],
          decoder: file.decoder,
          name: file.name,
        });
        expect(result.value.format).toBe("list");
        expect(writeCvSet(result.value, "list")).toBe(text);
      }),
    );
  });

  test("CSV, to the same set", () => {
    fc.assert(
      fc.property(sets, (cvs) => {
        const result = readCvSet(writeCvSet({ cvs }, "csv"));
        if (!result.ok) throw new Error(result.issues[0]?.code);
        expect([...result.value.cvs]).toEqual([...cvs]);
        expect(result.value.format).toBe("csv");
      }),
    );
  });

  test("settings, to the same content and the same bytes", () => {
    let read = 0;
    fc.assert(
      fc.property(heads, fc.dictionary(fc.string(), values), (head, settings) => {
        const text = writeSettings({ ...head, settings });
        const result = readSettings(text);
        if (!result.ok) {
          // JSON values may hold numbers too large to be kept; the reader says so.
          expect(result.issues.every(({ code }) => code === "number-too-large")).toBe(true);
          return;
        }
        if (Object.keys(settings).length) read++;
        expect(plainly(result.value.settings)).toEqual(plainly(settings));
        expect(writeSettings(result.value)).toBe(text);
        expect(plainly(JSON.parse(text).settings)).toEqual(plainly(settings));
      }),
    );
    expect(read).toBeGreaterThan(20);
  });
});

test("the layout is fixed", () => {
  const head = {
    name: "No. 9",
    decoder: "q-8",
    silence: [{ rule: "r", reason: "why" }],
    note: "n",
    schema: "s",
  };
  expect(writeCvSet({ cvs: CvSet.from({ "300@16.0": 7, 1000: 1, 29: 34, 3: 0 }), ...head })).toBe(`{
  "$schema": "s",
  "decoder": "q-8",
  "name": "No. 9",
  "note": "n",
  "silence": [
    {
      "rule": "r",
      "reason": "why"
    }
  ],
  "cvs": {
    "3": 0,
    "29": 34,
    "1000": 1,
    "300@16.0": 7
  }
}
`);
  expect(
    writeSettings({ settings: { b: [1, 0.3, "x", null, true], a: [[1, 2], []], c: {}, d: -0, e: [{}] } }),
  ).toBe(`{
  "settings": {
    "b": [1, 0.3, "x", null, true],
    "a": [
      [1, 2],
      []
    ],
    "c": {},
    "d": -0,
    "e": [
      {}
    ]
  }
}
`);
  expect(writeCvSet({ cvs: CvSet.empty })).toBe('{\n  "cvs": {}\n}\n');
  expect(writeCvSet({ cvs: CvSet.empty }, "list")).toBe("# no CVs\n");
  expect(writeCvSet({ cvs: CvSet.from({ 29: 34 }), decoder: "q-8", name: "No. 9 #2" }, "list")).toBe(
    'decoder: q-8\nname: "No. 9 #2"\nCV29 = 34\n',
  );
});

test("ten thousand CVs of index pages can be written and read", () => {
  const pairs: [string, number][] = [];
  for (let page = 0; page < 40; page++)
    for (let cv = 257; cv <= 512; cv++) pairs.push([`${cv}@16.${page}`, cv & 255]);
  const cvs = CvSet.from(pairs);
  for (const format of ["json", "line", "list", "csv"] as const) {
    const text = writeCvSet({ cvs }, format);
    const result = readCvSet(text);
    expect(result.ok && result.value.cvs.equals(cvs)).toBe(true);
  }
});

describe("what JSON does not have is refused, with its path", () => {
  const itself: unknown[] = [];
  itself.push({ again: itself });
  let deep: unknown = 1;
  for (let i = 0; i < 200; i++) deep = [deep];
  const expected = "expected a number, a text, true, false, null, a list or a plain object, got";
  test.each<[what: string, settings: object, says: string]>([
    ["NaN", { a: { b: Number.NaN } }, `settings.a.b: ${expected} NaN`],
    ["Infinity", { a: [1, Number.POSITIVE_INFINITY] }, `settings.a.1: ${expected} Infinity`],
    ["undefined", { a: undefined }, `settings.a: ${expected} undefined`],
    ["a hole", { a: new Array(1) }, `settings.a.0: ${expected} undefined`],
    ["a function", { a: () => 1 }, `settings.a: ${expected} function`],
    ["a big integer", { a: 1n }, `settings.a: ${expected} 1n`],
    ["a map", { a: new Map() }, `settings.a: ${expected} Map {...}`],
    ["a circle", { a: itself }, "settings.a.0.again: the value contains itself"],
    [
      "both of two",
      { a: Number.NaN, b: undefined },
      `settings.a: ${expected} NaN\nsettings.b: ${expected} undefined`,
    ],
  ])("%s", (_, settings, says) => {
    expect(() => writeSettings({ settings })).toThrow(CvError);
    let message = "";
    try {
      writeSettings({ settings });
    } catch (error) {
      message = (error as Error).message;
    }
    expect(message).toBe(says);
  });

  test("too deep", () => {
    expect(() => writeSettings({ settings: { deep } })).toThrow(/nested more than 100 levels deep/);
  });

  test("the same list twice is no circle", () => {
    const list = [1, 2];
    expect(writeSettings({ settings: { a: list, b: list } })).toContain('"b": [1, 2]');
  });

  test("empty texts, and a format that does not exist", () => {
    for (const format of ["json", "line", "list", "csv"] as const) {
      expect(() => writeCvSet({ cvs: CvSet.empty, name: "", decoder: "" }, format)).toThrow(
        "decoder: expected a text that is not empty; leave it out, or write one\nname: expected a text that is not empty; leave it out, or write one",
      );
    }
    expect(() => writeCvSet({ cvs: CvSet.empty }, "xml" as never)).toThrow(
      'format: "xml" is not an option; the options are "json", "line", "list", "csv"',
    );
  });
});

test("what is written can be printed: only visible characters", () => {
  const name = "a\u001b[31m\u007f\u0085\u2028\u202e\u{e0041}b\ud800é😀\\";
  const file = { cvs: CvSet.from({ 1: 3 }), name };
  for (const format of ["json", "line", "list"] as const) {
    const text = writeCvSet(file, format);
    expect(text).not.toMatch(/[\p{Cf}\p{Cs}\p{Zl}\p{Zp}]|(?!\n)\p{Cc}/u);
    expect(text).toContain("é😀");
    expect(readCvSet(text).value?.name).toBe(name);
  }
  const text = writeSettings({ settings: { [name]: [name] } });
  expect(text).not.toMatch(/[\p{Cf}\p{Cs}\p{Zl}\p{Zp}]|(?!\n)\p{Cc}/u);
  expect(plainly(readSettings(text).value?.settings)).toEqual({ [name]: [name] });
});
