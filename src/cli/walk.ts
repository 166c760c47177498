import { type BigIntStats, fstatSync } from "node:fs";
import { readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { whyUnreadable } from "./input.js";
import { Unusable } from "./unusable.js";

/** A file to read, or standard input. */
export interface FileFound {
  /** Its name, `-` for standard input. */
  readonly path: string;
  /** Whether the user named it; others were found in a folder. */
  readonly isNamed: boolean;
}

/** What was found behind names of files and folders. */
export interface FilesFound {
  readonly files: readonly FileFound[];
  /** What was left out, and why. */
  readonly remarks: readonly string[];
}

/** The endings of the files that are read in folders. */
export const endings: readonly string[] = [".json", ".jsonl", ".csv", ".txt"];

const skipped: ReadonlySet<string> = new Set(["node_modules", ".git"]);

/**
 * The files behind names of files and folders, each once, in the order of the names; those of a folder in the
 * order of their paths. In folders only regular files are read, also those that a link leads to; a link to a
 * folder is not followed.
 * @throws {@link Unusable} When a name leads to nothing.
 */
export async function filesBehind(paths: readonly string[]): Promise<FilesFound> {
  const complaints: string[] = [];
  const remarks: string[] = [];
  const files: FileFound[] = [];
  // Links and several names of one file are one file.
  const seen = new Set<string>();
  const add = (path: string, info: BigIntStats | undefined, isNamed: boolean): void => {
    const identity = info ? `${info.dev}:${info.ino}` : path;
    if (seen.has(identity)) return;
    seen.add(identity);
    files.push({ path, isNamed });
  };
  for (const path of paths) {
    try {
      const info = path === "-" ? fstatSync(0, { bigint: true }) : await stat(path, { bigint: true });
      if (!info.isDirectory()) add(path, info, true);
      else for (const file of await filesIn(path, remarks)) add(file.path, file.info, false);
    } catch (error) {
      complaints.push(`${path}: ${whyUnreadable(error)}`);
    }
  }
  if (complaints.length) throw new Unusable(...complaints);
  return { files, remarks };
}

interface Found {
  readonly path: string;
  /** Undefined for a link that leads to nothing, and for a file that has gone: reading it tells why. */
  readonly info: BigIntStats | undefined;
}

async function filesIn(top: string, remarks: string[]): Promise<Found[]> {
  const found: Found[] = [];
  const folders = [top];
  for (let folder = folders.pop(); folder !== undefined; folder = folders.pop()) {
    for (const entry of await readdir(folder, { withFileTypes: true })) {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) {
        if (!skipped.has(entry.name)) folders.push(path);
        continue;
      }
      const info = await stat(path, { bigint: true }).catch(() => undefined);
      if (info?.isDirectory()) {
        remarks.push(`${path}: not looked into, a link to a folder`);
      } else if (endings.some((ending) => entry.name.endsWith(ending))) {
        if (info === undefined || info.isFile()) found.push({ path, info });
        else remarks.push(`${path}: not read, it is not a regular file`);
      }
    }
  }
  return found.sort((a, b) => (a.path < b.path ? -1 : 1));
}
