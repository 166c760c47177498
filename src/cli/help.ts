import { wrap } from "./layout.js";
import { allVerbs } from "./table.js";
import { optionsOf, usageOf } from "./usage.js";
import type { Option, Verb } from "./verb.js";

/** All verbs, a line each. */
export async function overview(): Promise<string[]> {
  return [
    "cvset turns a locomotive's set-up in words into decoder CVs, and CVs into words.",
    "",
    "Usage: cvset VERB [ARGUMENT...] [OPTION...]",
    "",
    "Verbs:",
    ...(await allVerbs()).map(([name, { summary }]) => `  ${name.padEnd(12)}${summary}`),
    "",
    '"cvset VERB --help" shows how each is used. A file may be "-" for standard input.',
    "Exit status: 0 fine, 1 an error-level finding or a difference, 2 unusable input or usage.",
  ];
}

/** How a verb is used. */
export function helpOf(name: string, verb: Verb, width: number): string[] {
  const { summary, about, examples } = verb;
  return [
    `Usage: ${usageOf(name, verb)}`,
    "",
    `${summary}.`,
    "",
    ...(about ? [...wrap(about.replaceAll("\n", " "), Math.max(40, width)), ""] : []),
    "Options:",
    ...Object.entries(optionsOf(verb)).flatMap(([key, option]) => optionHelp(key, option, width)),
    "",
    examples.length > 1 ? "Examples:" : "Example:",
    ...examples.map((example) => `  ${example}`),
  ];
}

function optionHelp(name: string, option: Option, width: number): string[] {
  const value = valueName(option);
  const left = `${option.short ? `-${option.short}, ` : "    "}--${name}${value ? ` ${value}` : ""}`;
  const lines = wrap(option.help, Math.max(24, width - 30));
  const [first = "", ...more] = left.length < 28 ? lines : ["", ...lines];
  return [`  ${left.padEnd(28)}${first}`.trimEnd(), ...more.map((line) => `${" ".repeat(30)}${line}`)];
}

/** What stands for an option's value in help; empty for one without a value. */
export function valueName(option: Option): string {
  if (option.kind === "flag") return "";
  return option.kind === "words" ? option.words.join("|") : option.value;
}
