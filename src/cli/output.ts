import { randomUUID } from "node:crypto";
import { styleText } from "node:util";
import { visible } from "../cv/show.js";

// Everything that the command writes to standard output and standard error passes through this file. Texts
// come from files, names and command lines of strangers: here every character that could move the cursor,
// change the order of writing, start a new line or be obeyed by a CI service becomes visible text.

/** How a piece of a line stands out on a terminal. */
export type Look = "error" | "warning" | "note" | "quiet" | "strong";

const styles = {
  error: "red",
  warning: "yellow",
  note: "cyan",
  quiet: "dim",
  strong: "bold",
} as const satisfies Record<Look, string>;

// A look is marked by a text that no input can contain, since it is drawn anew in each run.
const mark = randomUUID();
const marks = new RegExp(`\u0000${mark}(\\w*)\u0000`);

/**
 * A piece of a line with a look. Only {@link lineOf} makes colours of it.
 * @param text The piece.
 * @param look How it stands out.
 */
export function painted(text: string, look: Look): string {
  return `\u0000${mark}${look}\u0000${text}\u0000${mark}\u0000`;
}

/**
 * One line as it may be written: no line break, no control character, nothing that a CI service takes for a
 * command.
 * @param text The line, with pieces from {@link painted}.
 * @param colour Whether looks become colours.
 */
export function lineOf(text: string, colour: boolean): string {
  // With its group, the pattern gives texts and looks in turn.
  const pieces = text.split(marks);
  let line = "";
  for (let i = 0; i < pieces.length; i += 2) {
    const look = pieces[i - 1] as Look | "" | undefined;
    const shown = visible(pieces[i] ?? "");
    const piece = line === "" ? withoutCommand(shown) : shown.replace(hashes, "#\\u0023");
    line += look && piece && colour ? styled(piece, look) : piece;
  }
  return line;
}

function styled(text: string, look: Look): string {
  // Whether there is colour was decided before; newer versions of Node would decide it once more.
  const options = { validateStream: false };
  return styleText(styles[look], text, options);
}

const hashes = /##(?=\w*\[)/g;

// "::name" at the start of a line, and "##[name]" or "##name[" anywhere, are commands to services that run CI.
function withoutCommand(line: string): string {
  return line.replace(/^(\s*):(?=:)/, "$1\\u003a").replace(hashes, "#\\u0023");
}

/**
 * What kind of document a text is, which decides how a character without a visible form is written:
 * `"json"` `\u202e`, `"markup"` (XML, HTML, Markdown) `&#x202e;`, `"text"` as in a line. `"commands"` is text
 * that is meant for a CI service.
 */
export type DocumentKind = "json" | "markup" | "text" | "commands";

/**
 * A document as it may be written. Line breaks and tabs stay.
 * @param text The document.
 * @param kind What it is.
 */
export function documentOf(text: string, kind: DocumentKind): string {
  const safe = text.replace(/[^\n\t\u0020-\u007e]/gu, (character) => {
    const shown = visible(character);
    if (shown === character || kind === "text" || kind === "commands") return shown;
    if (kind === "markup") return `&#x${(character.codePointAt(0) as number).toString(16)};`;
    return [...Array(character.length).keys()]
      .map((i) => `\\u${character.charCodeAt(i).toString(16).padStart(4, "0")}`)
      .join("");
  });
  // In JSON, both can stand only inside of a text, which never begins a line.
  if (kind === "json") return safe.replace(hashes, "#\\u0023");
  if (kind === "markup") return safe.replace(/^([^\S\n]*):(?=:)/gm, "$1&#x3a;").replace(hashes, "#&#x23;");
  if (kind === "commands") return safe.replace(hashes, "#\\u0023");
  return safe.split("\n").map(withoutCommand).join("\n");
}
