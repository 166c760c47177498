import { helpOf, overview } from "./help.js";
import { CallIo, type Streams } from "./io.js";
import { noPlugIns } from "./plug-in.js";
import { allVerbs, verbNamed } from "./table.js";
import { Unusable } from "./unusable.js";
import { parse } from "./usage.js";

declare const CVSET_VERSION: string;

/**
 * Runs one command line.
 * @param args The arguments after the name of the command.
 * @param streams The streams of the process.
 * @returns The exit status: 0 fine, 1 an error-level finding or a difference, 2 unusable input or usage.
 */
export async function main(args: readonly string[], streams: Streams): Promise<0 | 1 | 2> {
  let io = new CallIo(streams);
  try {
    const [name, ...rest] = withoutHelpVerb(args);
    let status: 0 | 1 = 0;
    if (name === undefined) throw new Unusable(...(await overview()));
    if (name === "--help" || name === "-h") io.line(...(await overview()));
    else if (name === "--version" || name === "-v") io.line(CVSET_VERSION);
    else {
      const verb = await verbNamed(name);
      const parsed = parse(name, verb, rest);
      if (parsed === "help") io.line(...helpOf(name, verb, io.width));
      else {
        // Only now, and only for this option: no file that is read names code to run.
        const { plugIns: files } = parsed;
        const plugIns = files.length ? await (await import("./plug-ins.js")).plugInsFrom(files) : noPlugIns;
        io = new CallIo(streams, parsed.output, plugIns);
        status = await verb.run({ ...parsed, io, verbs: allVerbs } as never);
      }
    }
    await io.finish();
    return status;
  } catch (error) {
    for (const line of complaint(error, io.plugIns.files)) io.say(line);
    return 2;
  } finally {
    await io.discard();
  }
}

/** `help encode` is `encode --help`; `help` alone is `--help`. */
function withoutHelpVerb([name, ...rest]: readonly string[]): readonly string[] {
  if (name !== "help") return name === undefined ? [] : [name, ...rest];
  const [asked] = rest;
  return asked === undefined || asked === "help" ? ["--help"] : [asked, "--help"];
}

function complaint(error: unknown, plugIns: readonly string[]): readonly string[] {
  if (error instanceof Unusable) return error.lines;
  if (error instanceof Error && error.name === "CvError") return error.message.split("\n");
  // Nothing that a user can give should come to this; the name helps whoever repairs it.
  const text = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  if (plugIns.length) return [`a plug-in (${plugIns.join(", ")}), or cvset itself, failed: ${text}`];
  return [`cvset itself failed: ${text}`, "please report this, with the command line and the files"];
}
