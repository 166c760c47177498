import { existsSync, readFileSync, writeFileSync } from "node:fs";
import ts from "typescript";
import { describe, expect, test } from "vitest";
import packageJson from "../../package.json" with { type: "json" };
import { root } from "../support/tree.js";

// The public face: every export of every entry point with its type, in a text file an entry beside this test,
// so that a change of it shows in review. CVSET_UPDATE=1 writes the files anew; otherwise they are compared.

const entries = Object.keys(packageJson.exports)
  .filter((name) => !name.endsWith(".json"))
  .map((name) => (name === "." ? "cvset" : name.slice(2)));
const fileOf = (entry: string): string => `${root}src/${entry === "cvset" ? "" : `${entry}/`}index.ts`;

const program = ts.createProgram(entries.map(fileOf), {
  target: ts.ScriptTarget.ES2022,
  module: ts.ModuleKind.NodeNext,
  moduleResolution: ts.ModuleResolutionKind.NodeNext,
  strict: true,
  exactOptionalPropertyTypes: true,
  noUncheckedIndexedAccess: true,
  skipLibCheck: true,
});
const checker = program.getTypeChecker();
const printer = ts.createPrinter({ removeComments: true });

/** The exports of an entry point, one a paragraph, by name. */
function faceOf(entry: string): string[] {
  const file = program.getSourceFile(fileOf(entry));
  const module = file && checker.getSymbolAtLocation(file);
  if (!module) throw new Error(`${entry} is not a module`);
  return checker
    .getExportsOfModule(module)
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .map((symbol) => {
      const target = symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol;
      return declared(target, symbol.name);
    });
}

function declared(symbol: ts.Symbol, name: string): string {
  const declarations = symbol.declarations ?? [];
  const first = declarations[0];
  if (first && (ts.isInterfaceDeclaration(first) || ts.isTypeAliasDeclaration(first))) return print(first);
  if (first && ts.isClassDeclaration(first)) return classFace(first, symbol);
  const type = checker.getTypeOfSymbol(symbol);
  const text = checker.typeToString(
    type,
    first,
    ts.TypeFormatFlags.NoTruncation | ts.TypeFormatFlags.WriteArrowStyleSignature,
  );
  // The options of a codec of the standard are told by its tables and tests; its size is no news here.
  return `const ${name}: ${text.length > 400 ? `${text.slice(0, 400)} ...` : text}`;
}

function classFace(declaration: ts.ClassDeclaration, symbol: ts.Symbol): string {
  const shown = (node: ts.Node): boolean =>
    !ts.getJSDocTags(node).some(({ tagName }) => tagName.text === "internal") &&
    !(
      ts.canHaveModifiers(node) &&
      ts.getModifiers(node)?.some(({ kind }) => kind === ts.SyntaxKind.PrivateKeyword)
    );
  const members = declaration.members
    .filter((member) => member.name && !ts.isPrivateIdentifier(member.name) && shown(member))
    .map((member) => {
      const isStatic = ts.canHaveModifiers(member)
        ? ts.getModifiers(member)?.some(({ kind }) => kind === ts.SyntaxKind.StaticKeyword)
        : false;
      const found = checker.getSymbolAtLocation(member.name as ts.Node);
      const type = found
        ? checker.typeToString(checker.getTypeOfSymbol(found), member, ts.TypeFormatFlags.NoTruncation)
        : "";
      return `  ${isStatic ? "static " : ""}${(member.name as ts.Node).getText()}: ${type};`;
    });
  return `class ${symbol.name} {\n${members.join("\n")}\n}`;
}

const print = (node: ts.Node): string =>
  printer.printNode(ts.EmitHint.Unspecified, node, node.getSourceFile()).replace(/^export (declare )?/, "");

describe("the public face", () => {
  test.each(entries)("%s is as it was reviewed", (entry) => {
    const path = `${root}tests/face/${entry}.txt`;
    const face = faceOf(entry);
    const text = `${face.length} exports\n\n${face.join("\n\n")}\n`;
    if (process.env["CVSET_UPDATE"] === "1") writeFileSync(path, text);
    expect(existsSync(path) ? readFileSync(path, "utf8") : "").toBe(text);
  });

  test("no type in it is any", () => {
    const isAny = (text: string): boolean => /[:<,(|] ?any\b(?!\[?["'])/.test(text);
    expect(
      ["const a: any", "(a: any) => void", "Map<string, any>", "string | any", "Set<any>"].filter(isAny)
        .length,
    ).toBe(5);
    const found = entries.flatMap((entry) => faceOf(entry).filter(isAny));
    expect(found).toEqual([]);
  });
});
