import { cpSync, mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
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

const folders = new Map<string, string>();
/** The folder of a page, in which its commands may write. */
function folderOf(page: string): string {
  const known = folders.get(page);
  if (known !== undefined) return known;
  const folder = mkdtempSync(join(tmpdir(), "cvset-page-"));
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
    const { stdout, stderr } = await run(words.slice(1), { cwd: folderOf(page) });
    const printed = `${stdout}${stderr}`.trimEnd();
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
