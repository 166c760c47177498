import { fileMessage, readAny } from "cvset/files";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readText } from "../../src/files/source.js";
import { Utf8 } from "../../src/files/utf8.js";

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const strict = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
const lenient = new TextDecoder("utf-8", { ignoreBOM: true });

/** Everything that was decoded of some chunks, with the places of bytes that are not UTF-8. */
function decoded(chunks: readonly Uint8Array[]) {
  const utf8 = new Utf8();
  let text = "";
  const bad: { offset: number; byte: number }[] = [];
  for (const chunk of [...chunks, undefined]) {
    const piece = chunk ? utf8.add(chunk) : utf8.end();
    bad.push(...piece.bad.map(({ offset, byte }) => ({ offset: text.length + offset, byte })));
    text += piece.text;
  }
  // A line that is in two pieces may have one in each; the first counts.
  const lineOf = (offset: number): number => text.slice(0, offset).split(/[\r\n]/).length;
  const first = bad.filter(({ offset }, i) => i === 0 || lineOf(bad[i - 1]!.offset) !== lineOf(offset));
  return { text, bad: first, utf16: utf8.utf16 };
}

function inChunks(bytes: Uint8Array, cuts: readonly number[]): Uint8Array[] {
  let at = 0;
  const chunks = cuts.map((cut) => bytes.subarray(at, (at += cut)));
  return [...chunks, bytes.subarray(at)];
}

describe("bytes that are not UTF-8 text", () => {
  const bad = (hex: string): string => `the byte ${hex} is not UTF-8 here; save the file as UTF-8`;
  const binary = "this is not a text: it has the character U+0000, as binary files and UTF-16 have";
  const marked = "this is UTF-16, by its byte-order mark; save the file as UTF-8";
  const looks = "this looks like UTF-16 without a byte-order mark; save the file as UTF-8";
  test.each<[what: string, bytes: number[], says: string, line: number, column: number]>([
    ["UTF-16, little end first", [0xff, 0xfe, 67, 0, 86, 0], marked, 1, 1],
    ["UTF-16, big end first", [0xfe, 0xff, 0, 67, 0, 86], marked, 1, 1],
    ["only the mark", [0xff, 0xfe], marked, 1, 1],
    ["the mark before bytes of any kind", [0xff, 0xfe, 0x80, 0x80, 65], marked, 1, 1],
    ["UTF-16 without a mark", [67, 0, 86, 0], looks, 1, 1],
    ["UTF-16 without a mark, big end first", [0, 67, 0, 86], looks, 1, 1],
    ["a NUL", [67, 86, 10, 49, 61, 0, 51], binary, 2, 3],
    ["a picture", [0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10], bad("89"), 1, 1],
    ["Latin-1", [67, 86, 49, 13, 10, 35, 0xe4, 104], bad("E4"), 2, 2],
    ["a lone continuation", [65, 0x80], bad("80"), 1, 2],
    ["a character cut off at the end", [65, 0xe2, 0x82], bad("E2"), 1, 2],
    ["the start of U+FFFD alone", [65, 0xef, 0xbf], bad("EF"), 1, 2],
    ["an overlong slash", [0xc0, 0xaf], bad("C0"), 1, 1],
    ["an overlong three bytes", [0xe0, 0x80, 0xaf], bad("E0"), 1, 1],
    ["an overlong four bytes", [0xf0, 0x80, 0x80, 0xaf], bad("F0"), 1, 1],
    ["half a surrogate pair", [0xed, 0xa0, 0x80], bad("ED"), 1, 1],
    ["beyond U+10FFFF", [0xf4, 0x90, 0x80, 0x80], bad("F4"), 1, 1],
    ["after a character of two units", [0xf0, 0x9f, 0x98, 0x80, 0xff], bad("FF"), 1, 3],
    ["after a true U+FFFD", [0xef, 0xbf, 0xbd, 0xff], bad("FF"), 1, 2],
  ])("%s", async (_, bytes, says, line, column) => {
    const text = new Uint8Array(bytes);
    for (const result of [
      readAny(text),
      await readAny([text]),
      await readAny(bytes.map((byte) => new Uint8Array([byte]))),
    ]) {
      const issue = result.ok ? undefined : result.issues.find(({ code }) => /utf|not-text/.test(code));
      expect(issue && fileMessage(issue)).toBe(`line ${line}, column ${column}: ${says}`);
    }
  });

  test("are read as U+FFFD, and the rest of the file all the same", () => {
    const text = new Uint8Array([...bytesOf("CV1 = 3 # Z"), 0xfc, ...bytesOf("ge\nCV29 = 6\n"), 0xfc]);
    const result = readAny(text);
    expect(result.ok).toBe(false);
    expect(result.value?.kind === "cvs" && result.value.cvs.toJSON()).toEqual({ 1: 3, 29: 6 });
  });

  test("U+FFFD that is in the file is a character like any other", () => {
    expect(readAny(bytesOf("CV1 = 3 # \ufffd")).ok).toBe(true);
  });
});

test("a byte-order mark is taken off, and only the first", () => {
  expect(readText(bytesOf("\ufeff\ufeffCV1=3")).value).toBe("\ufeffCV1=3");
  expect(readText("\ufeffCV1=3").value).toBe("CV1=3");
});

test("any text is decoded, in any chunks", () => {
  fc.assert(
    fc.property(fc.string({ unit: "binary" }), fc.array(fc.integer({ min: 1, max: 5 })), (text, cuts) => {
      const found = decoded(inChunks(bytesOf(text), cuts));
      if (found.utf16) expect(text).toMatch(/\0/);
      else
        expect(found).toEqual({
          text: new TextDecoder("utf-8", { ignoreBOM: true }).decode(bytesOf(text)),
          bad: [],
          utf16: undefined,
        });
    }),
    { numRuns: 300 },
  );
});

test("any bytes are reported exactly where a strict decoder refuses them, in any chunks, line by line", () => {
  const byte = fc.oneof(
    fc.constantFrom(
      10,
      13,
      65,
      0x80,
      0xbf,
      0xc2,
      0xe0,
      0xa0,
      0xed,
      0x9f,
      0xf0,
      0x90,
      0xf4,
      0x8f,
      0xef,
      0xbb,
      0xbd,
    ),
    fc.integer({ min: 1, max: 255 }),
  );
  let refused = 0;
  const isText = (bytes: Uint8Array, stream = false): boolean => {
    try {
      new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes, { stream });
      return true;
    } catch {
      return false;
    }
  };
  fc.assert(
    fc.property(fc.array(byte, { maxLength: 16 }), fc.array(fc.integer({ min: 1, max: 4 })), (list, cuts) => {
      const bytes = new Uint8Array(list);
      const whole = decoded([bytes]);
      expect(decoded(inChunks(bytes, cuts))).toEqual(whole);
      if (whole.utf16) return;
      expect(whole.text).toBe(lenient.decode(bytes));
      expect(whole.bad.length === 0).toBe(isText(bytes));
      // The same by trying: of each line the longest beginning that may still become text.
      const expected: { offset: number; byte: number }[] = [];
      let offset = 0;
      for (let from = 0; from < bytes.length; ) {
        let to = from;
        while (to < bytes.length && bytes[to] !== 10 && bytes[to] !== 13) to++;
        to = Math.min(bytes.length, to + 1);
        const line = bytes.subarray(from, to);
        if (!isText(line)) {
          refused++;
          let end = line.length;
          while (!isText(line.subarray(0, end))) end--;
          expected.push({
            offset: offset + strict.decode(line.subarray(0, end)).length,
            byte: line[end] as number,
          });
        }
        offset += lenient.decode(line).length;
        from = to;
      }
      expect(whole.bad).toEqual(expected);
    }),
    { numRuns: 3000 },
  );
  expect(refused).toBeGreaterThan(500);
});
