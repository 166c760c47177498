// Everything that messages show of a value goes through here, so that a message can be printed as it is:
// whatever a file contains, it reaches a terminal or a log as visible text.

/** The longest text that a message shows of one value; what is longer is cut, with "..." behind. */
const longest = 60;

/** How many values of a list are shown; the rest is counted. */
const mostListed = 12;

// Control characters (DEL and C1 too), marks of writing direction and other format characters, line and
// paragraph separators, lone surrogates, and what else has no visible form.
const unsafe = /[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}\p{DI}]/gu;

/**
 * A text with every character that has no visible form, or that changes the order of writing, written as
 * `\u` and its number.
 * @param text Any text.
 * @param length The longest result; what is longer is cut, with "..." behind.
 */
export function visible(text: string, length = Number.POSITIVE_INFINITY): string {
  // No character becomes shorter, so what is behind the limit cannot be reached.
  const shown = text.slice(0, length + 1).replace(unsafe, (character) => {
    const code = character.codePointAt(0) as number;
    return code > 0xffff ? `\\u{${code.toString(16)}}` : `\\u${code.toString(16).padStart(4, "0")}`;
  });
  return cut(shown, length);
}

/** A value of any kind on one line: a text in quotes, an object as JSON, shortened. It does not throw. */
export function show(value: unknown): string {
  try {
    return cut(sketch(value, 3), longest);
  } catch {
    // A getter or a proxy that throws.
    return typeof value;
  }
}

/** The message of an error, or the value that was thrown in place of one. It does not throw. */
export function reasonOf(thrown: unknown): string {
  try {
    return thrown instanceof Error
      ? String(thrown.message)
      : typeof thrown === "string"
        ? thrown
        : show(thrown);
  } catch {
    return "an error whose message cannot be read";
  }
}

function cut(text: string, length: number): string {
  if (text.length <= length) return text;
  // Not through the middle of a pair of surrogates.
  return `${text.slice(0, length - 3).replace(/[\ud800-\udbff]$/, "")}...`;
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
  const kind = Object.prototype.toString.call(value).slice("[object ".length, -1);
  if (!isList && kind !== "Object") return `${visible(kind, longest)} {...}`;
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
  return shortened(values, show);
}

/** Texts in a row; of more than twelve the rest is counted. */
export function shortened<Item>(items: readonly Item[], textOf: (item: Item) => string = String): string {
  const shown = Array.from(items.slice(0, mostListed), (item) => textOf(item)).join(", ");
  return items.length > mostListed ? `${shown} and ${items.length - mostListed} more` : shown;
}
