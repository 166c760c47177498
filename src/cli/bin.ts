import { writeSync } from "node:fs";
import { main } from "./main.js";
import type { Io } from "./verb.js";

const { stdin, stdout, stderr, env, argv } = process;

// A reader that has seen enough (`| head`) closes the pipe; that is its right and no fault of ours.
for (const [stream, name] of [
  [stdout, "standard output"],
  [stderr, ""],
] as const) {
  stream.on("error", ({ code }: NodeJS.ErrnoException) => {
    if (code === "EPIPE") process.exit(0);
    if (name) writeSync(2, `${name}: it cannot be written (${code})\n`);
    process.exit(2);
  });
}

const io: Io = {
  print: (text) => void stdout.write(text),
  say: (line) => void stderr.write(`${line}\n`),
  stdin: () => stdin,
  colour: stdout.isTTY === true && !env["NO_COLOR"] && env["TERM"] !== "dumb",
  write: (text) =>
    new Promise((resolve) => {
      if (stdout.write(text)) resolve();
      else stdout.once("drain", resolve);
    }),
  progress(text) {
    if (stderr.isTTY) stderr.write(`\r\u001b[K${text}`);
  },
  width: stdout.columns ?? (Number(env["COLUMNS"]) || 100),
};

// Setting the status instead of leaving at once lets a slow pipe take all of the output.
process.exitCode = await main(argv.slice(2), io);
