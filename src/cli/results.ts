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
  const used = new Map<string, number>();
  for (const { input, text } of results) {
    const stem = stemOf(input);
    const count = (used.get(stem) ?? 0) + 1;
    used.set(stem, count);
    io.part(`${stem}${count > 1 ? `-${count}` : ""}${ending}`, text, kind);
  }
}

/** The beginning of a file name: that of the input, or of one of several the locomotive's name. */
function stemOf(input: Input): string {
  const { name } = headOf(input);
  const isOneOfMany = /:\d+$/.test(input.title) || input.path === "-" || /\.jsonl$/.test(input.path);
  const own =
    isOneOfMany && name !== undefined ? name : basename(input.path === "-" ? "locomotive" : input.path);
  return fileStem(own.replace(/(\.(settings|cvs))?\.(json|jsonl|csv|txt|md)$/i, ""));
}

/** A name for people as the beginning of a file name. */
export function fileStem(name: string): string {
  const stem = name
    .normalize("NFKD")
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-+|-+$/g, "")
    .toLowerCase()
    .slice(0, 80);
  return stem || "locomotive";
}
