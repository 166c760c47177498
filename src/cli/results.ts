import { basename } from "node:path";
import { headOf, type Input } from "./input.js";
import { Unusable } from "./unusable.js";
import type { Io } from "./verb.js";

// Verbs that make one result of each input: on standard output, in one file, or in a folder of files.

/** One result. */
export interface Outcome {
  readonly input: Input;
  readonly text: string;
}

/**
 * Writes results.
 * @param ending The end of the name of each file in a folder: `".cvs.json"`.
 * @param joins Whether several of them make one document when they follow each other.
 */
export function giveResults(
  io: Io,
  results: readonly Outcome[],
  {
    ending,
    joins,
    kind,
  }: { readonly ending: string; readonly joins: boolean; readonly kind: "json" | "text" },
): void {
  if (results.length > 1 && !joins && !io.toFolder)
    throw new Unusable(
      `${results.length} results do not fit into one document; give a folder with --output FOLDER/`,
    );
  const stems = new FileStems();
  for (const { input, text } of results) io.part(`${stems.next(nameOf(input))}${ending}`, text, kind);
}

/** What a result's file is called after: the file of the input, or of one of several the locomotive. */
function nameOf(input: Input): string {
  const { name } = headOf(input);
  const isOneOfMany = /:\d+$/.test(input.title) || input.path === "-" || /\.jsonl$/.test(input.path);
  const own =
    isOneOfMany && name !== undefined ? name : basename(input.path === "-" ? "locomotive" : input.path);
  return withoutEnding(own);
}

/** The name of a file without what tells its kind: `no9` of `no9.cvs.json`. */
export function withoutEnding(file: string): string {
  return file.replace(/(\.(settings|cvs))?\.(json|jsonl|csv|txt|md)$/i, "");
}

/** Beginnings of file names, each of which is given once: a second `No. 9` is `no-9-2`. */
export class FileStems {
  readonly #given = new Map<string, number>();

  /** One more, after a name for people. */
  next(name: string): string {
    const stem = fileStem(name);
    let count = this.#given.get(stem) ?? 0;
    let given: string;
    do {
      count++;
      given = count > 1 ? `${stem}-${count}` : stem;
    } while (this.#given.has(given));
    this.#given.set(given, 1).set(stem, count);
    return given;
  }
}

/** A name for people as the beginning of a file name. */
export function fileStem(name: string): string {
  const stem = name
    .normalize("NFKD")
    .replace(/\p{M}+/gu, "")
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-+|-+$/g, "")
    .toLowerCase()
    .slice(0, 80);
  return stem || "locomotive";
}
