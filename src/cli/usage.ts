import { parseArgs } from "node:util";
import { nearestNames } from "../cv/nearest.js";
import { Unusable } from "./unusable.js";
import { common, type Option, type Options, plugIn, type Verb } from "./verb.js";

/** All options of a verb, with those that every verb has, and every verb that takes a decoder. */
export function optionsOf({ options, arguments: all }: Verb): Options {
  const takesDecoder = [...Object.values(options), ...all].some(({ kind }) => kind === "decoder");
  return { ...options, ...(takesDecoder && plugIn), ...common };
}

/** How a verb is called: `cvset diff A B`. */
export function usageOf(name: string, verb: Verb): string {
  const words = verb.arguments.map(({ name: word, optional, many }) => {
    const text = `${word}${many ? "..." : ""}`;
    return optional ? `[${text}]` : text;
  });
  return ["cvset", name, ...words, ...(verb.usage ? [verb.usage] : [])].join(" ");
}

/** A command line that was understood. */
export interface Parsed {
  readonly arguments: readonly string[];
  readonly options: Readonly<Record<string, unknown>>;
  /** The file to write to, instead of standard output. */
  readonly output: string | undefined;
  /** The files of plug-ins. */
  readonly plugIns: readonly string[];
}

/**
 * The arguments and options of a command line.
 * @param args What follows the name of the verb.
 * @throws {@link Unusable} With everything that is wrong.
 */
export function parse(name: string, verb: Verb, args: readonly string[]): Parsed | "help" {
  const options = optionsOf(verb);
  const { tokens } = parseArgs({
    args: [...args],
    options: Object.fromEntries(
      Object.entries(options).map(([key, { kind, short }]) => [
        key,
        { type: kind === "flag" ? "boolean" : "string", ...(short && { short }) },
      ]),
    ),
    allowPositionals: true,
    strict: false,
    tokens: true,
  });
  const values: Record<string, unknown> = {};
  for (const [key, { kind }] of Object.entries(options)) values[key] = kind === "flag" ? false : undefined;
  const positionals: string[] = [];
  const complaints: string[] = [];
  for (const token of tokens) {
    if (token.kind === "positional") positionals.push(token.value);
    if (token.kind !== "option") continue;
    const option = Object.hasOwn(options, token.name) ? options[token.name] : undefined;
    const value = option ? givenValue(option, token) : unknownOption(token.rawName, options);
    if (value instanceof Complaint) complaints.push(value.text);
    else if (option?.many)
      values[token.name] = [...((values[token.name] as string[] | undefined) ?? []), value];
    else if (values[token.name] !== undefined && option?.kind !== "flag")
      complaints.push(`${token.rawName} is given twice`);
    else values[token.name] = value;
  }
  if (values["help"] === true) return "help";
  if (complaints.length)
    throw new Unusable(...complaints.map((text) => `${text}; "cvset ${name} --help" lists the options`));
  checkArguments(name, verb, positionals);
  const { output, help: _, plugin, ...own } = values;
  return {
    arguments: positionals,
    options: own,
    output: output as string | undefined,
    plugIns: (plugin as string[] | undefined) ?? [],
  };
}

class Complaint {
  constructor(readonly text: string) {}
}

interface OptionToken {
  readonly rawName: string;
  readonly value?: string | undefined;
  readonly inlineValue?: boolean | undefined;
}

function givenValue(option: Option, { rawName, value, inlineValue }: OptionToken): unknown {
  if (option.kind === "flag")
    return value === undefined ? true : new Complaint(`${rawName} takes no value, and "${value}" was given`);
  if (value === undefined) return new Complaint(`${rawName} needs a value`);
  // What looks like an option was more likely meant as one.
  if (!inlineValue && value.startsWith("-") && value !== "-")
    return new Complaint(
      `${rawName} needs a value; one that begins with - is written ${rawName}${
        rawName.startsWith("--") ? "=" : ""
      }${value}`,
    );
  switch (option.kind) {
    case "words":
      return option.words.includes(value)
        ? value
        : new Complaint(`${rawName} ${value}: allowed is ${option.words.join(", ")}`);
    case "number":
    case "whole":
      return numberOf(option, rawName, value);
    default:
      return value;
  }
}

function numberOf(
  { kind, min, max }: { readonly kind: "number" | "whole"; readonly min?: number; readonly max?: number },
  rawName: string,
  value: string,
): number | Complaint {
  const number = /^-?\d+(\.\d+)?$/.test(value) ? Number(value) : Number.NaN;
  const isRight = kind === "whole" ? Number.isSafeInteger(number) : Number.isFinite(number);
  const what = kind === "whole" ? "a whole number" : "a number";
  if (!isRight) return new Complaint(`${rawName} ${value}: expected ${what}`);
  if (number < (min ?? number) || number > (max ?? number)) {
    const range =
      max === undefined ? `${min} or more` : min === undefined ? `at most ${max}` : `${min} to ${max}`;
    return new Complaint(`${rawName} ${value}: out of range; allowed is ${range}`);
  }
  return number;
}

function unknownOption(rawName: string, options: Options): Complaint {
  const [near] = rawName.startsWith("--") ? nearestNames(rawName.slice(2), Object.keys(options)) : [];
  const hint = near ? `did you mean --${near}?` : "a file whose name begins with - is written ./-...";
  return new Complaint(`there is no option ${rawName}; ${hint}`);
}

function checkArguments(name: string, verb: Verb, given: readonly string[]): void {
  const all = verb.arguments;
  const least = all.filter(({ optional }) => !optional).length;
  const most = all.at(-1)?.many ? Number.POSITIVE_INFINITY : all.length;
  if (given.length < least || given.length > most) {
    const wanted = all.length ? all.map(({ what }) => what).join(" and ") : "no argument";
    const count = given.length === 1 ? "1 argument" : `${given.length} arguments`;
    throw new Unusable(`expected ${wanted}, got ${count} (${usageOf(name, verb)})`);
  }
  const wrong = given.filter((one, i) => all[i]?.words?.includes(one) === false);
  if (wrong.length)
    throw new Unusable(
      ...wrong.map((one) => `"${one}" is not ${all[0]?.what}; allowed is ${all[0]?.words?.join(", ")}`),
    );
}
