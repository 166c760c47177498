// What keeps the present state from being published as a version. The release workflow runs it for the tag.
//
//   npm run release:check [-- TAG]
import { readFileSync } from "node:fs";

const read = (path) => readFileSync(new URL(`../${path}`, import.meta.url), "utf8");
const { version, repository } = JSON.parse(read("package.json"));
const [tag] = process.argv.slice(2);
const entry = read("docs/changelog.md")
  .split("\n")
  .find((line) => line.startsWith(`## ${version} `) || line === `## ${version}`);

const missing = [];
if (tag !== undefined && tag !== `v${version}`)
  missing.push(`the tag is ${tag}, and package.json has ${version}`);
if (JSON.parse(read("package-lock.json")).version !== version)
  missing.push(`package-lock.json has another version than ${version}: run npm install --package-lock-only`);
if (!entry) missing.push(`docs/changelog.md has no entry ## ${version} (YYYY-MM-DD)`);
else if (!/\(\d{4}-\d\d-\d\d\)$/.test(entry)) missing.push(`docs/changelog.md: "${entry}" has no date`);
if (/OWNER|\.example\//.test(repository.url))
  missing.push("the repository has no address yet: run npm run repository -- https://HOST/OWNER/NAME");

for (const one of missing) console.error(one);
if (missing.length) process.exitCode = 1;
else console.log(`${version} can be published`);
