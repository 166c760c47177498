import {
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import packageJson from "../../package.json" with { type: "json" };
import { allVerbs, verbNames } from "../../src/cli/table.js";
import { optionsOf } from "../../src/cli/usage.js";
import type { Option } from "../../src/cli/verb.js";
import { newFolder } from "../support/folders.js";
import { root } from "../support/tree.js";
import { run } from "./run.js";

// What the command answers, word by word. A page of tests/cli/golden has command lines, each with all that it gives:
//
//   $ cvset decode - < list.txt
//   what is written to standard output, as it is
//   ! a line of standard error
//   > out.json, a file that is written anew or changed, with its text below:
//   > text
//   = 1, the exit status
//
// Each line is run in a folder of its own with the files of golden/files.txt. WIDTH=60 in front of "cvset" is the
// width of the output, TERMINAL=1 a terminal with colours. CVSET_UPDATE=1 writes the pages anew; read what changes.

const pages = join(root, "tests/cli/golden/");

interface Entry {
  readonly line: string;
  /** All that stands below the line in the page. */
  readonly answer: string;
}

/** The command lines of a page, and the remarks before each. */
function entriesOf(text: string): Entry[] {
  return text
    .split(/^(?=\$ )/m)
    .filter((part) => part.startsWith("$ "))
    .map((part) => {
      const [, line = "", answer = ""] = /^\$ (.*)\n([\s\S]*?^= \d\n)?/m.exec(part) ?? [];
      return { line, answer };
    });
}

/** The files that every command line finds: their names, and contents; of links the target. */
const given = new Map(
  readFileSync(`${pages}files.txt`, "utf8")
    .split(/^-- /m)
    .slice(1)
    .map((part) => {
      const [, head = "", text = ""] = /^(.*)\n([\s\S]*)$/.exec(part) ?? [];
      const [, name = "", isHex, target] = /^(\S+)( \(hex\))?(?: -> (\S+))?$/.exec(head) ?? [];
      const bytes = isHex ? Buffer.from(text.replaceAll(/\s/g, ""), "hex") : Buffer.from(text);
      return [name, target === undefined ? bytes : target] as const;
    }),
);

const folder = newFolder();

/** The links among them that lead to folders: what is behind them is there already. */
const folderLinks = [...given].flatMap(([name, content]) =>
  typeof content === "string" &&
  [...given.keys()].some((one) => one.startsWith(`${join(name, "..", content)}/`))
    ? [`${name}/`]
    : [],
);

function put(name: string): void {
  const content = given.get(name);
  const path = join(folder, name);
  mkdirSync(dirname(path), { recursive: true });
  if (typeof content === "string") symlinkSync(content, path);
  else if (content) writeFileSync(path, content);
}
for (const name of given.keys()) put(name);

/** Files that are new or other than they were, with their text; the folder is as it was after that. */
function changed(): [name: string, text: string][] {
  const found: [string, string][] = [];
  const names = readdirSync(folder, { recursive: true, encoding: "utf8" }).sort();
  for (const name of names) {
    if (folderLinks.some((link) => name.startsWith(link))) continue;
    const path = join(folder, name);
    const info = lstatSync(path, { throwIfNoEntry: false });
    if (info === undefined || info.isDirectory()) continue;
    const before = given.get(name);
    if (info.isSymbolicLink()) {
      if (readlinkSync(path) === before) continue;
    } else if (before instanceof Buffer && readFileSync(path).equals(before)) continue;
    found.push([name, readFileSync(path, "utf8")]);
    rmSync(path);
    if (before !== undefined) put(name);
  }
  for (const name of given.keys())
    if (!names.includes(name)) {
      found.push([name, "(it is gone)\n"]);
      put(name);
    }
  return found;
}

/** A text line by line, each with a mark in front; a text that does not end with a line end shows that. */
function marked(text: string, mark: string): string {
  if (text === "") return "";
  const whole = text.endsWith("\n") ? text : `${text}\n(no line end)\n`;
  return whole
    .replace(/^.*\n/gm, (one) => (one === "\n" ? `${mark.trim()}\n` : mark + one))
    .replaceAll("\u001b", "\\e")
    .replaceAll("\r", "\\r");
}

/** The words of a command line, as a shell takes them apart. */
function wordsOf(line: string): string[] {
  return [...line.matchAll(/(?:"[^"]*"|'[^']*'|[^\s"'])+/g)].map(([word]) =>
    word.replace(/"([^"]*)"|'([^']*)'/g, "$1$2"),
  );
}

interface CommandLine {
  readonly args: readonly string[];
  /** The file that is standard input. */
  readonly stdin: string | undefined;
  readonly variables: Readonly<Record<string, string>>;
}

function commandLine(line: string): CommandLine {
  const words = wordsOf(line);
  const at = words.indexOf("cvset");
  const variables = Object.fromEntries(words.slice(0, at).map((word) => word.split("=")));
  const from = words.indexOf("<");
  const args = words.slice(at + 1, from < 0 ? undefined : from);
  return { args, stdin: from < 0 ? undefined : words[from + 1], variables };
}

/** All that a command line gives, as a page has it. */
async function answerOf(line: string): Promise<string> {
  const { args, stdin, variables } = commandLine(line);
  const isTerminal = variables["TERMINAL"] === "1";
  const { status, stdout, stderr } = await run(args, {
    cwd: folder,
    colour: isTerminal,
    progress: isTerminal,
    ...(stdin !== undefined && { input: readFileSync(join(folder, stdin)) }),
    ...(variables["WIDTH"] !== undefined && { width: Number(variables["WIDTH"]) }),
  });
  const files = changed().map(([name, text]) => `> ${name}\n${marked(wordsIn(name, text), "> ")}`);
  return `${marked(wordsIn(stdout.startsWith("<!doctype") ? ".html" : "", stdout), "")}${marked(stderr, "! ")}${files.join("")}= ${status}\n`
    .replaceAll(packageJson.version, "(version)")
    .replaceAll(/timestamp="[^"]*"/g, 'timestamp="(now)"')
    .replace(/^( *)"rules": \[\n[\s\S]*?\n\1\]/m, '$1"rules": [(those of check --rules)]');
}

/** Of a picture or a page, the words that a person reads, without what draws them. */
function wordsIn(name: string, text: string): string {
  if (!/\.(svg|html)$/.test(name)) return text;
  const words = text.replaceAll(/<style>[\s\S]*?<\/style>/g, "").replaceAll(/<[^>]*>/g, "\n");
  return `(the words of it)\n${words.replaceAll(/\n\s*/g, "\n").trim()}\n`;
}

const names = readdirSync(pages).filter((name) => name !== "files.txt");
const all = new Map(names.map((name) => [name, entriesOf(readFileSync(pages + name, "utf8"))]));

describe.each(names)("%s", (name) => {
  const entries = all.get(name) ?? [];
  const answers = new Map<string, string>();

  test.each(entries)("$line", async ({ line, answer }) => {
    const found = await answerOf(line);
    // Such an answer is never right, and must not come into a page.
    expect(found).not.toContain("itself failed");
    answers.set(line, found);
    if (process.env["CVSET_UPDATE"] !== "1") expect(found).toBe(answer);
  });

  test.runIf(process.env["CVSET_UPDATE"] === "1")("is written anew", () => {
    const text = readFileSync(pages + name, "utf8");
    const parts = text.split(/^(?=\$ )/m).map((part) => {
      const [, line = "", answer = "", rest = ""] =
        /^\$ (.*)\n([\s\S]*?^= \d\n)?([\s\S]*)$/m.exec(part) ?? [];
      return part.startsWith("$ ") ? `$ ${line}\n${answers.get(line) ?? answer}${rest || "\n"}` : part;
    });
    writeFileSync(pages + name, parts.join(""));
  });
});

const lines = [...all.values()].flat().map(({ line }) => commandLine(line).args);

/** The options of a command line by their names, with their values. */
function givenOptions(
  args: readonly string[],
  options: Readonly<Record<string, Option>>,
): [string, string][] {
  return args.flatMap((word, i): [string, string][] =>
    Object.entries(options)
      .filter(([key, { short }]) =>
        [`--${key}`, ...(short ? [`-${short}`] : [])].includes(word.split("=")[0] ?? ""),
      )
      .map(([key]) => [key, word.split("=")[1] ?? args[i + 1] ?? ""]),
  );
}

describe("nothing is left out:", () => {
  test.each(verbNames)("every option of %s, each of its words, and its help", async (name) => {
    const [, verb] = (await allVerbs()).find(([one]) => one === name) ?? [];
    if (!verb) throw new Error(`there is no verb ${name}`);
    const options = optionsOf(verb);
    const used = lines.filter(([one]) => one === name).flatMap((args) => givenOptions(args, options));
    for (const [key, option] of Object.entries(options)) {
      const values = used.filter(([one]) => one === key).map(([, value]) => value);
      expect(values.length, `--${key}`).toBeGreaterThan(0);
      for (const word of option.kind === "words" ? option.words : [])
        expect(values, `--${key}`).toContain(word);
    }
  });

  // Verbs that read files, each with every kind of file.
  const special = [
    "teal-q1.json",
    "decisions.json",
    "steps.csv",
    "driven.txt",
    "slow.jsonl",
    "gong.txt",
    "answered.json",
    "quiet.json",
    "wren-w1.json",
    "twins.csv",
    "plug-in.mjs",
  ];
  const kinds = [...given.keys(), "yard", "nothing.txt", "-"].filter(
    (name) => !/^(yard|papers|more)\//.test(name) && !special.includes(name),
  );
  const verbs = verbNames.filter((name) => !["demo", "address", "completion"].includes(name));

  test.each(verbs)("%s with every kind of file", (name) => {
    const used = lines.filter(([one]) => one === name).flat();
    for (const kind of kinds) expect(used).toContain(kind);
  });
});
