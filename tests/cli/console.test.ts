import { cpSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { filesBelow, root } from "../support/tree.js";
import { examples, run } from "./run.js";

// The command lines of README and docs: each ```console block is run in a copy of docs/examples, one after the
// other, and prints what the page says. A line "..." in the page stands for any number of lines.

const pages = ["README.md", ...filesBelow("docs", ".md").map((page) => `docs/${page}`)];

const sessions = pages.flatMap((page) => {
  const text = readFileSync(root + page, "utf8");
  return [...text.matchAll(/^```console\n([\s\S]*?)^```/gm)].flatMap(([, block = ""]) =>
    block
      .split(/^\$ /m)
      .slice(1)
      .map((part) => {
        const [line = "", ...output] = part.split("\n");
        return { page, line, output: output.join("\n").trimEnd() };
      }),
  );
});

/** The command lines that do not end with status 0: the pages say so, or what they print does. */
const statuses: ReadonlyMap<string, number> = new Map([
  ["cvset check read-back.txt", 1],
  ["cvset diff no9.cvs.json read-back.txt", 1],
  ["cvset encode misspelt.settings.json", 2],
]);

const folders = new Map<string, string>();
/** The folder of a page, in which its commands may write. */
function folderOf(page: string): string {
  const known = folders.get(page);
  if (known !== undefined) return known;
  const folder = newFolder();
  cpSync(examples, folder, { recursive: true });
  folders.set(page, folder);
  return folder;
}

test("the README shows the command", () => {
  expect(sessions.filter(({ page }) => page === "README.md").length).toBeGreaterThanOrEqual(12);
});

describe.each(sessions)("$page: $line", ({ page, line, output }) => {
  test("prints what the page says", async () => {
    const words = [...line.matchAll(/"([^"]*)"|'([^']*)'|(\S+)/g)].map(([, a, b, c]) => a ?? b ?? c ?? "");
    expect(words[0]).toBe("cvset");
    const { status, stdout, stderr } = await run(words.slice(1), { cwd: folderOf(page) });
    expect(status).toBe(statuses.get(line) ?? 0);
    // What was changed, and what is wrong, goes to standard error; everything else to standard output.
    const isTold = status === 2 || words[1] === "set";
    expect(isTold ? stdout : stderr).toBe("");
    const printed = (isTold ? stderr : stdout).trimEnd();
    if (!output.split("\n").includes("...")) {
      expect(printed).toBe(output);
      return;
    }
    const pattern = output
      .split("\n")
      .map((one) => (one === "..." ? "(?:.*\\n)*?.*" : one.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")))
      .join("\\n");
    expect(printed).toMatch(new RegExp(`^${pattern}$`));
  });
});
