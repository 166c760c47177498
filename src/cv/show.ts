// Everything that messages show of a value goes through here, so that a message can be printed as it is:
// whatever a file contains, it reaches a terminal or a log as visible text.

/** The longest text that a message shows of one value; what is longer is cut, with "..." behind. */
const longest = 60;

// Control characters, DEL and C1, soft hyphen, marks of writing direction, invisible characters, line and
// paragraph separators, lone surrogates, tags.
const unsafe =
  /[\p{Cc}\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|\p{Cs}|[\u{e0000}-\u{e007f}]/gu;

/**
 * A text with every character that has no visible form, or that changes the order of writing, written as
 * `\u` and its number.
 * @param text Any text.
 * @param length The longest result; what is longer is cut, with "..." behind.
 */
export function visible(text: string, length = Number.POSITIVE_INFINITY): string {
  const cut = text.length > length ? `${text.slice(0, Math.max(0, length - 3))}...` : text;
  return cut.replace(unsafe, (character) => {
    const code = character.codePointAt(0) as number;
    return code > 0xffff ? `\\u{${code.toString(16)}}` : `\\u${code.toString(16).padStart(4, "0")}`;
  });
}

/** A value of any kind on one line: a text in quotes, an object as JSON, shortened. */
export function show(value: unknown): string {
  try {
    const text = sketch(value, 3);
    return text.length > longest ? `${text.slice(0, longest - 3)}...` : text;
  } catch {
    // A getter or a proxy that throws.
    return typeof value;
  }
}

/** The value as JSON, as far as it can be shown: of a long one only the beginning is looked at. */
function sketch(value: unknown, depth: number): string {
  switch (typeof value) {
    case "string":
      return visible(JSON.stringify(value.slice(0, longest)));
    case "number":
      return Object.is(value, -0) ? "-0" : String(value);
    case "bigint":
      return `${value}n`;
    case "object":
      break;
    case "boolean":
      return String(value);
    default:
      return typeof value;
  }
  if (value === null) return "null";
  const isList = Array.isArray(value);
  if (depth === 0) return isList ? "[...]" : "{...}";
  const items: string[] = [];
  let length = 0;
  const add = (item: string): boolean => {
    items.push(item);
    length += item.length + 1;
    return length <= longest;
  };
  if (isList) {
    for (let i = 0; i < value.length; i++) if (!add(sketch(value[i], depth - 1))) break;
    return `[${items.join(",")}]`;
  }
  for (const key in value) {
    if (!Object.hasOwn(value, key)) continue;
    if (!add(`${sketch(key, 1)}:${sketch((value as Record<string, unknown>)[key], depth - 1)}`)) break;
  }
  return `{${items.join(",")}}`;
}

/** Values in a row, each as {@link show} gives it; of more than twelve the rest is counted. */
export function showList(values: readonly unknown[]): string {
  return shortened(values.map(show));
}

/** Texts in a row; of more than twelve the rest is counted. */
export function shortened(texts: readonly string[], most = 12): string {
  return texts.length <= most
    ? texts.join(", ")
    : `${texts.slice(0, most).join(", ")} and ${texts.length - most} more`;
}
