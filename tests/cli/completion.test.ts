import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

// What a shell offers, asked from the shell itself where it is installed.

const folder = newFolder();
const script = (shell: string): string => join(folder, `_cvset.${shell}`);
const has = (shell: string): boolean => spawnSync(shell, ["-c", "exit 0"]).status === 0;

beforeAll(async () => {
  for (const shell of ["bash", "zsh", "fish"]) {
    const { status, stdout, stderr } = await run(["completion", shell]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    writeFileSync(script(shell), stdout);
  }
});

/** What bash offers for the last word. */
function offeredByBash(words: readonly string[]): string[] {
  const program = `source "$1"; shift; compopt() { :; }
COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _cvset; printf '%s\\n' "\${COMPREPLY[@]}"`;
  const { stdout, stderr } = spawnSync("bash", ["-c", program, "bash", script("bash"), ...words], {
    cwd: examples,
  });
  expect(String(stderr)).toBe("");
  return String(stdout).trimEnd().split("\n");
}

function offeredByFish(line: string): string[] {
  const program = `source ${script("fish")}; complete -C ${JSON.stringify(line)}`;
  const { stdout, stderr } = spawnSync("fish", ["-c", program], { cwd: examples });
  expect(String(stderr)).toBe("");
  return String(stdout)
    .trimEnd()
    .split("\n")
    .map((one) => one.split("\t")[0] ?? "");
}

describe.skipIf(!has("bash"))("bash", () => {
  test.each<[string[], string[]]>([
    [["cvset", "enc"], ["encode"]],
    [["cvset", "encode", "--form"], ["--format"]],
    [
      ["cvset", "encode", "--format", ""],
      ["json", "list", "csv", "lines"],
    ],
    [
      ["cvset", "encode", "-f", "l"],
      ["list", "lines"],
    ],
    [
      ["cvset", "encode", "--format", "=", "l"],
      ["list", "lines"],
    ],
    [["cvset", "encode", "no9.s"], ["no9.settings.json"]],
    [
      ["cvset", "decode", "-d", "quill"],
      ["quillback-s8", "quillback-s8.json"],
    ],
    [["cvset", "plan", "now.json", "--mode", "p"], ["paged"]],
    [["cvset", "help", "ver"], ["verify"]],
    [
      ["cvset", "completion", ""],
      ["bash", "zsh", "fish"],
    ],
  ])("%j", (words, offered) => {
    expect(offeredByBash(words)).toEqual(offered);
  });

  test("offers every verb and every option of the help", async () => {
    const verbs = offeredByBash(["cvset", ""]).filter((word) => !word.startsWith("-") && word !== "help");
    const { stdout: overview } = await run(["--help"]);
    expect(verbs).toEqual([...overview.matchAll(/^ {2}(\w+) {2}/gm)].map(([, verb]) => verb));
    for (const verb of verbs) {
      const { stdout } = await run([verb, "--help"]);
      const [, list = ""] = /^Options:\n([\s\S]*?)\n\n/m.exec(stdout) ?? [];
      const options = [...list.matchAll(/^ {2}(?:-\w, | {4})(--[\w-]+)/gm)].map(([, option]) => option);
      expect(offeredByBash(["cvset", verb, "--"])).toEqual(options);
    }
  });
});

describe.skipIf(!has("fish"))("fish", () => {
  test.each<[string, string[]]>([
    ["cvset enc", ["encode"]],
    ["cvset encode --form", ["--format"]],
    ["cvset encode --format ", ["csv", "json", "lines", "list"]],
    ["cvset decode -d quill", ["quillback-s8", "quillback-s8.json"]],
    ["cvset completion ", ["bash", "fish", "zsh"]],
  ])("%s", (line, offered) => {
    expect(offeredByFish(line)).toEqual(offered);
  });
});

test.skipIf(!has("zsh"))("zsh accepts the script", () => {
  expect(spawnSync("zsh", ["-n", script("zsh")]).status).toBe(0);
});

test("another shell is refused", async () => {
  const { status, stdout, stderr } = await run(["completion", "tcsh"]);
  expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
  expect(stderr).toMatch(/"tcsh" is not a shell; allowed is bash, zsh, fish/);
});
