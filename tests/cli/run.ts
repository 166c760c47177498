import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

/** The built command. */
export const command: string = fileURLToPath(new URL("../../dist/cli/cli.js", import.meta.url));
/** The folder of example files, where command lines of the docs run. */
export const examples: string = fileURLToPath(new URL("../../docs/examples/", import.meta.url));

/** What a run of the command gave. */
export interface Ran {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs the built command as a process of its own. */
export async function run(
  args: readonly string[],
  { input = "", cwd = examples }: { readonly input?: string | Uint8Array; readonly cwd?: string } = {},
): Promise<Ran> {
  if (!existsSync(command)) throw new Error("the command is not built: npm run build");
  const child = spawn(process.execPath, [command, ...args], { cwd, env: { ...process.env, NO_COLOR: "1" } });
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
