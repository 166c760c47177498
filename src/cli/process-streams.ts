import type { Streams } from "./io.js";

/** What is needed of a process. */
type Outside = Pick<NodeJS.Process, "stdin" | "stdout" | "stderr" | "env">;

/**
 * The streams of a process. A reader that has seen enough (`| head`) closes the pipe; the work goes on without
 * output, so that the exit status tells of everything.
 * @param leave Ends the process, since nothing can be written any more, with a text for standard error that says why,
 * or with none.
 */
export function streamsOf({ stdin, stdout, stderr, env }: Outside, leave: (text: string) => void): Streams {
  let isClosed = false;
  const gone = new Promise<void>((resolve) => {
    stdout.on("error", ({ code }: NodeJS.ErrnoException) => {
      if (code !== "EPIPE") leave(`standard output: it cannot be written (${code})\n`);
      isClosed = true;
      resolve();
    });
  });
  stderr.on("error", ({ code }: NodeJS.ErrnoException) => {
    if (code !== "EPIPE") leave("");
  });
  return {
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
}
