import { CvError, messageOf } from "../cv/issue.js";
import { Unusable } from "./unusable.js";

export { Unusable };

/** One option of a verb. */
export interface OptionHelp {
  readonly type: "boolean" | "string";
  /** The one-letter form. */
  readonly short?: string;
  /** What to write for its value, in help. */
  readonly value?: string;
  /** What it does, in help. */
  readonly help: string;
}

/** The values of a verb's options, as they were given. */
export type OptionValues = Readonly<Record<string, string | boolean | undefined>>;

/** What a verb is called with. */
export interface Call {
  readonly positionals: readonly string[];
  readonly options: OptionValues;
  readonly io: Io;
  /** How the verb is called, for messages: `cvset encode SETTINGS`. */
  readonly usage: string;
}

/** How a verb speaks to the outside. */
export interface Io {
  /** Adds to standard output. Nothing of it appears when the verb fails. */
  print(text: string): void;
  /** Writes a line to standard error at once. */
  say(line: string): void;
  /** The bytes of standard input. */
  stdin(): AsyncIterable<Uint8Array>;
  /** Whether text on standard output may have colour. */
  readonly colour: boolean;
  /** Writes to standard output at once, and waits while the reader is slow. For output without an end in sight. */
  write(text: string): Promise<void>;
  /** Shows how far long work has come, in place of what it showed before; nothing without a terminal. */
  progress(text: string): void;
  /** How wide a line may be. */
  readonly width: number;
}

/** A verb of the command. */
export interface Verb {
  /** What it does, in one line. */
  readonly summary: string;
  /** Its arguments, after the name. */
  readonly usage: string;
  /** More about it, for its help. */
  readonly about?: string;
  readonly options: Readonly<Record<string, OptionHelp>>;
  /** Command lines that work as they stand. */
  readonly examples: readonly string[];
  /** Does it, and gives the exit status: 0 fine, 1 a finding or a difference. */
  run(call: Call): Promise<0 | 1>;
}

/** Options that most verbs share. */
export const shared = {
  decoder: {
    type: "string",
    short: "d",
    value: "NAME|FILE",
    help: "the decoder: a built-in name, or a description in JSON; else the one that the file names, else nmra",
  },
  json: { type: "boolean", help: "write JSON for programs" },
  nearest: { type: "boolean", help: "store the nearest step of a number that lies between two" },
} as const satisfies Record<string, OptionHelp>;

/** An option's text, or undefined. */
export function textOption(options: OptionValues, name: string): string | undefined {
  const value = options[name];
  return typeof value === "string" ? value : undefined;
}

/** Exactly the arguments that a verb needs. */
export function argumentsOf(call: Call, names: readonly string[]): string[] {
  const { positionals } = call;
  if (positionals.length === names.length) return [...positionals];
  const wanted = names.length ? names.join(" and ") : "no argument";
  const are = names.length > 1 ? "are" : "is";
  throw new Unusable(`${wanted} ${are} needed here; ${positionals.length} given (${call.usage})`);
}

/** An option's number, or undefined. */
export function numberOption(options: OptionValues, name: string): number | undefined {
  const text = textOption(options, name);
  if (text === undefined) return undefined;
  if (!/^-?\d+(\.\d+)?$/.test(text)) throw new Unusable(`--${name} ${text}: a number is needed`);
  return Number(text);
}

/** An option's whole number, or undefined. */
export function wholeOption(options: OptionValues, name: string): number | undefined {
  const value = numberOption(options, name);
  if (value === undefined || Number.isInteger(value)) return value;
  throw new Unusable(`--${name} ${textOption(options, name)}: a whole number is needed`);
}

/** Refuses options that do nothing, rather than passing over them in silence. */
export function uselessOptions(options: OptionValues, names: readonly string[], why: string): void {
  const given = names.filter((name) => options[name] !== undefined).map((name) => `--${name}`);
  if (given.length) throw new Unusable(`${given.join(", ")}: ${why}`);
}

/** `--format`, of which `--json` is another way to say one. */
export function formatOption<Word extends string>(
  options: OptionValues,
  formats: readonly (Word | "json")[],
  without: Word | "json",
): Word | "json" {
  const format = wordOption(options, "format", formats);
  if (options["json"] !== true) return format ?? without;
  if (format !== undefined && format !== "json")
    throw new Unusable(`--json and --format ${format} contradict each other; give one of them`);
  return "json";
}

/**
 * What a library call complained of, in the options of the command line.
 * @param error What was thrown; anything but a `CvError` is given back as it is.
 * @param names Which option gives which argument of the call.
 */
export function inOptions(error: unknown, names: Readonly<Record<string, string>>): unknown {
  if (!(error instanceof CvError)) return error;
  const lines = error.issues.map((issue) => {
    const [first = "", ...rest] = issue.path.split(".");
    const option = Object.hasOwn(names, first) ? names[first] : undefined;
    if (option === undefined) return messageOf(issue);
    // One of several, counted from 1, as people do.
    const which = /^\d+$/.test(rest[0] ?? "") ? ` number ${Number(rest[0]) + 1}` : "";
    const text = messageOf({ ...issue, path: "" });
    return `--${option}${which}${/^(is|must|needs) /.test(text) ? "" : ":"} ${text}`;
  });
  return new Unusable(...lines);
}

/** An option that is one of some words, or undefined. */
export function wordOption<Word extends string>(
  options: OptionValues,
  name: string,
  words: readonly Word[],
): Word | undefined {
  const text = textOption(options, name);
  const word = words.find((one) => one === text);
  if (text !== undefined && word === undefined) {
    throw new Unusable(`--${name} ${text}: it is one of ${words.join(", ")}`);
  }
  return word;
}
