// What an editor shows of a description, from the declarations of the build: the settings, and nothing of the machinery.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";
import { describe, expect, test } from "vitest";

const root = fileURLToPath(new URL("../..", import.meta.url));
const name = join(root, "__hovers.ts");
const code = `
import { choice, cv, CvSet, CvPatch, defineDecoder, flag, level, record, type SettingsOf, switched } from "cvset";
import { address, locomotive, nmra } from "cvset/standard";
const drains = switched(cv(250).bit(3), record({ seconds: level(cv(251), { unit: "s", min: 1, max: 60 }) }));
const front = record({
  effect: choice(cv(252).bits(0, 4), { steady: 0, flicker: 9 }),
  ledCorrection: flag(cv(252).bit(7)),
});
const decoder = defineDecoder({
  id: "example-x1", name: "Example X1", kind: "multifunction",
  features: { ...locomotive, drains, front },
});
const settings = decoder.decode(CvSet.empty);
const lit = settings.front;
const drained = settings.drains;
const where = settings.address;
const given: Parameters<typeof decoder.encode>[0] = {};
const givenDrains = given.drains;
const standard = nmra;
const wherever = address;
decoder.encode({ drains: 3 });
decoder.encode({ front: { effect: "bright" } });
decoder.encode({ font: {} });
const places = cv(1);
const run = cv(1).through(3);
const patch = CvPatch.from({});
const set = CvSet.empty;
`;
const options: ts.CompilerOptions = {
  target: ts.ScriptTarget.ES2022,
  module: ts.ModuleKind.NodeNext,
  moduleResolution: ts.ModuleResolutionKind.NodeNext,
  strict: true,
  exactOptionalPropertyTypes: true,
  types: [],
  paths: { cvset: [join(root, "dist/index.d.ts")], "cvset/*": [join(root, "dist/*.d.ts")] },
};
let text = code;
const service = ts.createLanguageService({
  getScriptFileNames: () => [name],
  getScriptVersion: () => String(text.length),
  getScriptSnapshot: (file) =>
    file === name || ts.sys.fileExists(file)
      ? ts.ScriptSnapshot.fromString(file === name ? text : (ts.sys.readFile(file) ?? ""))
      : undefined,
  getCurrentDirectory: () => root,
  getCompilationSettings: () => options,
  getDefaultLibFileName: (all) => ts.getDefaultLibFilePath(all),
  fileExists: (file) => file === name || ts.sys.fileExists(file),
  readFile: ts.sys.readFile,
});

/** What a hover over a constant shows, on one line. */
function hover(constant: string): string {
  text = code;
  const parts = service.getQuickInfoAtPosition(name, code.indexOf(`const ${constant} `) + 6)?.displayParts;
  return ts.displayPartsToString(parts).replace(/\s+/g, " ");
}

/** What is offered after a constant and a full stop. */
function offered(constant: string): string[] {
  text = `${code}${constant}.`;
  return (service.getCompletionsAtPosition(name, text.length, {})?.entries ?? []).map((entry) => entry.name);
}

test("the declarations of the build are there", () => {
  expect(existsSync(join(root, "dist/index.d.ts")), "npm run build").toBe(true);
});

describe("a hover shows the settings", () => {
  test("of a lamp, of something that is switched, and of an address", () => {
    expect(hover("lit")).toBe(
      'const lit: { readonly effect: "steady" | "flicker"; readonly ledCorrection: boolean; }',
    );
    expect(hover("drained")).toBe('const drained: { readonly seconds: number; } | "off"');
    expect(hover("givenDrains")).toBe(
      'const givenDrains: { readonly seconds?: number; } | "off" | undefined',
    );
    expect(hover("where")).toBe(
      'const where: { readonly number: number | "alternate-power"; readonly kind: "primary"; } | { readonly number: number; readonly kind: "extended"; }',
    );
    expect(hover("front")).toBe(
      'const front: Codec<{ readonly effect: "steady" | "flicker"; readonly ledCorrection: boolean; }, { readonly effect?: "steady" | "flicker"; readonly ledCorrection?: boolean; }>',
    );
  });

  test.each([
    ["wherever", 290],
    ["decoder", 760],
    ["standard", 760],
  ])("of %s in at most %i characters", (constant, most) => {
    const shown = hover(constant);
    expect(shown.length).toBeGreaterThan(100);
    expect(shown.length).toBeLessThanOrEqual(most);
    expect(shown).not.toMatch(/RecordValue|RecordInput|NonNullable|import\(/);
    expect(shown.match(/Codec</g) ?? []).toHaveLength(constant === "wherever" ? 1 : 0);
  });
});

test("a compile error shows the settings", () => {
  text = code;
  const errors = service
    .getSemanticDiagnostics(name)
    .map(({ messageText }) => ts.flattenDiagnosticMessageText(messageText, " "));
  expect(errors.slice(0, 2)).toEqual([
    `Type 'number' is not assignable to type '{ readonly seconds?: number; } | "off"'.`,
    `Type '"bright"' is not assignable to type '"steady" | "flicker" | undefined'.`,
  ]);
  expect(errors).toHaveLength(3);
  expect(errors[2]).toContain("'font' does not exist in type");
});

test("what is internal is not offered", () => {
  expect(offered("front")).toEqual(["about", "bits", "data", "decode", "encode", "kind", "places", "tryDecode", "tryEncode"]); // biome-ignore format: one line
  expect(offered("decoder")).toEqual(["bits", "decode", "defaults", "encode", "features", "featuresOf", "id", "kind", "name", "note", "patch", "rules", "tryDecode", "tryEncode"]); // biome-ignore format: one line
  for (const constant of ["places", "run", "patch", "set"]) {
    const names = offered(constant);
    expect(names.length).toBeGreaterThan(2);
    for (const internal of ["parts", "key", "image", "entries", "spec"])
      expect(names).not.toContain(internal);
  }
});

test("nothing is made with `new` that has a function for it", () => {
  text = `${code}new CvSet();`;
  const errors = service.getSemanticDiagnostics(name).map(({ messageText }) => messageText);
  expect(errors).toContain(
    "Constructor of class 'CvSet' is protected and only accessible within the class declaration.",
  );
});
