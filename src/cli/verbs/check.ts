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
import { checked, decodersOf } from "../fleet-input.js";
import { nameOfInput } from "../input.js";
import { wrap } from "../layout.js";
import { defineVerb, formatOption, shared, Unusable } from "../verb.js";
import { endings, filesBehind } from "../walk.js";

declare const CVSET_VERSION: string;

const formats = ["text", "json", "sarif", "junit", "github"] as const;

export const verb = defineVerb({
  summary: "Whether CV sets and settings make sense, each alone and all together",
  arguments: [{ name: "FILE|FOLDER", what: "files and folders", kind: "file", optional: true, many: true }],
  about: `Files are CV sets (JSON, CSV, plain lists, or one JSON document a line) and settings files; in folders, all of
those with the endings .json, .jsonl, .csv and .txt, decoder descriptions excepted. A file silences a finding with
"silence": [{ "rule": "...", "cvs": ["29"], "reason": "..." }]; it is counted all the same. Exit status 1 when there
is an error (with --strict, a warning).`,
  options: {
    decoder: shared.decoder,
    format: {
      kind: "words",
      short: "f",
      words: formats,
      help: "how to write the findings; text without it",
    },
    strict: { kind: "flag", help: "warnings make it fail too" },
    "for-writing": {
      kind: "flag",
      short: "w",
      help: "the sets are to be written to a decoder, not only kept",
    },
    "stop-within": {
      kind: "number",
      value: "MM",
      help: "the distance on the model that a locomotive has to stop in",
    },
    "top-speed": {
      kind: "number",
      value: "MM/S",
      help: "with --stop-within: the model's speed at the top step",
    },
    rules: { kind: "flag", help: "list the rules instead" },
    json: { kind: "flag", help: "as --format json" },
  },
  examples: [
    "cvset check no9.cvs.json",
    "cvset check locomotives/ --strict --format github",
    "cvset check - --json",
  ],
  async run(call) {
    const { arguments: paths, options, io } = call;
    const format = formatOption(options, "text");
    if (options.rules) {
      if (paths.length) throw new Unusable("--rules lists the rules; it checks no file");
      for (const { name, severity, summary, source } of ruleList()) {
        io.line(`${name} (${severity})`);
        for (const text of [summary, source])
          io.line(...wrap(text, Math.max(40, io.width) - 4).map((line) => `    ${line}`));
      }
      return 0;
    }
    if (paths.length === 0) throw new Unusable("name a file or folder to check, or - for standard input");
    const terms = termsOf(options);
    const { files: inputs, remarks } = await filesBehind(paths);
    for (const remark of remarks) io.say(remark);
    if (inputs.length === 0)
      throw new Unusable(`there is no file to check (${endings.join(", ")}) in ${paths.join(", ")}`);
    const strict = options.strict;
    const paint = (text: string, look: Finding["severity"] | "silenced"): string =>
      io.paint(text, look === "silenced" ? "quiet" : look);
    // Text goes out as it comes, so that a fleet of any size needs little memory; a report in one piece is kept.
    const flows = format === "text";
    const kept: Finding[] = [];
    const files: string[] = [];
    const counts = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
    const names = new Set(inputs.map(({ path }) => nameOfInput(path)));
    const take = async (all: readonly Finding[]): Promise<void> => {
      // A JUnit suite is one set; elsewhere a finding stands in a file that a program can open.
      const findings = format === "junit" ? all : all.map((finding) => inItsFile(finding, names));
      const more = countFindings(findings);
      for (const key of ["errors", "warnings", "notes", "silenced"] as const) counts[key] += more[key];
      if (!flows) kept.push(...findings);
      else
        for (const finding of findings)
          for (const line of findingText(finding, { paint }).split("\n")) await io.flow(line);
    };

    const fleet = new Fleet(terms);
    const asked = decodersOf(options.decoder, io);
    let count = 0;
    let passedOver = 0;
    for (const input of inputs) {
      const before = count;
      for await (const { name, findings } of checked(input, fleet, asked, io)) {
        count++;
        if (!flows) files.push(name);
        await take(findings);
        if (count % 500 === 0) io.progress(`${count} checked`);
        // The reader has gone and the verdict is known: nothing is left to do.
        if (io.isClosed && hasFailed(counts, { strict })) return 1;
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
      await io.flow(`${what} checked: ${countsText(counts)}`);
    } else if (format === "github") io.document(formatGithub(report), "commands");
    else if (format === "junit") {
      const timestamp = new Date().toISOString().slice(0, 19);
      io.document(formatJunit(report, { timestamp }), "markup");
    } else if (format === "sarif") {
      io.json(formatSarif({ ...report, files: [...names] }));
    } else io.json(formatJson(report));
    return hasFailed(counts, { strict }) ? 1 : 0;
  },
});

function termsOf(options: {
  readonly "stop-within": number | undefined;
  readonly "top-speed": number | undefined;
  readonly "for-writing": boolean;
}): FleetOptions {
  const { "stop-within": withinMm, "top-speed": topSpeedMmPerS } = options;
  if ((withinMm === undefined) !== (topSpeedMmPerS === undefined)) {
    throw new Unusable("--stop-within and --top-speed go together");
  }
  for (const [name, value] of [
    ["stop-within", withinMm],
    ["top-speed", topSpeedMmPerS],
  ] as const)
    if (value !== undefined && !(value > 0)) throw new Unusable(`--${name} ${value}: more than 0 is needed`);
  return {
    ...(options["for-writing"] && { forWriting: true }),
    ...(withinMm !== undefined && topSpeedMmPerS !== undefined && { stopping: { withinMm, topSpeedMmPerS } }),
  };
}

/** A finding about one of many sets of a file, which is called by its line, as one of the file itself. */
function inItsFile(finding: Finding, paths: ReadonlySet<string>): Finding {
  const [, file = "", line] = /^(.*):(\d+)$/.exec(finding.file) ?? [];
  return paths.has(file) ? { ...finding, file, line: finding.line ?? Number(line) } : finding;
}
