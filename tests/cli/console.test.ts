import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { filesBelow, root } from "../support/tree.js";
import { run } from "./run.js";

// The command lines of README and docs: each ```console block is run in docs/examples, and prints what the
// page says. A line "..." in the page stands for any number of lines.

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

test("the README shows the command", () => {
  expect(sessions.filter(({ page }) => page === "README.md").length).toBeGreaterThanOrEqual(4);
});

describe.each(sessions)("$page: $line", ({ line, output }) => {
  test("prints what the page says", async () => {
    const words = [...line.matchAll(/"([^"]*)"|'([^']*)'|(\S+)/g)].map(([, a, b, c]) => a ?? b ?? c ?? "");
    expect(words[0]).toBe("cvset");
    const { stdout, stderr } = await run(words.slice(1));
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
