#!/usr/bin/env node
import { writeSync } from "node:fs";
import type { Streams } from "./io.js";
import { main } from "./main.js";

const { stdin, stdout, stderr, env, argv } = process;

// A reader that has seen enough (`| head`) closes the pipe. The work goes on without output, so that the exit
// status tells of everything.
let isClosed = false;
const gone = new Promise<void>((resolve) => {
  stdout.on("error", ({ code }: NodeJS.ErrnoException) => {
    if (code !== "EPIPE") {
      writeSync(2, `standard output: it cannot be written (${code})\n`);
      process.exit(2);
    }
    isClosed = true;
    resolve();
  });
});
stderr.on("error", ({ code }: NodeJS.ErrnoException) => {
  if (code !== "EPIPE") process.exit(2);
});

const streams: Streams = {
  async out(text) {
    if (isClosed || text === "" || stdout.write(text)) return;
    await Promise.race([gone, new Promise((resolve) => stdout.once("drain", resolve))]);
  },
  err: (text) => void stderr.write(text),
  stdin: () => stdin,
  isClosed: () => isClosed,
  colour: stdout.isTTY === true && !env["NO_COLOR"] && env["TERM"] !== "dumb",
  progress: stderr.isTTY === true,
  width: stdout.columns ?? (Number(env["COLUMNS"]) || 100),
};

// Setting the status instead of leaving at once lets a slow pipe take all of the output.
process.exitCode = await main(argv.slice(2), streams);
