import { main } from "./main.js";
import type { Io } from "./verb.js";

const { stdin, stdout, stderr, env, argv } = process;

// A reader that has seen enough (`| head`) closes the pipe; that is its right and no fault of ours.
for (const stream of [stdout, stderr]) {
  stream.on("error", (error: NodeJS.ErrnoException) => {
    process.exit(error.code === "EPIPE" ? 0 : 2);
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
  width: stdout.columns ?? 100,
};

// Setting the status instead of leaving at once lets a slow pipe take all of the output.
process.exitCode = await main(argv.slice(2), io);
