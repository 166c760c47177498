import { parseArgs } from "node:util";
import { wrap } from "./layout.js";
import { Unusable } from "./unusable.js";
import type { Call, Io, OptionHelp, Verb } from "./verb.js";

declare const CVSET_VERSION: string;

// Each verb is loaded only when it is called: a small command should start at once.
const verbs: Readonly<Record<string, () => Promise<{ readonly verb: Verb }>>> = {
  demo: () => import("./verbs/demo.js"),
  address: () => import("./verbs/address.js"),
  encode: () => import("./verbs/encode.js"),
  decode: () => import("./verbs/decode.js"),
  explain: () => import("./verbs/explain.js"),
  curve: () => import("./verbs/curve.js"),
  match: () => import("./verbs/match.js"),
  plan: () => import("./verbs/plan.js"),
  verify: () => import("./verbs/verify.js"),
  check: () => import("./verbs/check.js"),
  diff: () => import("./verbs/diff.js"),
  describe: () => import("./verbs/describe.js"),
};

const intro = `cvset turns a locomotive's set-up in words into decoder CVs, and CVs into words.

Usage: cvset VERB [ARGUMENT...] [OPTION...]
`;

/**
 * Runs one command line.
 * @param args The arguments after the name of the command.
 * @param io How to speak to the outside.
 * @returns The exit status: 0 fine, 1 an error-level finding or a difference, 2 unusable input or usage.
 */
export async function main(args: readonly string[], io: Io): Promise<0 | 1 | 2> {
  let printed = "";
  let read = false;
  const kept: Io = {
    ...io,
    print(text) {
      printed += text;
    },
    stdin() {
      if (read) throw new Unusable("standard input can be read only once, and it is named twice");
      read = true;
      return io.stdin();
    },
  };
  try {
    const status = await dispatch(args, kept);
    io.print(printed);
    return status;
  } catch (error) {
    for (const line of complaint(error)) io.say(line);
    return 2;
  }
}

async function dispatch(args: readonly string[], io: Io): Promise<0 | 1> {
  const [name, ...rest] = args;
  if (name === undefined || name === "--help" || name === "-h" || name === "help") {
    const asked = name === "help" ? rest[0] : undefined;
    if (asked === undefined) {
      const text = await overview();
      if (name === undefined) throw new Unusable(text.trimEnd());
      io.print(text);
      return 0;
    }
    return dispatch([asked, "--help"], io);
  }
  if (name === "--version" || name === "-v") {
    io.print(`${CVSET_VERSION}\n`);
    return 0;
  }
  if (!Object.hasOwn(verbs, name)) {
    const { nearestNames } = await import("../cv/issue.js");
    const [near] = nearestNames(name, Object.keys(verbs));
    throw new Unusable(
      `there is no verb "${name}"${near ? `; is "${near}" meant?` : ""}`,
      `the verbs are ${Object.keys(verbs).join(", ")}; "cvset VERB --help" tells more`,
    );
  }
  const { verb } = await (verbs[name] as (typeof verbs)[string])();
  const call = await parse(name, verb, rest, io);
  if (call) return verb.run(call);
  io.print(helpOf(name, verb, io.width));
  return 0;
}

async function parse(name: string, verb: Verb, args: readonly string[], io: Io): Promise<Call | undefined> {
  const { help: _, ...options } = { help: null, ...verb.options };
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options: {
        ...Object.fromEntries(
          Object.entries<OptionHelp>(options).map(([key, { type, short }]) => [
            key,
            { type, ...(short && { short }) },
          ]),
        ),
        help: { type: "boolean", short: "h" },
      },
      allowPositionals: true,
    });
    const given = values as Call["options"];
    const usage = usageOf(name, verb);
    return given["help"] === true ? undefined : { positionals, options: given, io, usage };
  } catch (error) {
    const why = await wrongOption(error as NodeJS.ErrnoException, Object.keys(options));
    throw new Unusable(`${why}; "cvset ${name} --help" tells what there is`);
  }
}

async function wrongOption({ code, message }: NodeJS.ErrnoException, names: string[]): Promise<string> {
  const [, option = ""] = /'(?:-\w, )?(--?[^' ]+)/.exec(message) ?? [];
  if (option && code === "ERR_PARSE_ARGS_UNKNOWN_OPTION") {
    const { nearestNames } = await import("../cv/issue.js");
    const [near] = option.startsWith("--") ? nearestNames(option.slice(2), names) : [];
    return `there is no option ${option}${near ? `; is --${near} meant?` : "; a file whose name begins with - is written ./-..."}`;
  }
  if (option && /ambiguous|missing/.test(message)) {
    const dash = message.includes("ambiguous") ? `; one that begins with - is written ${option}=-...` : "";
    return `${option} needs a value${dash}`;
  }
  return message.split(/\. |\n/)[0] ?? message;
}

function usageOf(name: string, { usage }: Verb): string {
  return `cvset ${name} ${usage}`.trimEnd();
}

async function overview(): Promise<string> {
  const lines = await Promise.all(
    Object.entries(verbs).map(async ([name, load]) => `  ${name.padEnd(10)}${(await load()).verb.summary}`),
  );
  return `${intro}
Verbs:
${lines.join("\n")}

"cvset VERB --help" tells more. A file may be "-" for standard input.
Exit status: 0 fine, 1 an error-level finding or a difference, 2 unusable input or usage.
`;
}

function helpOf(name: string, verb: Verb, width: number): string {
  const paragraph = (text: string): string =>
    wrap(text.replaceAll("\n", " "), Math.max(40, width)).join("\n");
  const options = Object.entries<OptionHelp>({
    ...verb.options,
    help: { type: "boolean", short: "h", help: "show this" },
  }).map(([key, { short, value, help }]) => {
    const left = `${short ? `-${short}, ` : "    "}--${key}${value ? ` ${value}` : ""}`;
    const indent = `\n${" ".repeat(30)}`;
    const lines = wrap(help, Math.max(24, width - 30));
    return `  ${left.padEnd(28)}${left.length >= 28 ? indent : ""}${lines.join(indent)}`;
  });
  return `Usage: ${usageOf(name, verb)}

${verb.summary}.
${verb.about ? `\n${paragraph(verb.about)}\n` : ""}
Options:
${options.join("\n")}

${verb.examples.length > 1 ? "Examples" : "Example"}:
${verb.examples.map((example) => `  ${example}`).join("\n")}
`;
}

function complaint(error: unknown): readonly string[] {
  if (error instanceof Unusable) return error.lines;
  if (error instanceof Error && error.name === "CvError") return error.message.split("\n");
  // Nothing of what a user can give should come to this; the name helps whoever mends it.
  const text = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  return [`cvset itself failed: ${text}`, "please report this, with the command line and the files"];
}
