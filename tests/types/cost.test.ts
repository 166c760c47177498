import { join } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";
import { expect, test } from "vitest";

const root = fileURLToPath(new URL("../..", import.meta.url));

/** A decoder of so many features, of every kind in turn, and some use of it. */
function source(count: number): string {
  const kinds = [
    (n: number) =>
      `choice(cv(${n}), { "one-note": 6, "three-chime": { value: 5, label: "Three" }, off: 255 })`,
    (n: number) => `level(cv(${n}), { unit: "s", min: 1, max: 60, names: { never: 0 } })`,
    (n: number) => `flag(cv(${n}).bit(3))`,
    (n: number) =>
      `record({ effect: choice(cv(${n}).bits(1, 4), { plain: 7, flickers: 2 }), led: flag(cv(${n}).bit(5)) })`,
    (n: number) => `switched(cv(${n}).bit(0), record({ seconds: level(cv(${n}).bits(1, 7)) }))`,
    (n: number) => `flags(cv(${n}), [1, 2, 3, 4, 5, 6, 7, 8])`,
    (n: number) =>
      `variant(cv(${n}).bit(0), { a: { value: 0, fields: { x: flag(cv(${n}).bit(1)) } }, b: { value: 1, fields: {} } })`,
    (n: number) => `converted(level(cv(${n}), { max: 3 }), [[0, "empty"], [3, "full"]])`,
  ];
  const features = Array.from(
    { length: count },
    (_, i) => `    feature${i}: ${kinds[i % kinds.length]?.(i + 1)},`,
  );
  return `import { choice, converted, cv, CvSet, defineDecoder, flag, flags, level, record, type SettingsOf, switched, variant } from "cvset";
const decoder = defineDecoder({
  id: "large", name: "Large", kind: "multifunction",
  features: {
${features.join("\n")}
  },
});
const settings: SettingsOf<typeof decoder> = decoder.decode(CvSet.empty);
decoder.encode({ ...settings, feature0: "one-note" });
decoder.encode({ feature${count - 8}: "three-chime", feature3: { led: true } });
export const whistle: "one-note" | "three-chime" | "off" = settings.feature0;
`;
}

/** How many types the compiler makes for a file, over those that the library alone takes. */
function instantiations(code: string): { readonly count: number; readonly problems: readonly string[] } {
  const config = ts.readConfigFile(join(root, "tsconfig.json"), ts.sys.readFile);
  const { options } = ts.parseJsonConfigFileContent(config.config, ts.sys, root);
  const name = join(root, "__cost.ts");
  const host = ts.createCompilerHost(options, true);
  const { getSourceFile, fileExists } = host;
  host.fileExists = (file) => file === name || fileExists(file);
  host.getSourceFile = (file, version, ...rest) =>
    file === name ? ts.createSourceFile(name, code, version, true) : getSourceFile(file, version, ...rest);
  const program = ts.createProgram([name], options, host);
  const file = program.getSourceFile(name);
  const problems = program
    .getSemanticDiagnostics(file)
    .map(({ messageText }) => ts.flattenDiagnosticMessageText(messageText, " "));
  return { count: program.getInstantiationCount(), problems };
}

test("a decoder of 200 features costs the compiler no more than it did", () => {
  const small = instantiations(source(8));
  const large = instantiations(source(200));
  expect([...small.problems, ...large.problems]).toEqual([]);
  const each = (large.count - small.count) / 192;
  // Measured with TypeScript 6.0: 13,326 in all, 64 a feature. Allowed is 10 % more.
  expect(large.count).toBeLessThan(14_660);
  expect(each).toBeLessThan(70);
  // A count of nothing would be a budget that cannot be exceeded.
  expect(each).toBeGreaterThan(5);
});
