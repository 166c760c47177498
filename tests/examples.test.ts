// Every example of the docstrings, the README and the docs is type-checked and executed. A line
// `expression; // expected` is compared with the JavaScript literal behind the slashes, which may also
// stand in lines of comment below. A block without any such line fails, unless it is marked
// "```ts no-check REASON" (only in Markdown).
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";
import { describe, expect, test } from "vitest";

const root = fileURLToPath(new URL("..", import.meta.url));

interface Example {
  /** File and line, for people. */
  readonly where: string;
  readonly file: string;
  readonly code: string;
  readonly mustCheck: boolean;
  /** Why it is not checked, where it is not. */
  readonly reason: string;
}

function filesBelow(folder: string, ending: string): string[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(ending))
    .map((name) => join(folder, name))
    .sort();
}

const lineOf = (text: string, index: number): number => text.slice(0, index).split("\n").length;

/** The `@example` blocks of all docstrings of a file. */
function docExamples(file: string): Example[] {
  const text = readFileSync(file, "utf8");
  const found: Example[] = [];
  for (const comment of text.matchAll(/\/\*\*[\s\S]*?\*\//g)) {
    const body = comment[0].slice(3, -2).replace(/^[ \t]*\*[ \t]?/gm, "");
    for (const block of body.matchAll(/^@example\b(.*(?:\n(?!@\w).*)*)/gm)) {
      const code = (block[1] ?? "").replace(/^\s*```(?:ts|typescript)?\s*$/gm, "");
      const line = lineOf(text, comment.index ?? 0) + lineOf(body, block.index ?? 0) - 1;
      found.push({ where: `${relative(root, file)}:${line}`, file, code, mustCheck: true, reason: "" });
    }
  }
  return found;
}

/** The blocks of a Markdown file that are marked `ts`. */
function markdownExamples(file: string): Example[] {
  const text = readFileSync(file, "utf8");
  return [...text.matchAll(/^```ts\b([^\n]*)\n([\s\S]*?)^```/gm)].map((block) => {
    const [, info = "", code = ""] = block;
    const [, reason = ""] = /^\s*no-check\b\s*(.*)$/.exec(info) ?? [];
    const where = `${relative(root, file)}:${lineOf(text, block.index ?? 0)}`;
    return { where, file, code, mustCheck: !/\bno-check\b/.test(info), reason };
  });
}

const examples = [
  ...filesBelow(join(root, "src"), ".ts").flatMap(docExamples),
  ...[join(root, "README.md"), ...filesBelow(join(root, "docs"), ".md")]
    .filter((file) => !relative(root, file).startsWith(join("docs", "reference")))
    .flatMap(markdownExamples),
];

/** The code with each checked line turned into a call, and how many there are. */
function instrumented(code: string): { readonly code: string; readonly checks: number } {
  const source = ts.createSourceFile("example.ts", code, ts.ScriptTarget.ES2022, true);
  const edits: { readonly from: number; readonly to: number; readonly text: string }[] = [];
  for (const statement of source.statements) {
    if (!ts.isExpressionStatement(statement)) continue;
    const expected = literalBehind(code, statement.end);
    if (expected === undefined) continue;
    const { expression } = statement;
    const from = statement.getStart(source);
    edits.push({ from, to: statement.end, text: `__check(${expression.getText(source)}, (${expected}));` });
  }
  let out = code;
  for (const { from, to, text } of edits.reverse()) out = out.slice(0, from) + text + out.slice(to);
  return { code: out, checks: edits.length };
}

/** The literal in the comment behind a statement, on its line or alone on the lines below. */
function literalBehind(code: string, end: number): string | undefined {
  const comment = /^[ \t]*\n?[ \t]*\/\/[ \t]?(.*(?:\n[ \t]*\/\/.*)*)/.exec(code.slice(end));
  if (!comment?.[1]) return undefined;
  const lines = comment[1].split("\n").map((line) => line.replace(/^\s*\/\/\s?/, ""));
  // The literal may be followed by more comment: the longest beginning that is a literal counts.
  for (let count = lines.length; count > 0; count--) {
    const text = lines.slice(0, count).join("\n");
    if (isLiteral(text)) return text;
  }
  return undefined;
}

function isLiteral(text: string): boolean {
  const source = ts.createSourceFile("literal.ts", `(${text}\n)`, ts.ScriptTarget.ES2022, true);
  const [statement, ...others] = source.statements;
  const errors = (source as unknown as { parseDiagnostics: readonly unknown[] }).parseDiagnostics;
  if (errors.length || others.length || !statement || !ts.isExpressionStatement(statement)) return false;
  const { expression } = statement;
  return ts.isParenthesizedExpression(expression) && isLiteralNode(expression.expression);
}

function isLiteralNode(node: ts.Expression): boolean {
  if (ts.isArrayLiteralExpression(node)) return node.elements.every(isLiteralNode);
  if (ts.isObjectLiteralExpression(node)) {
    return node.properties.every((one) => ts.isPropertyAssignment(one) && isLiteralNode(one.initializer));
  }
  if (ts.isPrefixUnaryExpression(node)) return ts.isNumericLiteral(node.operand);
  return (
    ts.isStringLiteral(node) ||
    ts.isNoSubstitutionTemplateLiteral(node) ||
    ts.isNumericLiteral(node) ||
    ts.isBigIntLiteral(node) ||
    [ts.SyntaxKind.TrueKeyword, ts.SyntaxKind.FalseKeyword, ts.SyntaxKind.NullKeyword].includes(node.kind) ||
    (ts.isIdentifier(node) && ["undefined", "NaN", "Infinity"].includes(node.text))
  );
}

/** Runs an example with `cvset` taken from the sources. */
async function run(code: string, check: (found: unknown, expected: unknown) => void): Promise<void> {
  const { outputText } = ts.transpileModule(code, {
    compilerOptions: {
      target: ts.ScriptTarget.ES2022,
      module: ts.ModuleKind.CommonJS,
      esModuleInterop: true,
    },
  });
  const modules: Record<string, unknown> = {};
  for (const [, name = ""] of outputText.matchAll(/require\("([^"]+)"\)/g)) {
    // A script in the top folder may import what the repository holds; all others only what is published.
    const file = /^\.\/(src\/demo\/[\w-]+)\.js$/.exec(name)?.[1];
    if (!file && !/^(cvset(\/\w+)?|fast-check|node:\w+)$/.test(name))
      throw new Error(`an example imports ${name}`);
    modules[name] = await import(/* @vite-ignore */ file ? join(root, `${file}.ts`) : name);
  }
  const require = (name: string): unknown => modules[name];
  const body = new Function(
    "require",
    "exports",
    "__check",
    `"use strict"; return (async () => {${outputText}\n})();`,
  );
  await body(require, {}, check);
}

test("there are examples, and each that is not checked says why", () => {
  expect(examples.length).toBeGreaterThan(60);
  for (const { where, mustCheck, reason } of examples) {
    if (!mustCheck) expect(reason.length, `${where} needs a reason behind "no-check"`).toBeGreaterThan(10);
  }
});

describe("examples give what they say", () => {
  test.each(examples.filter(({ mustCheck }) => mustCheck))("$where", async ({ code, where }) => {
    const example = instrumented(code);
    expect(example.checks, `${where} has no line "expression; // expected"`).toBeGreaterThan(0);
    let checked = 0;
    await run(example.code, (found, expected) => {
      checked++;
      expect(found).toEqual(expected);
    });
    expect(checked).toBe(example.checks);
  });
});

test("examples have no type error", () => {
  const config = ts.readConfigFile(join(root, "tsconfig.json"), ts.sys.readFile);
  const { options } = ts.parseJsonConfigFileContent(config.config, ts.sys, root);
  const folder = root;
  const sources = new Map(
    examples
      .filter(({ mustCheck }) => mustCheck)
      // Each is a module of its own, even when it imports nothing.
      .map(({ code }, i) => [join(folder, `__example${i}.ts`), `${code}\nexport {};\n`]),
  );
  const places = new Map(
    [...sources.keys()].map((name, i) => [name, examples.filter(({ mustCheck }) => mustCheck)[i]?.where]),
  );
  const host = ts.createCompilerHost(options, true);
  const { getSourceFile, fileExists, readFile } = host;
  host.fileExists = (name) => sources.has(name) || fileExists(name);
  host.readFile = (name) => sources.get(name) ?? readFile(name);
  host.getSourceFile = (name, version, ...rest) => {
    const text = sources.get(name);
    return text === undefined
      ? getSourceFile(name, version, ...rest)
      : ts.createSourceFile(name, text, version, true);
  };
  const program = ts.createProgram(
    [...sources.keys()],
    { ...options, noUncheckedIndexedAccess: false },
    host,
  );
  const problems = [...sources.keys()].flatMap((name) =>
    ts.getPreEmitDiagnostics(program, program.getSourceFile(name)).map(({ messageText, start = 0, file }) => {
      const line = (file?.getLineAndCharacterOfPosition(start).line ?? 0) + 1;
      return `${places.get(name)} line ${line}: ${ts.flattenDiagnosticMessageText(messageText, " ")}`;
    }),
  );
  expect(problems).toEqual([]);
});
