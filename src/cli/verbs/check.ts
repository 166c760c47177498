import { countsText } from "../../check/finding.js";
import { Fleet } from "../../check/fleet.js";
import {
  type CheckReport,
  type Counts,
  countFindings,
  type Finding,
  formatJunit,
  formatSarif,
  hasFailed,
  ruleList,
} from "../../check/index.js";
import { githubCommand } from "../../check/report/github.js";
import { findingText } from "../../check/report/text.js";
import { decoderFor } from "../decoders.js";
import { checked, decodersOf, descriptionRule } from "../fleet-input.js";
import { nameOfInput } from "../input.js";
import { wrap } from "../layout.js";
import { defineVerb, formatOption, type Io, shared, Unusable } from "../verb.js";
import { endings, filesBehind } from "../walk.js";

declare const CVSET_VERSION: string;

const formats = ["text", "json", "sarif", "junit", "github"] as const;
type Format = (typeof formats)[number];

export const verb = defineVerb({
  summary: "Whether CV sets and settings make sense, each alone and all together",
  arguments: [{ name: "FILE|FOLDER", what: "files and folders", kind: "file", optional: true, many: true }],
  about: `Files are CV sets (JSON, CSV, plain lists, or one JSON document a line), settings files, plans and decoder
descriptions; in folders, all of those with the endings ${endings.join(", ")}. A file silences a finding with
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
  async run({ arguments: paths, options, io }) {
    const format = formatOption(options, "text");
    if (options.rules) return listRules(paths, io);
    if (paths.length === 0) throw new Unusable("name a file or folder to check, or - for standard input");
    const terms = termsOf(options);
    const fleet = { together: new Fleet(terms), apart: new Fleet(terms) };
    const asked =
      options.decoder === undefined ? undefined : await decoderFor(options.decoder, undefined, io);
    const decoders = decodersOf(asked, io);
    const { files, remarks } = await filesBehind(paths);
    for (const remark of remarks) io.say(remark);
    if (files.length === 0)
      throw new Unusable(`there is no file to check (${endings.join(", ")}) in ${paths.join(", ")}`);
    const { strict } = options;
    const report = new Report(format, strict, new Set(files.map(({ path }) => nameOfInput(path))), io);
    for (const file of files) {
      for await (const { name, findings } of checked(file, fleet, decoders, io)) {
        report.count(name, file.path);
        await report.add(findings);
        // The reader has gone and the verdict is known: nothing is left to do.
        if (io.isClosed && hasFailed(report.counts, { strict })) return 1;
      }
    }
    io.progress("");
    if (report.sets === 0) throw new Unusable("there is nothing to check among these");
    await report.add(fleet.together.finish());
    await report.finish(ruleList(undefined, decoders.used()));
    return hasFailed(report.counts, { strict }) ? 1 : 0;
  },
});

function listRules(paths: readonly string[], io: Io): 0 {
  if (paths.length) throw new Unusable("--rules lists the rules; it checks no file");
  for (const { name, severity, summary, source } of [...ruleList(), descriptionRule]) {
    io.line(`${name} (${severity})`);
    for (const text of [summary, source])
      io.line(...wrap(text, Math.max(40, io.width) - 4).map((line) => `    ${line}`));
  }
  return 0;
}

/**
 * Writes findings. Text, JSON and workflow commands go out as they come, so that a fleet of any size needs little
 * memory; a report that is one piece is kept.
 */
class Report {
  counts: Counts = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
  /** How many sets, settings and descriptions were checked. */
  sets = 0;
  readonly #kept: Finding[] = [];
  readonly #names: string[] = [];
  readonly #files = new Set<string>();
  #written = 0;

  constructor(
    readonly format: Format,
    readonly strict: boolean,
    /** The files as they are called. */
    readonly files: ReadonlySet<string>,
    readonly io: Io,
  ) {}

  count(name: string, path: string): void {
    this.sets++;
    this.#files.add(path);
    // A report in one piece lists what was checked.
    if (this.format === "junit") this.#names.push(name);
    if (this.sets % 500 === 0) this.io.progress(`${this.sets} checked`);
  }

  async add(all: readonly Finding[]): Promise<void> {
    const { format, io } = this;
    // A JUnit suite is one set; elsewhere a finding stands in a file that a program can open.
    const findings = format === "junit" ? all : all.map((finding) => inItsFile(finding, this.files));
    this.counts = sum(this.counts, countFindings(findings));
    for (const finding of findings) {
      this.#written++;
      if (format === "text") {
        for (const line of findingText(finding, (text, look) => io.paint(text, lookOf(look))).split("\n"))
          await io.flow(line);
      } else if (format === "json") {
        const text = JSON.stringify(finding, null, 2).replaceAll("\n", "\n    ");
        await io.flow(`${this.#written === 1 ? '{\n  "findings": [' : ","}\n    ${text}`, "json");
      } else if (format !== "github") this.#kept.push(finding);
      else if (finding.silenced === undefined) await io.flow(`${githubCommand(finding)}\n`, "commands");
    }
  }

  async finish(rules: ReturnType<typeof ruleList>): Promise<void> {
    const { format, io, counts, strict } = this;
    const report: CheckReport = {
      files: format === "sarif" ? [...this.files] : this.#names,
      findings: this.#kept,
      strict,
      version: CVSET_VERSION,
      rules: [...rules, descriptionRule],
    };
    // One file may hold many sets.
    const held = this.#files.size;
    const files = `${held} file${held === 1 ? "" : "s"}`;
    const what = this.sets > held ? `${this.sets} sets in ${files}` : files;
    if (format === "text" || format === "github") await io.flow(`${what} checked: ${countsText(counts)}`);
    else if (format === "json") {
      const head = this.#written ? "\n  ]" : '{\n  "findings": []';
      const rest = JSON.stringify({ files: this.sets, ...counts }, null, 2).slice(2);
      await io.flow(`${head},\n${rest}\n`, "json");
    } else if (format === "junit") {
      const timestamp = new Date().toISOString().slice(0, 19);
      io.document(formatJunit(report, { timestamp }), "markup");
    } else io.document(formatSarif(report), "json");
  }
}

const lookOf = (look: Finding["severity"] | "silenced") => (look === "silenced" ? "quiet" : look);

function sum(one: Counts, other: Counts): Counts {
  return {
    errors: one.errors + other.errors,
    warnings: one.warnings + other.warnings,
    notes: one.notes + other.notes,
    silenced: one.silenced + other.silenced,
  };
}

function termsOf(options: {
  readonly "stop-within": number | undefined;
  readonly "top-speed": number | undefined;
  readonly "for-writing": boolean;
}): ConstructorParameters<typeof Fleet>[0] {
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
function inItsFile(finding: Finding, names: ReadonlySet<string>): Finding {
  const [, file = "", line] = /^(.*):(\d+)$/s.exec(finding.file) ?? [];
  return names.has(file) && !names.has(finding.file)
    ? { ...finding, file, line: finding.line ?? Number(line) }
    : finding;
}
