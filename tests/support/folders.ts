import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const made: string[] = [];

/** An empty folder, which is removed with all that is in it when the tests of the file are done. */
export function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "cvset-test-"));
  made.push(folder);
  return folder;
}

/** Removes the folders of {@link newFolder}; `tests/setup.ts` calls it behind the tests of each file. */
export function removeFolders(): void {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true });
}
