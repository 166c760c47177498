import { CvError, messageOf } from "../cv/issue.js";
import type { Io } from "./io.js";
import { Unusable } from "./unusable.js";
import { wording } from "./wording.js";

export type { Io };
export { Unusable };

interface OptionBase {
  /** The one-letter form. */
  readonly short?: string;
  /** What it does, in help. */
  readonly help: string;
  /** Whether it may be given several times. */
  readonly many?: true;
}

/** What an argument or an option's value is; shells complete it, and the verb is given a text. */
export type TextKind = "text" | "file" | "decoder";

/** One option of a verb. */
export type Option = OptionBase &
  (
    | { readonly kind: "flag" }
    | { readonly kind: TextKind; readonly value: string }
    | {
        readonly kind: "number" | "whole";
        readonly value: string;
        readonly min?: number;
        readonly max?: number;
      }
    | { readonly kind: "words"; readonly words: readonly string[] }
  );

/** The options of a verb by name. */
export type Options = Readonly<Record<string, Option>>;

/** What a verb is given of an option: false or undefined where it was not written. */
export type ValueOf<One extends Option> = One extends { readonly kind: "flag" }
  ? boolean
  : One extends { readonly kind: "words"; readonly words: readonly (infer Word)[] }
    ? Word | undefined
    : One extends { readonly kind: "number" | "whole" }
      ? number | undefined
      : string | undefined;

/** The values of a verb's options. */
export type ValuesOf<All extends Options> = { readonly [Name in keyof All]: ValueOf<All[Name]> };

/** One argument of a verb. */
export interface Argument {
  /** Its name in the usage line. */
  readonly name: string;
  /** What it is, after "expected": "a settings file". */
  readonly what: string;
  readonly kind: TextKind;
  /** What it may be, where it is one of a few words. */
  readonly words?: readonly string[];
  readonly optional?: true;
  /** Whether it may be given several times; only the last one. */
  readonly many?: true;
}

/** The arguments that a verb is given: as many as it says. */
export type ArgumentsOf<All extends readonly Argument[]> = All extends readonly [
  infer One extends Argument,
  ...infer Rest extends readonly Argument[],
]
  ? One extends { readonly many: true }
    ? One extends { readonly optional: true }
      ? readonly string[]
      : readonly [string, ...string[]]
    : One extends { readonly optional: true }
      ? readonly string[]
      : readonly [string, ...ArgumentsOf<Rest>]
  : readonly [];

/** What a verb is called with. */
export interface Call<
  All extends Options = Options,
  Given extends readonly Argument[] = readonly Argument[],
> {
  readonly arguments: ArgumentsOf<Given>;
  readonly options: ValuesOf<All>;
  readonly io: Io;
  /** The table of all verbs. */
  verbs(): Promise<VerbTable>;
}

/** All verbs by name, in the order of the help. */
export type VerbTable = readonly (readonly [name: string, verb: Verb])[];

interface VerbBase<All extends Options, Given extends readonly Argument[]> {
  /** What it does, in one line. */
  readonly summary: string;
  readonly arguments: Given;
  /** Options that belong in the usage line: `"--start N --top N"`. */
  readonly usage?: string;
  /** More about it, for its help. */
  readonly about?: string;
  readonly options: All;
  /** Command lines that work as they stand. */
  readonly examples: readonly string[];
}

/** A verb of the command. Its help, the check of its command line and shell completion are made from it. */
export interface Verb extends VerbBase<Options, readonly Argument[]> {
  run(call: Call<never, never>): Promise<0 | 1>;
}

/**
 * Defines a verb.
 * @param verb What it is called with, and `run`, which gives the exit status: 0 fine, 1 a finding or a difference.
 */
export function defineVerb<const All extends Options, const Given extends readonly Argument[]>(
  verb: VerbBase<All, Given> & { run(call: Call<All, Given>): Promise<0 | 1> },
): Verb {
  return verb;
}

/** Options that most verbs share. */
export const shared = {
  decoder: {
    kind: "decoder",
    short: "d",
    value: "NAME|FILE",
    help: "the decoder: a built-in name, or a description in JSON; else the one that the file names, else nmra",
  },
  json: { kind: "flag", help: "write JSON for programs" },
  pick: {
    kind: "text",
    value: "NAME",
    help: "of a file with several locomotives, the one with this name, or on this line",
  },
  nearest: { kind: "flag", help: "store the nearest step of a number that lies between two" },
} as const satisfies Options;

/** The option of every verb that takes a decoder. */
export const plugIn = {
  plugin: {
    kind: "file",
    value: "FILE",
    many: true,
    help: "a plug-in, a JavaScript module with kinds of codec, rules or terms; ITS CODE IS RUN with all your rights, so give only a file that you trust; may be given several times",
  },
} as const satisfies Options;

/** Options that every verb has. */
export const common = {
  output: {
    kind: "file",
    short: "o",
    value: "FILE",
    help: "write to this file, or into this folder (a name with / at its end); it is replaced only when all went well",
  },
  help: { kind: "flag", short: "h", help: "show this" },
} as const satisfies Options;

/** Whether an option was given. */
function isGiven(value: unknown): boolean {
  return value !== undefined && value !== false;
}

/** Refuses options that would do nothing. */
export function uselessOptions<All extends Options>(
  options: ValuesOf<All>,
  names: readonly (keyof All & string)[],
  why: string,
): void {
  const given = names.filter((name) => isGiven(options[name])).map((name) => `--${name}`);
  if (given.length) throw new Unusable(`${given.join(", ")}: ${why}`);
}

/** `--format`, of which `--json` is another way to say one. */
export function formatOption<Word extends string>(
  options: { readonly format: Word | undefined; readonly json: boolean },
  without: Word,
): Word | "json" {
  const { format, json } = options;
  if (!json) return format ?? without;
  if (format !== undefined && format !== "json")
    throw new Unusable(`--json and --format ${format} contradict each other; give one of them`);
  return "json";
}

/**
 * What a library call complained of, in the options of the command line.
 * @param error What was thrown; anything but a `CvError` is given back as it is.
 * @param names Which option gives which argument of the call.
 * @param words Sentences in place of the library's, by the code of the issue.
 */
export function inOptions(
  error: unknown,
  names: Readonly<Record<string, string>>,
  words: Readonly<Record<string, string>> = wording,
): unknown {
  if (!(error instanceof CvError)) return error;
  const lines = error.issues.map((issue) => {
    const [first = "", item] = issue.path.split(".");
    const option = Object.hasOwn(names, first) ? names[first] : undefined;
    if (option === undefined) return messageOf(issue, words);
    // One of several, counted from 1, as people do.
    const which = /^\d+$/.test(String(item)) ? ` number ${Number(item) + 1}` : "";
    return `--${option}${which}: ${messageOf({ ...issue, path: "" }, words)}`;
  });
  return new Unusable(...lines);
}
