import type { Issue } from "../cv/issue.js";
import { keyOf, nameOf, notACv } from "../cv/name.js";
import type { JsonNode } from "./jsonnode.js";

/** The spellings of a CV in lists: `29`, `029`, `CV29`, `cv 29`, `CV#29`, each with `@16.0` for a page. */
export const cvSpelling = "(?:cv[ \\t\\u00A0]*(?:#[ \\t\\u00A0]*)?)?(\\d+)(?:@(\\d+)\\.(\\d+))?";

/** The key of the CV that {@link cvSpelling} matched, or 0 when there is no such CV. */
export function keyOfMatch([, number = "", high, low]: RegExpExecArray): number {
  const page = high === undefined ? "" : `@${trim(high)}.${trim(low ?? "")}`;
  return keyOf(trim(number) + page);
}

/** Without zeros in front: in a list they only line up the columns. */
function trim(digits: string): string {
  return digits.replace(/^0+(?=\d)/, "");
}

/** A number as lists write it: `34`, `034`, `0x22`, `0b100010`; NaN when it is anything else. */
export function listNumber(text: string): number {
  return /^(?:\d+|0x[\da-f]+|0b[01]+)$/i.test(text) ? Number(trimDecimal(text)) : Number.NaN;
}

function trimDecimal(text: string): string {
  return /^\d+$/.test(text) ? trim(text) : text;
}

/** What is wrong with the value of a CV in a list, or undefined. */
export function listByteIssue(key: number, text: string, value: number): Issue | undefined {
  if (value >= 0 && value <= 255) return undefined;
  const places = [{ cv: nameOf(key), mask: 255 }];
  return Number.isNaN(value)
    ? {
        code: "byte",
        path: "",
        places,
        expected: "a whole number from 0 to 255, as in 34, 0x22 or 0b100010",
        found: text,
      }
    : { code: "byte", path: "", places, expected: "a whole number from 0 to 255", found: value };
}

/** What is wrong with a CV name in a list. */
export function listCvIssue(text: string): Issue {
  return notACv(text.trim());
}

/** The byte that a JSON value is, or what is wrong with it. */
export function jsonByte(key: number, node: JsonNode): number | Issue {
  const places = [{ cv: nameOf(key), mask: 255 }];
  const expected = "a whole number from 0 to 255";
  if (node.kind === "number") {
    if (/^(?:0|[1-9]\d{0,2})$/.test(node.source) && node.value <= 255) return node.value;
    // The spelling is what is wrong, so the value alone ("3" for 3.0) would puzzle.
    if (node.source !== String(node.value)) {
      return {
        code: "content",
        path: "",
        places,
        expected: `${node.source} is not a CV value; it must be ${expected}, without sign, point or exponent`,
      };
    }
    return { code: "byte", path: "", places, expected, found: node.value };
  }
  const found = node.kind === "object" ? {} : node.kind === "array" ? [] : node.value;
  const quoted = node.kind === "string" && /^\d+$/.test(node.value) ? ", without quotes" : "";
  return { code: "byte", path: "", places, expected: expected + quoted, found };
}
