import { cpSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import ts from "typescript";
import { afterAll, describe, expect, test } from "vitest";
import { root } from "../support/tree.js";

// The ESM build, the CJS build and a second copy of the ESM build in one program, each with classes of its own: what one
// makes works in the others.

type Package = typeof import("cvset") &
  Pick<typeof import("cvset/standard"), "addressInUse" | "nmra" | "reservedUse" | "withoutAliases"> &
  Pick<typeof import("cvset/check"), "checkFleet" | "checkSet" | "ruleList"> &
  Pick<typeof import("cvset/plan"), "outcome" | "plan" | "planSequences" | "resume" | "verify"> &
  Pick<typeof import("cvset/meaning"), "meaningsOf" | "translate"> &
  Pick<
    typeof import("cvset/motion"),
    "driveLevels" | "estimateResponse" | "matchSpeeds" | "predictSpeeds" | "SpeedResponse"
  > &
  Pick<typeof import("cvset/sheet"), "setUpSheet" | "sheetHtml"> &
  Pick<typeof import("cvset/simulator"), "SimulatedDecoder"> &
  Pick<typeof import("cvset/connection"), "carryOut" | "readOut" | "simulatedConnection"> &
  Pick<typeof import("cvset/files"), "writeCvSet"> &
  Pick<typeof import("cvset/testing"), "checkCodecLaws">;

const names = [
  "index",
  "standard",
  "check",
  "plan",
  "meaning",
  "motion",
  "sheet",
  "simulator",
  "connection",
  "files",
  "testing",
];
// Below node_modules, since vitest leaves what is there to Node.
const copy = mkdtempSync(join(tmpdir(), "cvset-copy-"));
const [first, second] = ["first", "second"].map((name) => {
  const folder = join(copy, "node_modules", name);
  cpSync(`${root}dist`, join(folder, "dist"), { recursive: true });
  writeFileSync(join(folder, "package.json"), '{ "type": "module" }');
  return `${join(folder, "dist")}/`;
}) as [string, string];
symlinkSync(`${root}node_modules/fast-check`, join(copy, "node_modules/fast-check"), "junction");
writeFileSync(join(copy, "package.json"), '{ "type": "module" }');
afterAll(() => rmSync(copy, { recursive: true }));

const load = (parts: readonly object[]): Package => Object.assign({}, ...parts) as Package;
const imported = async (folder: string): Promise<Package> =>
  load(
    await Promise.all(
      names.map(
        (name) => import(/* @vite-ignore */ pathToFileURL(`${folder}${name}.js`).href) as Promise<object>,
      ),
    ),
  );

const esm = await imported(first);
const again = await imported(second);
const require = createRequire(import.meta.url);
const cjs = load(names.map((name) => require(`${first}${name}.cjs`) as object));

function decoderOf({ choice, cv, defineDecoder, flag, level, record, switched, table }: Package) {
  return defineDecoder({
    id: "example-x1",
    name: "Example X1",
    kind: "multifunction",
    features: {
      whistle: choice(cv(218), { low: { value: 2, means: "whistle" }, high: 5 }),
      drains: switched(
        cv(252).bit(1),
        record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
      ),
      notches: table(cv(120).through(123), { max: 9 }),
      lamp: flag(cv(216).bit(5)),
    },
    factory: { 3: 5, 29: 6, 120: 1, 121: 2, 122: 3, 123: 4, 218: 2, 216: 0, 249: 26, 252: 0 },
  });
}

describe.each([
  ["what CJS makes, in ESM", cjs, esm],
  ["what ESM makes, in CJS", esm, cjs],
  ["what a second copy makes, in ESM", again, esm],
] as const)("%s", (_, theirs, ours) => {
  const decoder = decoderOf(theirs);
  const own = decoderOf(ours);
  const settings = { whistle: "high", drains: { seconds: 12 }, lamp: true } as const;
  const cvs = decoder.encode(settings);
  const patch = decoder.patch(settings);
  const same = ours.CvSet.from(cvs.toJSON());

  test("the classes differ, and instanceof knows their values", () => {
    expect(theirs.CvSet).not.toBe(ours.CvSet);
    expect(cvs instanceof ours.CvSet && patch instanceof ours.CvPatch).toBe(true);
    let thrown: unknown;
    try {
      theirs.cv(0);
    } catch (error) {
      thrown = error;
    }
    expect(thrown instanceof ours.CvError).toBe(true);
    class Narrow extends ours.CvError {}
    expect(thrown instanceof Narrow).toBe(false);
    expect(new Narrow([]) instanceof ours.CvError).toBe(true);
    expect({} instanceof ours.CvSet).toBe(false);
  });

  test("sets and patches", () => {
    expect(same.equals(cvs) && cvs.equals(same)).toBe(true);
    expect(same.equals(cvs.with(29, 7))).toBe(false);
    expect(ours.CvSet.from(cvs).equals(same)).toBe(true);
    expect(own.defaults().apply(patch).equals(same)).toBe(true);
    expect(ours.CvPatch.from(patch).toJSON()).toEqual(patch.toJSON());
    const more = ours.CvPatch.from({ cvs: { 3: 9 } });
    expect(more.followedBy(patch).toJSON()).toEqual({
      ...patch.toJSON(),
      cvs: { "3": 9, ...patch.toJSON().cvs },
    });
    expect(ours.writeCvSet({ cvs }, "list")).toBe(ours.writeCvSet({ cvs: same }, "list"));
  });

  test("encoding and decoding", () => {
    expect(own.decode(cvs)).toEqual(decoder.decode(cvs));
    expect(own.encode({ lamp: false }, cvs).toJSON()).toEqual(decoder.encode({ lamp: false }, cvs).toJSON());
    expect(own.tryDecode(cvs.without(216))).toEqual(own.tryDecode(same.without(216)));
    for (const [name, codec] of Object.entries(own.features)) {
      expect(codec.decode(cvs), name).toEqual(codec.decode(same));
    }
  });

  test("codecs and places within codecs and decoders", () => {
    const { notches, lamp } = decoder.features;
    const inner = ours.record({ notches, lamp, more: ours.level(theirs.cv(200)) });
    expect(inner.encode({ notches: [1, 2, 3, 4], lamp: true, more: 7 }).toJSON().cvs).toEqual({
      "120": 1,
      "121": 2,
      "122": 3,
      "123": 4,
      "200": 7,
    });
    const bad = inner.tryEncode({ notches: [1, 2, 3, 77], lamp: "x" });
    expect(!bad.ok && bad.issues.map(({ path, code }) => `${path}: ${code}`)).toEqual([
      "notches.3: range",
      "lamp: expected-boolean",
    ]);
    expect(ours.switched(theirs.cv(5).bit(0), lamp).bits).toHaveLength(2);
    expect(ours.cv(17).with(theirs.cv(18)).toJSON()).toEqual(theirs.cv(17).with(theirs.cv(18)).toJSON());
    expect(ours.jsonOf(lamp)).toEqual(theirs.jsonOf(lamp));
    expect(ours.schemaOf(notches)).toEqual(theirs.schemaOf(notches));
    expect(Object.keys(ours.partsOf(inner))).toEqual(["notches", "lamp", "more"]);
  });

  test("explanations, differences, descriptions", () => {
    expect(ours.explain(decoder, cvs)).toEqual(theirs.explain(decoder, cvs));
    expect(ours.diff(decoder, decoder.defaults(), cvs)).toEqual(
      theirs.diff(decoder, decoder.defaults(), cvs),
    );
    expect(ours.describe(decoder)).toEqual(theirs.describe(decoder));
    expect(ours.settingsSchema(decoder)).toEqual(theirs.settingsSchema(decoder));
    expect(ours.linesOf(decoder.features.drains, cvs)).toEqual(theirs.linesOf(decoder.features.drains, cvs));
  });

  test("checks", async () => {
    const findings = theirs.checkSet(cvs, { decoder, file: "a" });
    expect(ours.checkSet(cvs, { decoder, file: "a" })).toEqual(findings);
    expect(findings.map(({ rule }) => rule)).not.toContain("undecodable");
    const members = [
      { file: "a", cvs: cvs.with(1, 3), decoder },
      { file: "b", cvs: same.with(1, 3), decoder: own },
    ];
    const all = async ({ checkFleet }: Package) => {
      const found = [];
      for await (const finding of checkFleet(members)) found.push(finding);
      return found;
    };
    const found = await all(ours);
    expect(found.map(({ rule }) => rule)).toContain("same-address");
    expect(found).toEqual(await all(theirs));
    expect(ours.ruleList(undefined, [decoder])).toEqual(theirs.ruleList(undefined, [decoder]));
  });

  test("the standard", () => {
    const { nmra } = theirs;
    const full = nmra.defaults().with(29, 6);
    expect(ours.addressInUse(full)).toEqual({ kind: "primary", number: 3 });
    expect(ours.reservedUse(full.with(20, 1))).toHaveLength(1);
    expect(ours.reservedUse(full.with(20, 1))).toEqual(theirs.reservedUse(full.with(20, 1)));
    expect(ours.withoutAliases(full).equals(full)).toBe(true);
    expect(ours.nmra.tryDecode(full)).toEqual(nmra.tryDecode(full));
    const levels = full.with(2, 10).with(5, 200).with(6, 80);
    expect(ours.driveLevels(levels)).toEqual(theirs.driveLevels(levels));
  });

  test("plans, and proof of them", () => {
    const plan = theirs.plan(decoder.defaults(), cvs, { decoder });
    expect(JSON.stringify(ours.plan(decoder.defaults(), cvs, { decoder }))).toBe(JSON.stringify(plan));
    expect(JSON.stringify(ours.plan(decoder.defaults(), patch, { decoder }))).toBe(JSON.stringify(plan));
    expect(ours.planSequences(plan)).toEqual(theirs.planSequences(plan));
    expect(ours.outcome(plan).toJSON()).toEqual(theirs.outcome(plan).toJSON());
    expect(ours.resume(plan, cvs, { decoder }).steps).toEqual([]);
    for (const wanted of [plan, cvs, patch]) {
      expect(ours.verify(wanted, cvs, { decoder }).ok).toBe(true);
      expect(ours.verify(wanted, decoder.defaults(), { decoder })).toEqual(
        theirs.verify(wanted, decoder.defaults(), { decoder }),
      );
    }
  });

  test("a simulated decoder, read out and written", async () => {
    const simulated = new theirs.SimulatedDecoder(decoder, decoder.defaults());
    const track = ours.simulatedConnection(simulated);
    const quick = { pause: 0 };
    const plan = theirs.plan(decoder.defaults(), cvs, { decoder });
    const result = await ours.carryOut(plan, track, { ...quick, from: decoder.defaults(), decoder });
    expect([result.done, simulated.cvs.equals(cvs)]).toEqual(["proved", true]);
    const read = await ours.readOut(track, decoder, quick);
    expect(read.cvs.equals(cvs)).toBe(true);
  });

  test("meanings, sheets, speeds, laws", () => {
    expect(ours.translate(cvs, decoder, own)).toEqual(ours.translate(same, own, own));
    const paths = ["whistle", "drains", "drains.seconds", "notches", "lamp"];
    expect(ours.meaningsOf(decoder).map(({ path }) => path)).toEqual(paths);
    expect(theirs.meaningsOf(decoder).map(({ path }) => path)).toEqual(paths);
    const sheets = [theirs.setUpSheet({ cvs, decoder })];
    expect(ours.setUpSheet({ cvs, decoder })).toEqual(sheets[0]);
    expect(ours.sheetHtml(sheets)).toBe(theirs.sheetHtml(sheets));
    const response = theirs.estimateResponse([
      { level: 15, speed: 1 },
      { level: 135, speed: 13 },
      { level: 255, speed: 25 },
    ]);
    expect(response instanceof ours.SpeedResponse).toBe(true);
    expect(ours.predictSpeeds([20, 200], response)).toEqual(theirs.predictSpeeds([20, 200], response));
    const request = { target: "slowest" as const, locomotives: [{ name: "Mogul", forward: response }] };
    expect(JSON.stringify(ours.matchSpeeds(request))).toBe(JSON.stringify(theirs.matchSpeeds(request)));
    ours.checkCodecLaws(decoder, { runs: 20, seed: 1 });
    ours.checkCodecLaws(decoder.features.drains, { runs: 20, seed: 1 });
  });
});

describe("types", () => {
  /** What the compiler says about a program that uses one build's values in the other. */
  function complaints(extension: "mts" | "cts", other: "cjs" | "js", body: string): string[] {
    const file = join(copy, `program.${extension}`);
    const load = (name: string): string => `import * as ${name === "index" ? "own" : name}`;
    const ownExtension = extension === "mts" ? "js" : "cjs";
    const lines = ["index", "check", "plan"].flatMap((name) => [
      `${load(name)} from "./node_modules/first/dist/${name}.${ownExtension}";`,
      extension === "mts"
        ? `import ${name}Other from "./node_modules/first/dist/${name}.${other}";`
        : `import type * as ${name}OtherTypes from "./node_modules/first/dist/${name}.${other}" with { "resolution-mode": "import" };\ndeclare const ${name}Other: typeof ${name}OtherTypes;`,
    ]);
    writeFileSync(file, `${lines.join("\n")}\n${body}`);
    const program = ts.createProgram([file], {
      target: ts.ScriptTarget.ES2022,
      module: ts.ModuleKind.NodeNext,
      moduleResolution: ts.ModuleResolutionKind.NodeNext,
      strict: true,
      noEmit: true,
      skipLibCheck: true,
      types: [],
    });
    return ts
      .getPreEmitDiagnostics(program)
      .map(({ messageText }) => ts.flattenDiagnosticMessageText(messageText, " "));
  }

  const body = `
    const theirs = indexOther.defineDecoder({ id: "x", name: "X", kind: "multifunction",
      features: { on: indexOther.flag(indexOther.cv(29).bit(0)), table: indexOther.table(indexOther.cv(67).through(94)) } });
    const cvs: own.CvSet = indexOther.CvSet.from({ 29: 6 });
    const patch: own.CvPatch = indexOther.CvPatch.from({});
    const place: own.Place = indexOther.cv(29).bit(5);
    const error: own.CvError = new indexOther.CvError([]);
    const codec: own.Codec<boolean> = indexOther.flag(indexOther.cv(29).bit(0));
    const decoder: own.AnyDecoder = theirs;
    check.checkSet(cvs, { decoder: theirs });
    plan.verify(planOther.plan(cvs, patch, { decoder: theirs }), cvs, { decoder });
    plan.planSequences(planOther.plan(cvs, patch));
    own.record({ inner: codec, on: theirs.features.on });
    own.explain(theirs, cvs).settings.on satisfies boolean | undefined;
    own.flag(place);
    cvs.apply(patch).equals({ 29: 6 });
    void [error, checkOther];
  `;

  test.each([
    ["mts", "cjs"],
    ["cts", "js"],
  ] as const)("a program in .%s takes the values of .%s", (extension, other) => {
    expect(complaints(extension, other, body)).toEqual([]);
  });

  test("what is none of them is refused", () => {
    expect(complaints("mts", "cjs", "own.explain({ features: {} }, indexOther.CvSet.from({}));")).toEqual([
      expect.stringContaining("'{ features: {}; }' is not assignable to parameter of type 'Decoder<"),
    ]);
  });
});
