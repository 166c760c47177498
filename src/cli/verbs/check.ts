import { countsText } from "../../check/finding.js";
import { Fleet } from "../../check/fleet.js";
import {
  type Counts,
  countFindings,
  type Finding,
  hasFailed,
  type Rule,
  ruleList,
  standardRules,
} from "../../check/index.js";
import { githubCommand } from "../../check/report/github.js";
import { junitFoot, junitHead, junitSuite } from "../../check/report/junit.js";
import { SarifRun, sarifHead } from "../../check/report/sarif.js";
import { findingText } from "../../check/report/text.js";
import { placesInWords } from "../../cv/places-text.js";
import { decoderFor } from "../decoders.js";
import { checked, decodersOf, descriptionRule } from "../fleet-input.js";
import { nameOfInput } from "../input.js";
import { wrap } from "../layout.js";
import { defineVerb, formatOption, type Io, shared, Unusable } from "../verb.js";
import { endings, filesBehind } from "../walk.js";

declare const CVSET_VERSION: string;

const formats = ["text", "json", "sarif", "junit", "github"] as const;
type Format = (typeof formats)[number];

/** How many findings by one rule about one set are told in full. */
const mostTold = 3;

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
    const rules = [...standardRules, ...io.plugIns.rules];
    if (options.rules) return listRules(paths, rules, io);
    if (paths.length === 0) throw new Unusable("name a file or folder to check, or - for standard input");
    const terms = { ...termsOf(options), rules };
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
        report.count(file.path);
        await report.add(findings, name);
        // The reader has gone and the verdict is known: nothing is left to do.
        if (io.isClosed && hasFailed(report.counts, { strict })) return 1;
      }
    }
    io.progress("");
    if (report.sets === 0) throw new Unusable("there is nothing to check among these");
    // They may be as many as the sets.
    for (const finding of fleet.together.across()) await report.addAcross(finding);
    await report.finish(ruleList(rules, decoders.used()));
    return hasFailed(report.counts, { strict }) ? 1 : 0;
  },
});

function listRules(paths: readonly string[], rules: readonly Rule[], io: Io): 0 {
  if (paths.length) throw new Unusable("--rules lists the rules; it checks no file");
  for (const { name, severity, summary, source } of [...ruleList(rules), descriptionRule]) {
    io.line(`${name} (${severity})`);
    for (const text of [summary, source])
      io.line(...wrap(text, Math.max(40, io.width) - 4).map((line) => `    ${line}`));
  }
  return 0;
}

/** Writes findings as they come, so that a fleet of any size needs little memory. */
class Report {
  counts: Counts = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
  /** How many sets, settings and descriptions were checked. */
  sets = 0;
  readonly #files = new Set<string>();
  readonly #sarif: SarifRun;
  readonly #timestamp = new Date().toISOString().slice(0, 19);
  /** Findings across sets that are told together, by what they have in common. */
  readonly #across = new Map<string, { count: number; last: Finding; readonly cvs: Set<string> }>();
  /** How many findings or, of a JUnit report, suites were written. */
  #written = 0;

  constructor(
    readonly format: Format,
    readonly strict: boolean,
    /** The files as they are called. */
    readonly files: ReadonlySet<string>,
    readonly io: Io,
  ) {
    this.#sarif = new SarifRun([...files]);
  }

  count(path: string): void {
    this.sets++;
    this.#files.add(path);
    if (this.sets % 500 === 0) this.io.progress(`${this.sets} checked`);
  }

  /** Writes the findings about one set, which has a part of its own in a JUnit report. */
  async add(all: readonly Finding[], name: string): Promise<void> {
    this.counts = sum(this.counts, countFindings(all));
    if (this.format === "junit") return this.#suite(all, name);
    // A finding stands in a file that a program can open.
    const findings = all.map((finding) => inItsFile(finding, this.files));
    for (const finding of findings) {
      if (this.format === "text") await this.#one(finding);
      else await this.#write(finding, this.format);
    }
  }

  /** Writes a finding about several sets. */
  async addAcross(finding: Finding): Promise<void> {
    if (this.format !== "text") return this.add([finding], finding.file);
    this.counts = sum(this.counts, countFindings([finding]));
    const own = inItsFile(finding, this.files);
    const key = groupOf(own);
    const group = this.#across.get(key) ?? { count: 0, last: own, cvs: new Set() };
    this.#across.set(key, group);
    if (++group.count <= mostTold) return this.#one(own);
    group.last = own;
    for (const cv of own.cvs) group.cvs.add(cv);
  }

  async #write(finding: Finding, format: "json" | "sarif" | "github"): Promise<void> {
    const { io } = this;
    if (format === "github") {
      if (finding.silenced === undefined) await io.flow(`${githubCommand(finding)}\n`, "commands");
      return;
    }
    const item = format === "json" ? finding : this.#sarif.resultOf(finding);
    const text = JSON.stringify(item, null, 2).replaceAll("\n", "\n    ");
    await io.flow(`${this.#written++ === 0 ? start(format) : ","}\n    ${text}`, "json");
  }

  async #suite(findings: readonly Finding[], name: string): Promise<void> {
    if (this.#written === 0) await this.io.flow(junitHead, "markup");
    const { strict } = this;
    const shared = { strict, version: CVSET_VERSION, timestamp: this.#timestamp, hostname: "localhost" };
    await this.io.flow(junitSuite(name, findings, { ...shared, id: this.#written++ }), "markup");
  }

  async #one(finding: Finding): Promise<void> {
    const paint = (text: string, look: Finding["severity"] | "silenced"): string =>
      this.io.paint(text, look === "silenced" ? "quiet" : look);
    for (const line of findingText(finding, paint).split("\n")) await this.io.flow(line);
  }

  async #more(
    { file, severity, rule, silenced }: Finding,
    count: number,
    cvs: Iterable<string>,
  ): Promise<void> {
    const places = [...cvs].map((cv) => ({ cv, mask: 255 }));
    const about = places.length ? `: ${placesInWords(places)}` : "";
    const word = this.io.paint(severity, silenced === undefined ? severity : "quiet");
    await this.io.flow(`${file}: ${word}: ${count} more like this${about} [${rule}]`);
  }

  async finish(rules: ReturnType<typeof ruleList>): Promise<void> {
    const { format, io, counts } = this;
    for (const { count, last, cvs } of this.#across.values()) {
      if (count === mostTold + 1) await this.#one(last);
      else if (count > mostTold) await this.#more(last, count - mostTold, cvs);
    }
    // One file may hold many sets.
    const held = this.#files.size;
    const files = `${held} file${held === 1 ? "" : "s"}`;
    const what = this.sets > held ? `${this.sets} sets in ${files}` : files;
    if (format === "text" || format === "github") return io.flow(`${what} checked: ${countsText(counts)}`);
    if (format === "junit") return io.flow(junitFoot, "markup");
    const begun = this.#written ? "\n  ]" : `${start(format)}]`;
    const ended =
      format === "json"
        ? `${membersOf({ files: this.sets, ...counts })}\n`
        : `${membersOf(this.#sarif.about([...rules, descriptionRule], CVSET_VERSION))}]\n}\n`;
    await io.flow(`${begun},\n${ended}`, "json");
  }
}

/** What findings have in common that are told together. */
function groupOf({ file, rule, silenced = "" }: Finding): string {
  return `${file}\n${rule}\n${silenced}`;
}

/** The beginning of a JSON document, up to the list of findings. */
function start(format: "json" | "sarif"): string {
  if (format === "json") return '{\n  "findings": [';
  return `{\n${membersOf(sarifHead).replace(/\n}$/, "")},\n  "runs": [{\n  "results": [`;
}

/** The members of an object, as the end of a JSON text that has others before them. */
function membersOf(object: object): string {
  return JSON.stringify(object, null, 2).slice(2);
}

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
  const forWriting = options["for-writing"];
  if (withinMm === undefined || topSpeedMmPerS === undefined) {
    if (withinMm !== topSpeedMmPerS) throw new Unusable("--stop-within and --top-speed go together");
    return { forWriting };
  }
  for (const [name, value] of [
    ["stop-within", withinMm],
    ["top-speed", topSpeedMmPerS],
  ] as const)
    if (!(value > 0)) throw new Unusable(`--${name} ${value}: more than 0 is needed`);
  return { forWriting, stopping: { withinMm, topSpeedMmPerS } };
}

/** A finding about one of many sets of a file, which is called by its line, as one of the file itself. */
function inItsFile(finding: Finding, names: ReadonlySet<string>): Finding {
  const [, file = "", line] = /^(.*):(\d+)$/s.exec(finding.file) ?? [];
  return names.has(file) && !names.has(finding.file)
    ? { ...finding, file, line: finding.line ?? Number(line) }
    : finding;
}
