import { execFileSync, spawnSync } from "node:child_process";
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { root } from "../support/tree.js";

// The package of somebody else in docs/examples, built and tested against this package as npm packs it; offline.

const name = "cvset-bittern";
let folder = "";
const at = (path: string) => join(folder, path);
const node = (...args: string[]): string =>
  execFileSync(process.execPath, args, { cwd: folder, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
const cvset = (...args: string[]): string => node("node_modules/cvset/dist/cli/cli.js", ...args);

beforeAll(() => {
  if (!existsSync(`${root}dist/index.js`)) throw new Error("the package is not built: npm run build");
  folder = mkdtempSync(join(tmpdir(), "cvset-package-"));
  cpSync(`${root}docs/examples/${name}`, folder, { recursive: true });
  mkdirSync(at("node_modules/@types"), { recursive: true });
  const windows = process.platform === "win32";
  const packed = execFileSync("npm", ["pack", "--ignore-scripts", "--silent", "--pack-destination", folder], {
    cwd: root,
    encoding: "utf8",
    shell: windows,
  }).trim();
  execFileSync("tar", ["-xzf", packed], { cwd: folder });
  cpSync(at("package"), at("node_modules/cvset"), { recursive: true });
  for (const other of ["typescript", "fast-check", "pure-rand", "@types/node", "undici-types"]) {
    const real = `${root}node_modules/${other}`;
    if (existsSync(real)) symlinkSync(real, at(`node_modules/${other}`), windows ? "junction" : "dir");
  }
  node("node_modules/typescript/bin/tsc");
}, 120_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

test("it compiles, and its own tests pass", () => {
  const { status, stdout } = spawnSync(
    process.execPath,
    ["--test", "--test-reporter=tap", "dist/test/bittern.test.js"],
    {
      cwd: folder,
      encoding: "utf8",
      // Else it reports to the runner of these tests.
      env: { ...process.env, NODE_TEST_CONTEXT: undefined },
    },
  );
  expect(status, stdout).toBe(0);
  expect(stdout).toMatch(/# pass 6\n# fail 0/);
});

test("the command takes it as a plug-in, and encodes, explains and decodes with it", () => {
  const plugin = ["--plugin", "dist/src/index.js"];
  writeFileSync(
    at("station.settings.json"),
    JSON.stringify({
      decoder: "bittern-k2",
      settings: { start: "07:30", strike: { bell: "large", volume: 9 } },
    }),
  );
  cvset("encode", "station.settings.json", ...plugin, "--output", "station.cvs.json");
  const { cvs } = JSON.parse(readFileSync(at("station.cvs.json"), "utf8"));
  expect([cvs[613], cvs[614], cvs[640], cvs[620]]).toEqual([0x07, 0x30, 165, 9]);
  expect(cvset("explain", "station.cvs.json", ...plugin)).toMatch(/Time at power-on +07:30 h/);
  expect(JSON.parse(cvset("decode", "station.cvs.json", ...plugin)).settings.start).toBe("07:30");
});

test("its README is about it", () => {
  expect(readFileSync(at("README.md"), "utf8")).toContain(`# ${name}`);
});
