// How long the command takes to start, against Node doing nothing: the median of alternating runs.
// Wanted: at most 1.5 times; `--gate` fails above that with a quarter to spare.
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

const command = fileURLToPath(new URL("../../dist/cli/cli.js", import.meta.url));
const contenders = { "node -e 0": ["-e", "0"], "cvset address 1234": [command, "address", "1234"] };
const wanted = 1.5;

const times = Object.fromEntries(Object.keys(contenders).map((name) => [name, []]));
for (let round = 0; round < 31; round++) {
  for (const [name, args] of Object.entries(contenders)) {
    const begin = process.hrtime.bigint();
    const { status } = spawnSync(process.execPath, args);
    if (status !== 0) throw new Error(`${name} failed`);
    times[name].push(Number(process.hrtime.bigint() - begin));
  }
}
const median = (list) => list.sort((a, b) => a - b)[list.length >> 1];
const [idle, started] = Object.values(times).map(median);
const ratio = started / idle;
console.log(`start of the command: ${ratio.toFixed(2)} x node -e 0 (wanted: ${wanted})`);
if (process.argv.includes("--gate") && ratio > wanted * 1.25) process.exit(1);
