// The versions of Node and TypeScript, the bundlers and the browser's driver that the packed package is tried with. They
// are pinned by the lock file beside this file, and installed once into a cache folder: some are large, so they are no
// development dependencies of the package itself.
import { execFile } from "node:child_process";
import { createHash } from "node:crypto";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { promisify } from "node:util";

const here = fileURLToPath(new URL(".", import.meta.url));
const cache = fileURLToPath(new URL("../../node_modules/.cache/packed", import.meta.url));
const files = ["package.json", "package-lock.json"];
const run = promisify(execFile);

/** The name of each tool and its pinned version, for a row of the table. */
export const pinned = Object.fromEntries(
  Object.entries(JSON.parse(readFileSync(join(here, "package.json"), "utf8")).dependencies).map(
    ([name, version]) => [name, version.replace(/^.*@/, "")],
  ),
);

/** The folder in which the tools are installed; installs them where they are not there yet. */
export async function install() {
  const hash = createHash("sha256");
  for (const file of files) hash.update(readFileSync(join(here, file)));
  const folder = join(cache, hash.digest("hex").slice(0, 16));
  if (existsSync(folder)) return folder;
  // Into a folder of its own first: a broken-off installation is never taken for a whole one.
  const unfinished = `${folder}.${process.pid}`;
  rmSync(cache, { recursive: true, force: true });
  mkdirSync(unfinished, { recursive: true });
  for (const file of files) copyFileSync(join(here, file), join(unfinished, file));
  const options = ["--ignore-scripts", "--no-audit", "--no-fund", "--no-bin-links", "--loglevel=error"];
  try {
    await run("npm", ["ci", ...options], { cwd: unfinished, maxBuffer: 1e8 });
    renameSync(unfinished, folder);
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true });
    throw error;
  }
  return folder;
}

/** Loads a tool from the folder, as a program in that folder would. */
export async function loader(folder) {
  const file = join(folder, "load.mjs");
  writeFileSync(file, "export const load = (name) => import(name);\n");
  return (await import(pathToFileURL(file).href)).load;
}
