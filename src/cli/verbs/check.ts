import {
  countFindings,
  countsText,
  type Finding,
  Fleet,
  type FleetOptions,
  findingText,
  formatGithub,
  formatJson,
  formatJunit,
  formatSarif,
  hasFailed,
  type Report,
  ruleList,
} from "../../check/index.js";
import { checked, decodersOf, inputsOf } from "../fleet-input.js";
import { nameOfInput } from "../input.js";
import { wrap } from "../layout.js";
import {
  formatOption,
  numberOption,
  type OptionValues,
  shared,
  textOption,
  Unusable,
  type Verb,
} from "../verb.js";

declare const CVSET_VERSION: string;

const formats = ["text", "json", "sarif", "junit", "github"] as const;
const looks = { error: "31", warning: "33", note: "36", silenced: "2" } as const;

export const verb: Verb = {
  summary: "Whether CV sets and settings make sense, each alone and all together",
  usage: "FILE|FOLDER...",
  about: `Files are CV sets (JSON, CSV, plain lists, or one JSON document a line) and settings files; in folders, all of
those with the endings .json, .jsonl, .csv and .txt, decoder descriptions excepted. A file silences a finding with
"silence": [{ "rule": "...", "cvs": ["29"], "reason": "..." }]; it is counted all the same. Exit status 1 when there
is an error (with --strict, a warning).`,
  options: {
    decoder: shared.decoder,
    format: {
      type: "string",
      short: "f",
      value: formats.join("|"),
      help: "how to write the findings; text without it",
    },
    strict: { type: "boolean", short: "s", help: "warnings make it fail too" },
    "for-writing": {
      type: "boolean",
      short: "w",
      help: "the sets are to be written to a decoder, not only kept",
    },
    "stop-within": {
      type: "string",
      value: "MM",
      help: "the distance on the model that a locomotive has to stop in",
    },
    "top-speed": {
      type: "string",
      value: "MM/S",
      help: "with --stop-within: the model's speed at the top step",
    },
    rules: { type: "boolean", help: "list the rules instead" },
    json: { type: "boolean", help: "as --format json" },
  },
  examples: [
    "cvset check no9.cvs.json",
    "cvset check locomotives/ --strict --format github",
    "cvset check - --json",
  ],
  async run(call) {
    const { options, io, positionals } = call;
    const format = formatOption(options, formats, "text");
    if (options["rules"]) {
      if (positionals.length) throw new Unusable("--rules lists the rules; it checks no file");
      for (const { name, severity, summary, source } of ruleList()) {
        io.print(`${name} (${severity})\n`);
        for (const text of [summary, source])
          for (const line of wrap(text, Math.max(40, io.width) - 4)) io.print(`    ${line}\n`);
      }
      return 0;
    }
    if (positionals.length === 0)
      throw new Unusable("name a file or folder to check, or - for standard input");
    const terms = termsOf(options);
    const inputs = await inputsOf(positionals);
    const strict = options["strict"] === true;
    const paint = io.colour
      ? (text: string, look: keyof typeof looks) => `\u001b[${looks[look]}m${text}\u001b[0m`
      : undefined;
    // Text goes out as it comes, so that a fleet of any size needs little memory; a report in one piece is kept.
    const flows = format === "text";
    const kept: Finding[] = [];
    const files: string[] = [];
    const counts = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
    const paths = new Set(inputs.map(({ path }) => nameOfInput(path)));
    const take = async (all: readonly Finding[]): Promise<void> => {
      // A JUnit suite is one set; elsewhere a finding stands in a file that a program can open.
      const findings = format === "junit" ? all : all.map((finding) => inItsFile(finding, paths));
      const more = countFindings(findings);
      for (const key of ["errors", "warnings", "notes", "silenced"] as const) counts[key] += more[key];
      if (!flows) kept.push(...findings);
      else
        for (const finding of findings) await io.write(`${findingText(finding, paint ? { paint } : {})}\n`);
    };

    const fleet = new Fleet(terms);
    const asked = decodersOf(textOption(options, "decoder"), io);
    let count = 0;
    let passedOver = 0;
    for (const input of inputs) {
      const before = count;
      for await (const { name, findings } of checked(input, fleet, asked, io)) {
        count++;
        if (!flows) files.push(name);
        await take(findings);
        if (count % 500 === 0) io.progress(`${count} checked`);
      }
      if (count === before) passedOver++;
    }
    io.progress("");
    if (passedOver === inputs.length)
      throw new Unusable("there is no CV set and no settings file among these");
    await take(fleet.finish());

    const report: Report = {
      files,
      findings: kept,
      strict,
      version: CVSET_VERSION,
      rules: ruleList(undefined, asked.used()),
    };
    if (flows) {
      // Descriptions in folders are passed over, and one file may hold many sets.
      const held = Math.min(count, inputs.length);
      const files = `${held} file${held === 1 ? "" : "s"}`;
      const what = count > held ? `${count} sets in ${files}` : files;
      await io.write(`${what} checked: ${countsText(counts)}\n`);
    } else if (format === "github") io.print(formatGithub(report));
    else if (format === "junit") {
      io.print(formatJunit(report, { timestamp: new Date().toISOString().slice(0, 19) }));
    } else if (format === "sarif") {
      io.print(`${JSON.stringify(formatSarif({ ...report, files: [...paths] }), null, 2)}\n`);
    } else io.print(`${JSON.stringify(formatJson(report), null, 2)}\n`);
    return hasFailed(counts, { strict }) ? 1 : 0;
  },
};

function termsOf(options: OptionValues): FleetOptions {
  const withinMm = numberOption(options, "stop-within");
  const topSpeedMmPerS = numberOption(options, "top-speed");
  if ((withinMm === undefined) !== (topSpeedMmPerS === undefined)) {
    throw new Unusable("--stop-within and --top-speed go together");
  }
  for (const [name, value] of [
    ["stop-within", withinMm],
    ["top-speed", topSpeedMmPerS],
  ] as const)
    if (value !== undefined && !(value > 0)) throw new Unusable(`--${name} ${value}: more than 0 is needed`);
  return {
    ...(options["for-writing"] === true && { forWriting: true }),
    ...(withinMm !== undefined && topSpeedMmPerS !== undefined && { stopping: { withinMm, topSpeedMmPerS } }),
  };
}

/** A finding about one of many sets of a file, which is called by its line, as one of the file itself. */
function inItsFile(finding: Finding, paths: ReadonlySet<string>): Finding {
  const [, file = "", line] = /^(.*):(\d+)$/.exec(finding.file) ?? [];
  return paths.has(file) ? { ...finding, file, line: finding.line ?? Number(line) } : finding;
}
