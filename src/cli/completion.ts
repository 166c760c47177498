import { decoderNames } from "./decoders.js";
import { optionsOf } from "./usage.js";
import type { Argument, Option, Verb, VerbTable } from "./verb.js";

/** The shells that completion is made for. */
export const shells = ["bash", "zsh", "fish"] as const;
export type Shell = (typeof shells)[number];

/** A script that completes verbs, options and their values, made from the table that the help is made from. */
export function completionFor(shell: Shell, verbs: VerbTable): string {
  return { bash, zsh, fish }[shell](verbs);
}

/** What stands for an option or an argument: words to choose from, and whether a file fits too. */
interface Values {
  readonly words: readonly string[];
  readonly files: boolean;
}

function valuesOf(of: Option | Argument): Values {
  const words = "words" in of && of.words ? of.words : of.kind === "decoder" ? decoderNames : [];
  return { words, files: of.kind === "file" || of.kind === "decoder" };
}

/** The arguments of a verb together: a shell completes the next one, whichever it is. */
function argumentValues({ arguments: all }: Verb): Values {
  const values = all.map(valuesOf);
  return { words: values.flatMap(({ words }) => words), files: values.some(({ files }) => files) };
}

function spellings(name: string, { short }: Option): string[] {
  return [...(short ? [`-${short}`] : []), `--${name}`];
}

/** A text in single quotes, as all three shells read it. */
function quoted(text: string): string {
  return `'${text.replaceAll("'", `'\\''`)}'`;
}

function bash(verbs: VerbTable): string {
  const reply = ({ words, files }: Values): string =>
    [
      ...(words.length ? [`COMPREPLY=($(compgen -W ${quoted(words.join(" "))} -- "$word"))`] : []),
      ...(files ? ["_cvset_files"] : []),
    ].join("; ") || ":";
  const cases = verbs.flatMap(([name, verb]) => {
    const options = Object.entries(optionsOf(verb));
    const withValue = options.filter(([, { kind }]) => kind !== "flag");
    const all = options.flatMap(([key, option]) => spellings(key, option));
    return [
      `    ${name})`,
      "      case $before in",
      ...withValue.map(
        ([key, option]) =>
          `        ${spellings(key, option).join("|")}) ${reply(valuesOf(option))}; return ;;`,
      ),
      "      esac",
      `      if [[ $word == -* ]]; then COMPREPLY=($(compgen -W ${quoted(all.join(" "))} -- "$word")); return; fi`,
      `      ${reply(argumentValues(verb))} ;;`,
    ];
  });
  const names = verbs.map(([name]) => name).join(" ");
  return `${[
    "# Completion of cvset for bash: source it, or put it where bash-completion looks.",
    "_cvset_files() {",
    "  compopt -o filenames 2> /dev/null",
    "  local file",
    `  while IFS= read -r file; do COMPREPLY+=("$file"); done < <(compgen -f -- "$word")`,
    "}",
    "_cvset() {",
    `  local word=\${COMP_WORDS[COMP_CWORD]} before=\${COMP_WORDS[COMP_CWORD - 1]} verb=\${COMP_WORDS[1]}`,
    "  COMPREPLY=()",
    "  # --option=value comes as three words.",
    "  [[ $word == = ]] && word=",
    `  [[ $before == = ]] && before=\${COMP_WORDS[COMP_CWORD - 2]}`,
    `  if ((COMP_CWORD == 1)); then COMPREPLY=($(compgen -W ${quoted(`${names} help --help --version`)} -- "$word")); return; fi`,
    "  case $verb in",
    ...cases,
    `    help) COMPREPLY=($(compgen -W ${quoted(names)} -- "$word")) ;;`,
    "  esac",
    "}",
    "complete -F _cvset cvset",
  ].join("\n")}\n`;
}

function zsh(verbs: VerbTable): string {
  const text = (words: string): string => words.replace(/[[\]:\\]/g, "\\$&");
  const action = ({ words, files }: Values): string => {
    const list = words.length ? `(${words.map((word) => word.replace(/[ ()]/g, "\\$&")).join(" ")})` : "";
    // Only decoders are both.
    if (words.length && files) return "_cvset_decoders";
    return list || (files ? "_files" : " ");
  };
  const cases = verbs.flatMap(([name, verb]) => {
    const options = Object.entries(optionsOf(verb)).map(([key, option]) => {
      const value =
        option.kind === "flag"
          ? ""
          : `:${text(option.kind === "words" ? key : option.value)}:${action(valuesOf(option))}`;
      const help = `[${text(option.help)}]`;
      const long = `--${key}${value ? "=" : ""}`;
      if (!option.short) return quoted(`${long}${help}${value}`);
      const all = spellings(key, option).join(" ");
      return `${quoted(`(${all})`)}{-${option.short}${value ? "+" : ""},${long}}${quoted(`${help}${value}`)}`;
    });
    const rest = verb.arguments.map((argument, i) => {
      const many = argument.many || i >= verb.arguments.length;
      return quoted(`${many ? "*" : ""}:${text(argument.name)}:${action(valuesOf(argument))}`);
    });
    return [
      `    ${name})`,
      "      _arguments -s -S : \\",
      `        ${[...options, ...rest].join(" \\\n        ")} ;;`,
    ];
  });
  return `${[
    "#compdef cvset",
    "# Completion of cvset for zsh: put it into a folder of $fpath, as _cvset.",
    "_cvset_decoders() {",
    `  _alternative 'names:decoder:(${decoderNames.join(" ")})' files:file:_files`,
    "}",
    "_cvset() {",
    "  local -a verbs",
    "  verbs=(",
    ...verbs.map(([name, { summary }]) => `    ${quoted(`${name}:${summary}`)}`),
    "  )",
    "  if (( CURRENT == 2 )); then _describe -t verbs verb verbs; return; fi",
    "  shift words",
    "  (( CURRENT-- ))",
    "  case $words[1] in",
    ...cases,
    "    help) _describe -t verbs verb verbs ;;",
    "  esac",
    "}",
    '_cvset "$@"',
  ].join("\n")}\n`;
}

function fish(verbs: VerbTable): string {
  const lines = verbs.flatMap(([name, verb]) => {
    const when = `-n '__fish_seen_subcommand_from ${name}'`;
    const options = Object.entries(optionsOf(verb)).map(([key, option]) => {
      const { words, files } = valuesOf(option);
      const value = option.kind === "flag" ? "" : files ? " -r -F" : " -x";
      const list = words.length ? ` -a ${quoted(words.join(" "))}` : "";
      const short = option.short ? ` -s ${option.short}` : "";
      return `complete -c cvset ${when}${short} -l ${key}${value}${list} -d ${quoted(option.help)}`;
    });
    const { words, files } = argumentValues(verb);
    return [
      `complete -c cvset -n __fish_use_subcommand -f -a ${name} -d ${quoted(verb.summary)}`,
      ...options,
      ...(words.length || !files
        ? [
            `complete -c cvset ${when}${files ? "" : " -f"}${words.length ? ` -a ${quoted(words.join(" "))}` : ""}`,
          ]
        : []),
    ];
  });
  return `${[
    "# Completion of cvset for fish: put it into ~/.config/fish/completions, as cvset.fish.",
    ...lines,
  ].join("\n")}\n`;
}
