// What the last build was made of and what it made, as one hash: `npm test` builds only when it is another.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { argv, exit } from "node:process";

const stamp = "node_modules/.cache/cvset-build";

const filesIn = (folder) =>
  existsSync(folder)
    ? readdirSync(folder, { recursive: true, withFileTypes: true })
        .filter((one) => one.isFile())
        .map((one) => join(one.parentPath, one.name))
        .sort()
    : [];

function state() {
  const hash = createHash("sha256");
  const single = ["package.json", "package-lock.json", "tsconfig.json", "tsup.config.ts"];
  for (const file of [...single, ...filesIn(".ci"), ...filesIn("src"), ...filesIn("dist")]) {
    hash.update(`${file}\0`).update(readFileSync(file)).update("\0");
  }
  return hash.digest("hex");
}

/** Keeps what was built, and from what. */
export function keepStamp() {
  mkdirSync("node_modules/.cache", { recursive: true });
  writeFileSync(stamp, state());
}

if (argv[1]?.endsWith("build-stamp.mjs")) {
  const isBuilt = existsSync(stamp) && readFileSync(stamp, "utf8") === state();
  exit(isBuilt ? 0 : 1);
}
