import type { CvSet } from "../cv/cvset.js";
import { placesInWords } from "../cv/places-text.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type Difference, diff } from "../decoder/diff.js";
import { editSettings, fileMessage } from "../files/index.js";
import { Unusable } from "./unusable.js";

type Settings = Readonly<Record<string, unknown>>;

/**
 * The changes that turn the settings of a file into others, by path. A setting that the file does not have is
 * added only where it changes a CV.
 * @param has The settings of the file.
 * @param wanted The settings that the file shall have.
 * @param cvs What the file gives now.
 */
export function changesOf(
  decoder: AnyDecoder,
  has: Settings,
  wanted: Settings,
  cvs: CvSet,
): Record<string, unknown> {
  const changes: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(wanted)) {
    const patch = decoder.tryEncode({ [name]: value }, cvs);
    if (patch.ok && patch.value.equals(cvs)) continue;
    if (Object.hasOwn(has, name)) compare(name, has[name], value, changes);
    else changes[name] = value;
  }
  return changes;
}

function compare(path: string, has: unknown, wanted: unknown, changes: Record<string, unknown>): void {
  if (JSON.stringify(has) === JSON.stringify(wanted)) return;
  const isSame = isMap(has) && isMap(wanted) && Object.keys(has).every((name) => Object.hasOwn(wanted, name));
  if (!isSame) changes[path] = wanted;
  else
    for (const [name, value] of Object.entries(wanted)) compare(`${path}.${name}`, has[name], value, changes);
}

function isMap(value: unknown): value is Settings {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** The text of a settings file with changes; its order and layout stay. */
export function editedText(text: string, changes: Readonly<Record<string, unknown>>, title: string): string {
  const edited = editSettings(text, changes, { file: title });
  if (!edited.ok) throw new Unusable(...edited.issues.map((issue) => fileMessage(issue)));
  return edited.value;
}

/** What differs between two CV sets, a line a CV: numbers, bits, settings. */
export function changeLines(decoder: AnyDecoder, before: CvSet, after: CvSet): string[] {
  return diff(decoder, before, after).map(changeLine);
}

function changeLine({ cv, from, to, words }: Difference): string {
  const bits: string[] = [];
  if (from !== undefined && to !== undefined)
    for (let bit = 7; bit >= 0; bit--) {
      const mask = 1 << bit;
      if ((from ^ to) & mask)
        bits.push(`bit ${bit}: ${Number((from & mask) > 0)} -> ${Number((to & mask) > 0)}`);
    }
  const said = words.map(({ path, from: was, to: is }) =>
    was === undefined
      ? `${path}: ${is}`
      : `${path}: ${was} -> ${is ?? (to === undefined ? "unknown" : "off")}`,
  );
  const cvText = `${placesInWords([{ cv, mask: 255 }])}: ${from ?? "unknown"} -> ${to ?? "unknown"}`;
  return `${cvText}${bits.length && bits.length < 5 ? ` (${bits.join(", ")})` : ""}${said.length ? `  ${said.join("; ")}` : ""}`;
}
