// Sets the address of the repository in every place that has it, from the one in package.json:
//
//   npm run repository -- https://HOST/OWNER/NAME
//
// tests/publishing.test.ts checks that all places agree.
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("..", import.meta.url));
const [address, ...more] = process.argv.slice(2);
if (
  more.length ||
  !/^https:\/\/[^/\s"'`]+(\/[^/\s"'`#?]+){2,}$/.test(address ?? "") ||
  /\.git$/.test(address)
) {
  console.error("usage: npm run repository -- https://HOST/OWNER/NAME   (no slash and no .git at its end)");
  process.exit(2);
}

const { repository } = JSON.parse(readFileSync(`${root}package.json`, "utf8"));
const present = repository.url.replace(/^git\+/, "").replace(/\.git$/, "");
const files = execFileSync("git", ["ls-files", "-z"], { cwd: root, encoding: "utf8" })
  .split("\0")
  .filter(Boolean);
let places = 0;
for (const file of files) {
  const text = readFileSync(root + file, "utf8");
  const parts = text.split(present);
  if (parts.length === 1) continue;
  places += parts.length - 1;
  writeFileSync(root + file, parts.join(address));
  console.log(`${file}: ${parts.length - 1}`);
}
console.log(`${places} places name ${address}`);
