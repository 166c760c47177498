import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { main } from "../../src/cli/main.js";

/** The built command, for the few tests that are about a process. */
export const command: string = fileURLToPath(new URL("../../dist/cli/cli.js", import.meta.url));
/** The folder of example files, where command lines of the docs run. */
export const examples: string = fileURLToPath(new URL("../../docs/examples/", import.meta.url));

/** What a run of the command gave. */
export interface Ran {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Where and with what the command runs. */
export interface Where {
  /** What standard input holds. */
  readonly input?: string | Uint8Array;
  /** The folder that it runs in; that of the examples without it. */
  readonly cwd?: string;
  /** Whether standard output is a terminal with colours; no without it. */
  readonly colour?: boolean;
  /** Whether standard error is a terminal; no without it. */
  readonly progress?: boolean;
  /** How wide standard output is; 100 without it. */
  readonly width?: number;
  /** After how many pieces of output its reader goes away; never without it. */
  readonly closedAfter?: number;
}

let isRunning = false;

/** Runs the command in this process, from the sources. Runs follow each other, since each changes the folder. */
export async function run(args: readonly string[], where: Where = {}): Promise<Ran> {
  const { input = "", cwd = examples, colour = false, progress = false, width = 100 } = where;
  const { closedAfter = Number.POSITIVE_INFINITY } = where;
  if (isRunning) throw new Error("two runs at once would share their folder");
  isRunning = true;
  const before = process.cwd();
  process.chdir(cwd);
  const [out, err]: [string[], string[]] = [[], []];
  try {
    const status = await main(args, {
      out: async (text) => void out.push(text),
      err: (text) => void err.push(text),
      stdin: () => bytesOf(input),
      isClosed: () => out.length >= closedAfter,
      colour,
      progress,
      width,
    });
    return { status, stdout: out.join(""), stderr: err.join("") };
  } finally {
    process.chdir(before);
    isRunning = false;
  }
}

async function* bytesOf(input: string | Uint8Array): AsyncGenerator<Uint8Array> {
  if (input.length) yield Buffer.from(input);
}

/** Runs the built command as a process of its own. */
export async function runProcess(
  args: readonly string[],
  { input = "", cwd = examples, env = {} }: Pick<Where, "input" | "cwd"> & { readonly env?: object } = {},
): Promise<Ran> {
  if (!existsSync(command)) throw new Error("the command is not built: npm run build");
  const child = spawn(process.execPath, [command, ...args], {
    cwd,
    env: { ...process.env, NO_COLOR: "1", ...env },
  });
  const [out, err]: [Buffer[], Buffer[]] = [[], []];
  child.stdout.on("data", (chunk: Buffer) => out.push(chunk));
  child.stderr.on("data", (chunk: Buffer) => err.push(chunk));
  // A command that has seen enough may close its input early.
  child.stdin.on("error", () => {});
  child.stdin.end(input);
  const status = await new Promise<number | null>((resolve, reject) => {
    child.on("error", reject);
    child.on("close", resolve);
  });
  return { status, stdout: Buffer.concat(out).toString(), stderr: Buffer.concat(err).toString() };
}
