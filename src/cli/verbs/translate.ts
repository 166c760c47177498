import type { CvSet } from "../../cv/cvset.js";
import { CvError, messageOf } from "../../cv/issue.js";
import { placesInWords } from "../../cv/places-text.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import type { JsonDocument } from "../../files/json.js";
import {
  type Decision,
  meaningNotes,
  meaningsOf,
  type Term,
  type Translation,
  type TranslationRow,
  translate,
} from "../../meaning/index.js";
import { decoderFor } from "../decoders.js";
import { cvSetFrom, givenCvs } from "../given-cvs.js";
import { exists, headOf, inFile, inputFrom, jsonFrom } from "../input.js";
import { columns, wrap } from "../layout.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "A locomotive's settings for another decoder, carried by what they mean",
  arguments: [{ name: "CVS", what: "a CV set or settings", kind: "file" }],
  usage: "--to DECODER [--decisions FILE] [--json --output FILE]",
  about: `The report accounts for every setting of both decoders: carried, approximated (with the error), lost (with the
reason), left at its default, or undecided. --json writes the CVs for the other decoder with the report, as a CV set that
every verb reads. With --decisions, what is undecided is added to FILE as a question; write an option in the place of
null, or remove "use" to leave the setting as it is, and run it again. The answers hold for other locomotives too. Exit
status 1 while anything is undecided.`,
  options: {
    to: { kind: "decoder", value: "NAME|FILE", help: "the decoder that is to have the settings" },
    decisions: {
      kind: "file",
      value: "FILE",
      help: "decisions made before; questions that are open are added to it",
    },
    base: { kind: "file", short: "b", value: "CVS", help: "the CVs that are in the other decoder now" },
    decoder: shared.decoder,
    pick: shared.pick,
    nearest: shared.nearest,
    json: shared.json,
  },
  examples: [
    "cvset translate no9.cvs.json --to dunlin-m6",
    "cvset translate no9.cvs.json --to dunlin-m6 --json --output no9-dunlin.cvs.json",
    "cvset translate no9.settings.json --to my-decoder.json --decisions decisions.json",
  ],
  async run({ arguments: [path], options, io }) {
    const { to: wanted, decoder: asked, pick, nearest } = options;
    if (wanted === undefined)
      throw new Unusable("--to DECODER: name the decoder that is to have the settings");
    const input = await inputFrom(path, io, pick);
    const given = await givenCvs(input, io, { asked, nearest });
    const from = given.decoder ?? (await decoderFor(asked, input, io));
    const to = await decoderFor(wanted, undefined, io);
    // A description that is read twice is another object, with the same notes.
    for (const decoder of from.id === to.id ? [from] : [from, to]) tellNotes(decoder, io);
    const base = options.base === undefined ? undefined : (await cvSetFrom(options.base, io)).cvs;
    const kept = options.decisions === undefined ? undefined : await keptIn(options.decisions, from, to, io);
    const made = translated(given.cvs, from, to, { kept, base, terms: io.plugIns.terms });
    if (kept) keep(kept, made, given.cvs, from, to, io);
    const { name } = headOf(input);
    if (options.json) io.json(jsonOf(made, from, to, name));
    else tell(made, from, to, name, io);
    return made.report.some(({ result }) => result === "undecided") ? 1 : 0;
  },
});

/** What a file of decisions holds. */
interface Kept {
  readonly path: string;
  /** The file; undefined where it has not been written yet. */
  readonly json: JsonDocument | undefined;
  /** Its entries as they are. */
  readonly entries: readonly Entry[];
}

/** A decision, or with `null` in the place of the answer a question. */
interface Entry {
  readonly to: string | null;
  readonly from?: string;
  readonly when?: unknown;
  readonly use?: unknown;
  readonly options?: readonly unknown[];
}

async function keptIn(path: string, from: AnyDecoder, to: AnyDecoder, io: Io): Promise<Kept> {
  if (!(await exists(path))) return { path, json: undefined, entries: [] };
  const json = await jsonFrom(path, io);
  const value = json.value as { from?: unknown; to?: unknown; decisions?: unknown } | null;
  if (typeof value !== "object" || !Array.isArray(value?.decisions))
    throw new Unusable(`${path}: this is no file of decisions: { "decisions": [ ... ] } is expected`);
  for (const [name, decoder] of [
    ["from", from],
    ["to", to],
  ] as const) {
    const id = value[name];
    if (id !== undefined && id !== decoder.id)
      throw new Unusable(
        `${path}: these are decisions "${name}" ${String(id)}, and here it is ${decoder.id}`,
      );
  }
  return { path, json, entries: value.decisions as Entry[] };
}

/** Whether an entry is still a question. */
function isOpen(entry: Entry): boolean {
  return entry?.to === null || entry?.use === null;
}

function translated(
  cvs: CvSet,
  from: AnyDecoder,
  to: AnyDecoder,
  {
    kept,
    base,
    terms,
  }: {
    readonly kept: Kept | undefined;
    readonly base: CvSet | undefined;
    readonly terms: readonly Term[];
  },
): Translation {
  const answered = (kept?.entries ?? [])
    .map((entry, i) => ({ entry, i }))
    .filter(({ entry }) => !isOpen(entry));
  const decisions = answered.map(({ entry }) => entry as Decision);
  try {
    return translate(cvs, from, to, { decisions, terms, ...(base && { base }) });
  } catch (error) {
    if (!(error instanceof CvError) || !kept?.json) throw error;
    // Questions were left out, so the places in the list differ.
    const issues = error.issues.map((issue) => {
      const path = issue.path.replace(
        /^decisions\.(\d+)/,
        (_, i: string) => `decisions.${answered[Number(i)]?.i}`,
      );
      return { ...issue, path };
    });
    throw inFile(kept.path, kept.json, issues);
  }
}

/** Adds what is undecided to the file of decisions, as questions. */
function keep(
  { path, json, entries }: Kept,
  { report }: Translation,
  cvs: CvSet,
  from: AnyDecoder,
  to: AnyDecoder,
  io: Io,
): void {
  const settings = meaningsOf(from, { terms: io.plugIns.terms });
  const questions = report.flatMap((row): Entry[] => {
    if (row.result !== "undecided") return [];
    const { path: source, to: target, options } = row;
    const choice = options?.length ? { options } : {};
    if (target === undefined) return [{ to: null, ...(source !== undefined && { from: source }), ...choice }];
    const read = settings.find((one) => one.path === source)?.codec.tryDecode(cvs);
    const when = read?.ok ? { when: read.value } : {};
    return [{ to: target, ...when, use: null, ...choice }];
  });
  const isKnown = (one: Entry): boolean =>
    entries.some(
      (entry) =>
        entry.to === one.to &&
        entry.from === one.from &&
        JSON.stringify(entry.when) === JSON.stringify(one.when),
    );
  const added = questions.filter((one) => !isKnown(one));
  if (added.length === 0) return;
  const old = (json?.value ?? {}) as object;
  const file = { from: from.id, to: to.id, ...old, decisions: [...entries, ...added] };
  io.replace(path, `${JSON.stringify(file, null, 2)}\n`);
  io.say(
    `note: ${path}: ${added.length} ${added.length === 1 ? "question was" : "questions were"} added; answer in the place of null`,
  );
}

/** What is questionable in a description, as far as it keeps settings from being carried. */
function tellNotes(decoder: AnyDecoder, io: Io): void {
  const notes = meaningNotes(decoder, { terms: io.plugIns.terms });
  for (const note of notes.slice(0, mostNotes)) io.say(`note: ${decoder.id}: ${messageOf(note)}`);
  if (notes.length > mostNotes) io.say(`note: ${decoder.id}: and ${notes.length - mostNotes} more`);
}

const mostNotes = 10;

function jsonOf(
  { cvs, report, unowned }: Translation,
  from: AnyDecoder,
  to: AnyDecoder,
  name: string | undefined,
): unknown {
  const rows = report.map(({ path, to: target, result, reason, error, unit, options }) => ({
    path: path ?? null,
    to: target ?? null,
    result,
    reason: reason ? messageOf(reason) : null,
    error: error ?? null,
    unit,
    options,
  }));
  // Bits of no feature have no path.
  const others = unowned.map((bits) => ({
    path: null,
    to: null,
    result: "lost",
    reason: `it belongs to no feature of ${from.name}`,
    error: null,
    ...bits,
  }));
  return { decoder: to.id, ...(name !== undefined && { name }), cvs, report: [...rows, ...others] };
}

const titles = {
  undecided: "Undecided: what is to be chosen",
  approximated: "Approximated",
  lost: "Lost",
  default: "Left as they are",
  carried: "Carried, with a remark",
} as const;

function tell(
  { report, unowned }: Translation,
  from: AnyDecoder,
  to: AnyDecoder,
  name: string | undefined,
  io: Io,
): void {
  io.line(`${name === undefined ? "" : `${name}: `}${from.name} to ${to.name}`);
  const plain: string[] = [];
  for (const result of Object.keys(titles) as (keyof typeof titles)[]) {
    const rows = report.filter((row) => row.result === result && (result !== "carried" || row.reason));
    if (rows.length === 0) continue;
    io.line("", `${titles[result]} (${rows.length})`, ...columns(rows.map(wordsOf), io.width, 1));
  }
  for (const row of report) if (row.result === "carried" && !row.reason) plain.push(pathsOf(row));
  if (plain.length)
    io.line(
      "",
      `Carried (${plain.length})`,
      ...wrap(plain.join(", "), io.width - 4).map((line) => `  ${line}`),
    );
  if (unowned.length) {
    const bits = unowned.map(({ cv, mask, value }) =>
      mask === 255 ? `CV ${cv} = ${value}` : placesInWords([{ cv, mask }]),
    );
    io.line(
      "",
      `Of no feature of ${from.name}, and not carried`,
      ...wrap(bits.join(", "), io.width - 4).map((line) => `  ${line}`),
    );
  }
}

function wordsOf(row: TranslationRow): [string, string] {
  const { reason, error, unit, options } = row;
  const off =
    error === undefined
      ? ""
      : ` (${error > 0 ? "+" : ""}${Number(error.toPrecision(3))}${unit ? ` ${unit}` : ""})`;
  const choose = row.result === "undecided" && options?.length ? `: ${options.join(", ")}` : "";
  return [pathsOf(row), `${reason ? messageOf(reason) : ""}${off}${choose}`];
}

function pathsOf({ path, to }: TranslationRow): string {
  if (path === undefined || to === undefined || path === to) return path ?? to ?? "";
  return `${path} \u2192 ${to}`;
}
