import { CvError } from "cvset";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { keyOf, nameOf, numberOf, pagedKey, pageOf, toKey } from "../../src/cv/name.js";

const byte = fc.integer({ min: 0, max: 255 });
const indexed = fc.integer({ min: 257, max: 512 });

describe("keys and names of CVs (S-9.2.2 (July 2012): CVs 1-1024; CV 31 and 32 choose the page of CVs 257-512)", () => {
  test("every CV outside the pages is its own key", () => {
    for (let cv = 1; cv <= 1024; cv++) {
      expect([keyOf(`${cv}`), nameOf(cv), pageOf(cv), numberOf(cv), toKey(cv), toKey(`${cv}`)]).toEqual([
        cv,
        `${cv}`,
        -1,
        cv,
        cv,
        cv,
      ]);
    }
  });

  test("the first and last CV of every page have a name that is read back", () => {
    for (let page = 0; page < 65536; page++) {
      for (const cv of [257, 512]) {
        const name = `${cv}@${page >> 8}.${page & 255}`;
        const key = keyOf(name);
        if (nameOf(key) !== name || pageOf(key) !== page || numberOf(key) !== cv || key <= 1024) {
          expect.unreachable(`${name} has the key ${key}, which is named ${nameOf(key)}`);
        }
      }
    }
  });

  test("CVs of pages: names, keys, page and number belong together, and keys are in order", () => {
    fc.assert(
      fc.property(indexed, byte, byte, indexed, byte, byte, (cv, high, low, cv2, high2, low2) => {
        const key = pagedKey(cv, high, low);
        expect(nameOf(key)).toBe(`${cv}@${high}.${low}`);
        expect(keyOf(nameOf(key))).toBe(key);
        expect([numberOf(key), pageOf(key)]).toEqual([cv, high * 256 + low]);
        const order = Math.sign(high - high2 || low - low2 || cv - cv2);
        expect(Math.sign(key - pagedKey(cv2, high2, low2))).toBe(order);
      }),
    );
  });

  test.each([
    ["empty", ""],
    ["zero", "0"],
    ["leading zero", "029"],
    ["sign", "+29"],
    ["negative", "-29"],
    ["space before", " 29"],
    ["space after", "29 "],
    ["fraction", "29.5"],
    ["fraction of nothing", "29.0"],
    ["exponent", "1e2"],
    ["hex", "0x1D"],
    ["too large", "1025"],
    ["far too large", "99999999999999999999"],
    ["word", "speed"],
    ["prefix", "CV29"],
    ["other digits", "２９"],
    ["page of a CV below 257", "256@16.0"],
    ["page of a CV above 512", "513@16.0"],
    ["CV 31 too large", "300@256.0"],
    ["CV 32 too large", "300@16.256"],
    ["no page", "300@"],
    ["half a page", "300@16"],
    ["half a page and a dot", "300@16."],
    ["page with leading zero", "300@016.0"],
    ["page with a third number", "300@16.0.0"],
    ["page with a sign", "300@+16.0"],
    ["page with a space", "300@16. 0"],
    ["line end behind", "300@16.0\n"],
    ["two pages", "300@16.0@16.0"],
    ["__proto__", "__proto__"],
  ])("no CV: %s", (_, text) => {
    expect(keyOf(text)).toBe(0);
    expect(() => toKey(text)).toThrow(CvError);
  });

  test.each([
    0,
    -1,
    1025,
    1.5,
    Number.NaN,
    Infinity,
    -0,
    2 ** 32 + 1,
    true,
    null,
    undefined,
    {},
    [],
    ["29"],
    [29],
    29n,
    Object("29"),
  ])("no CV as a number: %s", (number) => {
    expect(() => toKey(number as number)).toThrow(
      /^expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got .+$/,
    );
  });

  test("any text is a CV only when it is how a CV is written", () => {
    const near = fc.string({ unit: fc.constantFrom(..."0123456789@. -+"), maxLength: 12 });
    const number = fc.integer({ min: 0, max: 2048 }).map(String);
    const seen = { cvs: 0, others: 0 };
    fc.assert(
      fc.property(fc.oneof(fc.string(), near, number), (text) => {
        const key = keyOf(text);
        seen[key === 0 ? "others" : "cvs"]++;
        if (key !== 0) expect(nameOf(key)).toBe(text);
      }),
    );
    expect(Math.min(seen.cvs, seen.others)).toBeGreaterThan(0);
  });
});
