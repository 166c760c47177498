import { readFileSync, writeFileSync } from "node:fs";
import { expect } from "vitest";

// Texts that are compared with files; CVSET_UPDATE=1 writes the files anew.

/** Whether the files are written anew and not compared. */
export const updates = process.env["CVSET_UPDATE"] === "1";

/** Expects that a text is that of a file. */
export function expectFile(file: URL, text: string): void {
  if (updates) writeFileSync(file, text);
  expect(text).toBe(readFileSync(file, "utf8"));
}

/** A file with a section for each title. */
export class GoldenPage {
  readonly #file: URL;
  readonly #sections: ReadonlyMap<string, string>;
  #written = "";

  constructor(file: URL) {
    this.#file = file;
    const text = updates ? "" : readFileSync(file, "utf8");
    this.#sections = new Map(
      text
        .split(/^## /m)
        .slice(1)
        .map((section): [string, string] => {
          const end = section.indexOf("\n");
          return [section.slice(0, end), section.slice(end + 2, -1)];
        }),
    );
  }

  /** Expects that a text is that of a section. */
  expectSection(title: string, text: string): void {
    this.#written += `## ${title}\n\n${text}\n`;
    if (!updates) expect(text).toBe(this.#sections.get(title));
  }

  /** Writes the file anew, with all that was given; to be called last, when there are updates. */
  write(): void {
    writeFileSync(this.#file, this.#written);
  }
}
