import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { run } from "../cli/run.js";
import { newFolder } from "../support/folders.js";

// The guide's files are written, its commands run, and its outputs compared. With CVSET_UPDATE=1 the outputs
// are written into it instead.

const page = fileURLToPath(new URL("../../docs/check-in-ci.md", import.meta.url));
const guide = readFileSync(page, "utf8");
const block =
  /<!-- (file|run|workflow)(?:: ([^;>]*?))?(?:; stdin: ([^;>]*?))?(?:; status: (\d))? -->\n```(\w+)\n(.*?)```\n/gs;
const folder = newFolder();

interface Command {
  readonly words: string;
  readonly stdin: string | undefined;
  readonly status: number;
  readonly language: string;
  readonly output: string;
}
const commands: Command[] = [];
let workflow = "";
for (const [, kind, words = "", stdin, status, language = "", text = ""] of guide.matchAll(block)) {
  if (kind === "workflow") workflow = text;
  else if (kind === "run") commands.push({ words, stdin, status: Number(status), language, output: text });
  else {
    const path = join(folder, words);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, text);
  }
}

test("every command of the guide gives what the guide says", async () => {
  let updated = guide;
  for (const { words, stdin, status, language, output } of commands) {
    const input = stdin === undefined ? "" : readFileSync(join(folder, stdin), "utf8");
    const ran = await run(words.split(" "), { cwd: folder, input });
    expect([words, ran.stderr]).toEqual([words, ""]);
    expect([words, ran.status]).toEqual([words, status]);
    if (process.env["CVSET_UPDATE"] === "1") {
      const start = updated.indexOf(`<!-- run: ${words};`);
      updated =
        updated.slice(0, start) +
        updated
          .slice(start)
          .replace(`\`\`\`${language}\n${output}\`\`\``, () => `\`\`\`${language}\n${ran.stdout}\`\`\``);
    } else expect(ran.stdout).toBe(output);
  }
  if (updated !== guide) writeFileSync(page, updated);
  expect(commands.length).toBe(4);
});

test("the workflow runs what the guide shows", () => {
  const used = [...workflow.matchAll(/npx cvset (.*?)(?: \|\| true)?$/gm)].map(([, words = ""]) =>
    words.replace('"$file"', "FILE"),
  );
  const shown = commands.map(({ words }) => words.replace("locomotives/no9.json", "FILE"));
  expect(used.length).toBe(2);
  for (const words of used) expect(shown).toContain(words);
});
