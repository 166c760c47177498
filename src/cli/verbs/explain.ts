import { checkSet } from "../../check/index.js";
import type { AnyCodec } from "../../codec/codec.js";
import type { CvSet } from "../../cv/cvset.js";
import { notACv } from "../../cv/faults.js";
import { type Issue, messageOf } from "../../cv/issue.js";
import { keyOf, pageOf, toKey } from "../../cv/name.js";
import { placesInWords } from "../../cv/places-text.js";
import type { AnyDecoder } from "../../decoder/decoder.js";
import { type Explanation, explain } from "../../decoder/explain.js";
import { extendedAddress } from "../../standard/address.js";
import { describeCv } from "../../standard/catalogue.js";
import { allowedBy } from "../allowed.js";
import { decoderFor } from "../decoders.js";
import { givenCvs } from "../given-cvs.js";
import { groupsOf, type Row } from "../groups.js";
import { exists, headOf, type Input, inputFromText, partFrom } from "../input.js";
import { columns, rowLines, wrap } from "../layout.js";
import { mismatch } from "../mismatch.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "What CVs mean, in words",
  arguments: [{ name: "FILE|CVS", what: "a file, or CVs", kind: "file", many: true }],
  about: `FILE is a CV set, settings, a plan; or the CVs themselves stand on the command line, as in "CV29=34" or
"CV29=34, CV17=196, CV18=210". CVs without values, as in CV29, are told with all that they may hold. Exit status 1
when a value stands for nothing.`,
  options: {
    decoder: shared.decoder,
    pick: shared.pick,
    bits: {
      kind: "flag",
      help: "each setting on a line of its own, with the bits that it lives in",
    },
    json: shared.json,
  },
  examples: [
    'cvset explain "CV29=34"',
    "cvset explain CV29",
    "cvset explain no9.cvs.json",
    "cvset explain read-back.txt --decoder quillback-s8 --bits",
  ],
  async run({ arguments: given, options, io }) {
    const asked = options.decoder;
    const named = await namedCvs(given);
    if (named) {
      const decoder = await decoderFor(asked, undefined, io);
      if (options.json) io.json(named.map((cv) => possible(cv, decoder)));
      else for (const [i, cv] of named.entries()) tellPossible(cv, decoder, i > 0, io);
      return 0;
    }
    const typed = await typedCvs(given, io);
    if (!typed && given.length > 1)
      throw new Unusable(`expected one file, or CVs, got ${given.length} arguments`);
    // What is wrong in a file is said, and the rest is explained all the same.
    const { input: file, isPart } = typed ?? (await partFrom(given[0], io, options.pick));
    const { input, cvs, decoder: known } = await givenCvs(file, io, { asked });
    const decoder = known ?? (await decoderFor(asked, undefined, io));
    const told = explain(decoder, cvs);
    const wrong = wrongIn(told, cvs, decoder);
    const failed = wrong.length > 0 || isPart;
    if (options.json) {
      io.json(jsonOf(decoder, told, wrong));
      return failed ? 1 : 0;
    }
    const { name } = headOf(input);
    io.line(`${decoder.name}${name ? `: ${name}` : ""}`);
    // A few CVs are a question about those; for a whole locomotive the standard's names would be noise.
    const isFew = cvs.size <= 4;
    if (isFew) headings(cvs, decoder.kind, io);
    const groups = groupsOf(decoder, told.lines, !isFew && !options.bits);
    const rows = groups.flatMap(({ rows: own }) => own);
    const last = ({ place, path }: Row): string => (isFew || options.bits ? place : path);
    const lines = rowLines(
      rows.map((row) => [row.label, row.text, last(row)]),
      io.width,
    );
    if (isFew && rows.length) io.line("");
    for (const { title, rows: own } of groups) {
      if (!isFew) io.line("", title);
      io.line(...lines.splice(0, own.length).flat());
    }
    tellRest(decoder, cvs, told, wrong, io);
    return failed ? 1 : 0;
  },
});

/** Settings whose CVs are only partly there. */
const isMissing = ({ code }: Issue): boolean => code === "missing-cv";

/** What is wrong: numbers that stand for nothing, and what else cannot be. */
function wrongIn(told: Explanation, cvs: CvSet, decoder: AnyDecoder): string[] {
  const issues = told.issues.filter((issue) => !isMissing(issue));
  const other = mismatch(decoder, cvs, issues);
  if (other !== undefined) return [other];
  const about = new Set(issues.flatMap(({ places = [] }) => places.map(({ cv }) => cv)));
  const findings = checkSet(cvs, { decoder }).filter(
    // What a part of a locomotive lacks is no fault of that part.
    ({ severity, rule, cvs: own }) =>
      severity === "error" && !/-(missing|incomplete)$/.test(rule) && !own.some((cv) => about.has(cv)),
  );
  return [...issues.map((issue) => messageOf(issue)), ...findings.map(({ message }) => message)];
}

function jsonOf(decoder: AnyDecoder, told: Explanation, wrong: readonly string[]): unknown {
  const rows = groupsOf(decoder, told.lines, false).flatMap(({ title, rows: own }) =>
    own.map(({ path, label }) => [path, { group: title, label }] as const),
  );
  const about = new Map(rows);
  return {
    decoder: decoder.id,
    settings: told.settings,
    lines: told.lines.map(({ path, text, places }) => ({
      path,
      text,
      cvs: places.map(({ cv }) => cv),
      ...about.get(path),
    })),
    issues: told.issues.map((issue) => ({ ...issue, message: messageOf(issue) })),
    wrong,
    absent: told.absent,
    unowned: told.unowned,
  };
}

function tellRest(
  decoder: AnyDecoder,
  cvs: CvSet,
  told: Explanation,
  wrong: readonly string[],
  io: Io,
): void {
  section(io, "Not right", wrong);
  section(
    io,
    "Not in the set",
    told.issues.filter(isMissing).map(({ path, places = [] }) => `${path}: ${placesInWords(places)}`),
  );
  const whole = told.unowned.filter(({ mask }) => mask === 255);
  const bits = told.unowned.filter(({ mask }) => mask !== 255);
  section(io, `Of no feature of ${decoder.name}`, [
    ...(whole.length > 12
      ? [placesInWords(whole)]
      : whole.map(({ cv, value }) => `CV ${cv} = ${value}${nameInStandard(cv, decoder.kind)}`)),
    ...bits.map(({ cv, mask }) => `${placesInWords([{ cv, mask }])} (CV ${cv} = ${cvs.get(cv)})`),
  ]);
}

/** CVs without values: `CV29`, `29@16.0`; undefined where the arguments are something else. */
async function namedCvs(given: readonly [string, ...string[]]): Promise<string[] | undefined> {
  const words = given
    .join(" ")
    .split(/[\s,;]+/)
    .filter((word) => word !== "" && !/^cv$/i.test(word));
  const names = words.map((word) => word.replace(/^cv ?#?/i, ""));
  const [odd] = words.filter((word, i) => /^cv ?#?\d+$/i.test(word) && keyOf(names[i] ?? "") === 0);
  if (odd !== undefined && !(await exists(given[0]))) throw new Unusable(messageOf(notACv({ found: odd })));
  if (words.length === 0 || !names.every((name) => keyOf(name) !== 0)) return undefined;
  // A bare number could be a value that lost its CV; a file may have any name.
  if (!/cv/i.test(given.join(" ")) && (given.length > 1 || words.length > 1)) return undefined;
  return given.length === 1 && (await exists(given[0])) ? undefined : names;
}

/** CVs with values on the command line. */
async function typedCvs(
  given: readonly string[],
  io: Io,
): Promise<{ readonly input: Input; readonly isPart: boolean } | undefined> {
  const argument = given.join(", ");
  if (given.length > 1 && !given.every((one) => one.includes("="))) return undefined;
  if (!/[=:,\s]/.test(argument) || (await exists(argument))) return undefined;
  // With a sign that no file name has, it was meant as CVs.
  if (!argument.includes("=") && !/^cv/i.test(argument)) return undefined;
  return inputFromText(argument.replace(/[,;]\s*(?=cv)/gi, "\n"), "the command line", io);
}

/** What the standard lays down for each CV: its name, what it is for, what each bit means. */
function headings(cvs: CvSet, kind: AnyDecoder["kind"], io: Io): void {
  for (const [cv, value] of cvs) {
    const hex = value.toString(16).toUpperCase().padStart(2, "0");
    const binary = `0b${value.toString(2).padStart(8, "0")}`;
    io.line("", `CV ${cv} = ${value} (0x${hex}, ${binary}): ${describeCv(cv, kind).name}`);
    tellStandard(cv, kind, value, io);
  }
  const extended = extendedAddress.tryDecode(cvs);
  if (kind === "multifunction" && extended.ok)
    io.line("", `CV 17 and 18 together: extended address ${extended.value}, in use while CV 29 bit 5 is 1`);
}

function tellStandard(cv: string, kind: AnyDecoder["kind"], value: number | undefined, io: Io): void {
  const { text, bits, note, source } = describeCv(cv, kind);
  const about = `${[text, note].filter(Boolean).join("; ")} (${source})`;
  io.line(...wrap(about, io.width - 4).map((line) => `    ${line}`));
  for (const {
    bits: [low, high],
    text: meaning,
    reserved,
  } of bits) {
    const place = low === high ? `bit ${low}` : `bits ${low}-${high}`;
    const is = value === undefined ? 0 : (value >> low) & ((1 << (high - low + 1)) - 1);
    const shown = value === undefined ? place : `${place} = ${is}`;
    io.line(`    ${shown}  ${meaning}${reserved && is ? ", and set all the same" : ""}`);
  }
}

/** What a CV may hold, for programs. */
function possible(cv: string, decoder: AnyDecoder): unknown {
  const { name, text, bits, source } = describeCv(cv, decoder.kind);
  const settings = settingsIn(cv, decoder).map(({ path, label, text: allowed, place }) => ({
    path,
    label,
    allowed,
    place,
  }));
  return { cv, name, text, bits, source, settings };
}

function settingsIn(cv: string, decoder: AnyDecoder) {
  return decoder.featuresOf(cv).flatMap((feature) => {
    const rows = allowedBy(feature, decoder.features[feature] as AnyCodec, true);
    return rows.filter(({ place, codec: own }) => place && own.bits.some((bits) => bits.cv === cv));
  });
}

/** What a CV may hold: by the standard, and in this decoder, with the numbers to add up. */
function tellPossible(cv: string, decoder: AnyDecoder, isNext: boolean, io: Io): void {
  if (isNext) io.line("");
  io.line(`CV ${cv}: ${describeCv(cv, decoder.kind).name}`);
  tellStandard(cv, decoder.kind, undefined, io);
  const settings = settingsIn(cv, decoder);
  if (settings.length === 0) {
    io.line("", `No feature of ${decoder.name} uses it.`);
    return;
  }
  io.line("", `In ${decoder.name}:`);
  io.line(
    ...columns(
      settings.map(({ path, label, text, place }) => [path, label ? `${label}: ${text}` : text, place]),
      io.width,
    ),
  );
  const factory = decoder.defaults().get(cv);
  if (factory !== undefined) io.line("", `The factory value is ${factory}.`);
}

function section(io: Io, title: string, lines: readonly string[]): void {
  if (lines.length) io.line("", `${title}:`, ...lines.map((line) => `  ${line}`));
}

function nameInStandard(cv: string, kind: AnyDecoder["kind"]): string {
  const key = toKey(cv);
  if (pageOf(key) >= 0) return "";
  if (key >= 257 && key <= 512)
    return `: an indexed CV without its page; write it as "${cv}@16.0", with the values of CV 31 and 32`;
  const { name } = describeCv(key, kind);
  return name ? ` (${name})` : "";
}
