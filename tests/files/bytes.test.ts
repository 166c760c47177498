import { decodeText } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Utf8 } from "../../src/files/bytes.js";

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const strict = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });

function complaint(bytes: Uint8Array): [says: string, line: number, column: number] | undefined {
  const result = decodeText(bytes);
  const issue = result.ok ? undefined : result.issues[0];
  return issue && [issue.expected, issue.line, issue.column];
}

describe("bytes that are no UTF-8 text", () => {
  const bad = (hex: string): string => `the byte ${hex} is not UTF-8 here; save the file as UTF-8`;
  const binary = "this is not a text: it holds a character U+0000, as binary files and UTF-16 do";
  const marked = "this is UTF-16, by its byte-order mark; save it as UTF-8";
  const looks = "this looks like UTF-16 without a byte-order mark; save it as UTF-8";
  test.each<[what: string, bytes: number[], says: string, line: number, column: number]>([
    ["UTF-16, little end first", [0xff, 0xfe, 67, 0, 86, 0], marked, 1, 1],
    ["UTF-16, big end first", [0xfe, 0xff, 0, 67, 0, 86], marked, 1, 1],
    ["only the mark", [0xff, 0xfe], marked, 1, 1],
    ["UTF-16 without a mark", [67, 0, 86, 0], looks, 1, 1],
    ["UTF-16 without a mark, big end first", [0, 67, 0, 86], looks, 1, 1],
    ["a NUL", [67, 86, 10, 49, 61, 0, 51], binary, 2, 3],
    ["a picture", [0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0], bad("89"), 1, 1],
    ["Latin-1", [67, 86, 49, 13, 10, 35, 0xe4, 104], bad("E4"), 2, 2],
    ["a lone continuation", [65, 0x80], bad("80"), 1, 2],
    ["a character cut off at the end", [65, 0xe2, 0x82], bad("E2"), 1, 2],
    ["an overlong slash", [0xc0, 0xaf], bad("C0"), 1, 1],
    ["an overlong three bytes", [0xe0, 0x80, 0xaf], bad("E0"), 1, 1],
    ["an overlong four bytes", [0xf0, 0x80, 0x80, 0xaf], bad("F0"), 1, 1],
    ["half a surrogate pair", [0xed, 0xa0, 0x80], bad("ED"), 1, 1],
    ["beyond U+10FFFF", [0xf4, 0x90, 0x80, 0x80], bad("F4"), 1, 1],
    ["after a character of two units", [0xf0, 0x9f, 0x98, 0x80, 0xff], bad("FF"), 1, 3],
  ])("%s", (_, bytes, says, line, column) => {
    expect(complaint(new Uint8Array(bytes))).toEqual([says, line, column]);
  });
});

test("a byte-order mark is taken off, and only the first", () => {
  expect(decodeText(bytesOf("\ufeff\ufeffCV1=3")).value).toBe("\ufeffCV1=3");
  expect(decodeText(bytesOf("\ufeff")).value).toBe("");
  expect(decodeText(new Uint8Array()).value).toBe("");
});

test("any text is decoded, in any pieces", () => {
  fc.assert(
    fc.property(fc.string({ unit: "binary" }), fc.array(fc.integer({ min: 1, max: 5 })), (any, cuts) => {
      const text = any.replaceAll("\0", "-");
      const bytes = bytesOf(text);
      const utf8 = new Utf8();
      let decoded = "";
      let at = 0;
      for (const cut of cuts) decoded += utf8.add(bytes.subarray(at, (at += cut)));
      decoded += utf8.add(bytes.subarray(at)) + utf8.end();
      expect(utf8.issue).toBe(undefined);
      expect(decoded).toBe(text.replace(/^\ufeff/, ""));
    }),
    { numRuns: 300 },
  );
});

test("any bytes are refused exactly when a strict decoder refuses them, in any pieces, at the same place", () => {
  const byte = fc.oneof(
    fc.constantFrom(10, 13, 65, 0x80, 0xbf, 0xc2, 0xe0, 0xa0, 0xed, 0x9f, 0xf0, 0x90, 0xf4, 0x8f, 0xef, 0xbb),
    fc.integer({ min: 1, max: 255 }),
  );
  let refused = 0;
  fc.assert(
    fc.property(fc.array(byte, { maxLength: 12 }), fc.array(fc.integer({ min: 1, max: 4 })), (list, cuts) => {
      const bytes = new Uint8Array(list);
      let whole: string | undefined;
      try {
        whole = strict.decode(bytes);
      } catch {
        refused++;
      }
      const result = decodeText(bytes);
      const utf16 = (list[0] === 0xff && list[1] === 0xfe) || (list[0] === 0xfe && list[1] === 0xff);
      expect(result.ok).toBe(whole !== undefined);
      if (result.ok) expect(result.value).toBe(whole?.replace(/^\ufeff/, ""));
      else if (!utf16) {
        // Everything before the place is text; with one character more it is not.
        const { line, column } = result.issues[0]!;
        const places: string[] = [];
        for (let end = 0; end <= bytes.length; end++) {
          try {
            const lines = strict
              .decode(bytes.subarray(0, end))
              .replace(/^\ufeff/, "")
              .split(/\r\n|\r|\n/);
            places.push(`${lines.length}:${(lines.at(-1) as string).length + 1}`);
          } catch {
            // In the middle of a character.
          }
        }
        expect(places.at(-1)).toBe(`${line}:${column}`);
      }
      const utf8 = new Utf8();
      let at = 0;
      for (const cut of cuts) utf8.add(bytes.subarray(at, (at += cut)));
      utf8.add(bytes.subarray(at));
      utf8.end();
      expect(utf8.issue).toEqual(result.ok ? undefined : result.issues[0]);
    }),
    { numRuns: 3000 },
  );
  expect(refused).toBeGreaterThan(500);
});
