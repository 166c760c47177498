import { execFileSync, spawnSync } from "node:child_process";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { root } from "../support/tree.js";

// From an empty folder to a finished locomotive, with the package as it is published and nothing else.

const folder = newFolder();
const read = (name: string): string => readFileSync(join(folder, name), "utf8");

beforeAll(() => {
  const packed = newFolder();
  const npm = (args: readonly string[], cwd: string): string =>
    execFileSync("npm", [...args], { cwd, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
  const [{ filename }] = JSON.parse(
    npm(["pack", "--ignore-scripts", "--json", "--pack-destination", packed], root),
  );
  writeFileSync(join(folder, "package.json"), '{"private":true,"type":"module"}');
  npm(["install", "--offline", "--no-audit", "--no-fund", join(packed, filename)], folder);
}, 120_000);

/** Runs the installed command, in the folder. */
function cvset(...args: string[]): {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
} {
  const { status, stdout, stderr } = spawnSync(join(folder, "node_modules/.bin/cvset"), args, {
    cwd: folder,
    encoding: "utf8",
    env: { ...process.env, NO_COLOR: "1" },
  });
  return { status, stdout, stderr };
}

const quietly = { status: 0, stdout: "", stderr: "" };

test("nothing but the package is installed", () => {
  expect(readdirSync(join(folder, "node_modules")).filter((name) => !name.startsWith("."))).toEqual([
    "cvset",
  ]);
});

test("new, set, check, encode, plan", () => {
  expect(cvset("new", "quillback-s8", "--name", "No. 9", "--output", "no9.json")).toEqual(quietly);
  const set = cvset(
    "set",
    "no9.json",
    "address=1234",
    "analogue=no",
    "whistle=mill-hooter",
    "drains.seconds=12",
    "flanges.above=28",
  );
  expect(set).toMatchObject({ status: 0, stdout: "" });
  expect(set.stderr).toMatch(/^CV 17: 192 -> 196 .*address\.number: 3 -> 1234$/m);
  const check = cvset("check", "no9.json");
  expect(check.stdout).not.toMatch(/error|warning/);
  expect(check.status).toBe(0);
  expect(cvset("encode", "no9.json", "--output", "no9.cvs.json")).toEqual(quietly);
  expect(JSON.parse(read("no9.cvs.json"))).toMatchObject({ decoder: "quillback-s8", name: "No. 9" });
  expect(cvset("plan", "no9.json", "--json", "--output", "plan.json")).toEqual(quietly);
  expect(JSON.parse(read("plan.json")).steps.length).toBeGreaterThan(90);
});

test("a mistake is told, and costs nothing", () => {
  const before = read("no9.cvs.json");
  const good = read("no9.json");
  writeFileSync(join(folder, "no9.json"), good.replace('"mill-hooter"', '"mill-hooters"'));
  const { status, stdout, stderr } = cvset("encode", "no9.json", "--output", "no9.cvs.json");
  expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
  expect(stderr).toMatch(/^no9\.json:\d+:\d+: whistle: "mill-hooters" is not an option; .*"mill-hooter"/);
  expect(read("no9.cvs.json")).toBe(before);
  writeFileSync(join(folder, "no9.json"), good);
});

test("the writes go into a decoder, which is read back", () => {
  expect(cvset("describe", "quillback-s8", "--json", "--output", "quillback-s8.json")).toEqual(quietly);
  writeFileSync(
    join(folder, "track.js"),
    `import { readFileSync, writeFileSync } from "node:fs";
import { decoderFromJson } from "cvset";
import { accessSequence, openingSequence } from "cvset/packets";
import { SimulatedDecoder } from "cvset/simulator";
const decoder = new SimulatedDecoder(decoderFromJson(JSON.parse(readFileSync("quillback-s8.json", "utf8"))));
decoder.play(openingSequence("direct"));
for (const { cv, value } of JSON.parse(readFileSync("plan.json", "utf8")).steps) {
  const access = { operation: "write", cv: Number(cv.split("@")[0]), value };
  if (!decoder.play(accessSequence("direct", access))) throw new Error(\`CV \${cv} is not acknowledged\`);
}
const list = [...decoder.cvs].map(([cv, value]) => \`CV\${cv} = \${value}\\n\`);
writeFileSync("read-back.txt", "decoder: quillback-s8\\nname: No. 9\\n" + list.join(""));
`,
  );
  execFileSync(process.execPath, ["track.js"], { cwd: folder });
});

test("verify, diff and plan agree that everything is there", () => {
  expect(cvset("verify", "plan.json", "read-back.txt")).toEqual({
    ...quietly,
    stdout: "Everything is there as it was meant.\n",
  });
  expect(cvset("verify", "no9.json", "read-back.txt").status).toBe(0);
  expect(cvset("diff", "no9.json", "read-back.txt")).toEqual({ ...quietly, stdout: "No difference.\n" });
  expect(cvset("plan", "read-back.txt", "no9.json", "--steps")).toEqual({
    ...quietly,
    stdout: "Nothing to write.\n",
  });
});

test("months later: what is in there, what has changed, and back into the file", () => {
  writeFileSync(join(folder, "later.txt"), read("read-back.txt").replace(/^CV246 = \d+$/m, "CV246 = 32"));
  expect(cvset("explain", "later.txt").stdout).toMatch(/^ {2}Whistle +Hooter of the old mill +whistle$/m);
  expect(cvset("diff", "no9.json", "later.txt").stdout).toMatch(/^ {2}fuel: Coal -> Oil$/m);
  expect(cvset("decode", "later.txt", "--into", "no9.json").stderr).toMatch(/fuel: Coal -> Oil/);
  expect(JSON.parse(read("no9.json")).settings).toMatchObject({ fuel: "oil", whistle: "mill-hooter" });
  expect(cvset("diff", "no9.json", "later.txt").status).toBe(0);
  expect(cvset("plan", "later.txt", "no9.cvs.json", "--steps").stdout).toMatch(
    /^ {2}\[ \] {2}CV 246 = 96 +Fuel: Coal\n$/,
  );
});

test("a sheet for the owner", () => {
  expect(cvset("sheet", "no9.json", "--output", "no9.html")).toMatchObject({ status: 0, stdout: "" });
  expect(read("no9.html")).toMatch(/No\. 9/);
});

test("the folder is kept: everything in it is checked, and nothing is left over", () => {
  writeFileSync(join(folder, "later.txt"), "# not this one\n");
  const { status, stdout, stderr } = cvset("check", ".");
  expect(stdout).not.toMatch(/error|warning/);
  expect(stdout).toMatch(/^6 files checked: /m);
  expect(status).toBe(0);
  // The package's own files and the schema are those of other programs.
  expect(stderr.split("\n").filter((line) => !/passed over/.test(line))).toEqual([""]);
  expect(readdirSync(folder).filter((name) => name.startsWith(".cvset"))).toEqual([]);
});
