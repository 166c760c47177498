import { dirname } from "node:path";
import type { Fleet } from "../check/fleet.js";
import { type Finding, type RuleInfo, readingFindings } from "../check/index.js";
import { CvSet } from "../cv/cvset.js";
import { fault, type Issue, messageOf } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type AnyFile, type FileIssue, readMany } from "../files/index.js";
import { outcome, tryPlanFromJson } from "../plan/index.js";
import { decoderFor, describedIn } from "./decoders.js";
import { withoutSelection } from "./given-cvs.js";
import { bytesOf, headOf, type Input, kindName, nameOfInput, whyUnreadable } from "./input.js";
import type { Io } from "./io.js";
import { startingCvs } from "./starting-settings.js";
import { Unusable } from "./unusable.js";
import type { FileFound } from "./walk.js";

/** A rule of the command itself, about decoder descriptions among the files. */
export const descriptionRule: RuleInfo = {
  name: "description-unusable",
  severity: "error",
  summary: "A decoder description cannot be used, so nothing that names it can be checked.",
  source: "format of this library's decoder descriptions",
  fix: "Correct the line that is named.",
};

const unreadable = fault("file-unreadable", "{reason:text}");
const noDecoder = fault("decoder-unusable", "the decoder cannot be used: {reason:text}{more:text}");

/** The decoders of a fleet, each looked up once. */
export interface Decoders {
  of(input: Input): Promise<AnyDecoder>;
  used(): Iterable<AnyDecoder>;
}

/** Looks decoders up as {@link decoderFor} does, and remembers them. */
export function decodersOf(asked: AnyDecoder | undefined, io: Io): Decoders {
  const known = new Map<string, Promise<AnyDecoder>>();
  const used = new Set<AnyDecoder>(asked ? [asked] : []);
  return {
    async of(input) {
      if (asked) return asked;
      // A description beside the file is another one in another folder.
      const key = `${dirname(input.path)}\n${headOf(input).decoder ?? ""}`;
      const found = known.get(key) ?? decoderFor(undefined, input, io);
      known.set(key, found);
      // A file may name a million decoders that do not exist.
      found.catch(() => known.delete(key));
      const decoder = await found;
      used.add(decoder);
      return decoder;
    },
    used: () => used,
  };
}

/** Where sets are checked. */
export interface Fleets {
  /** Sets that are held against each other. */
  readonly together: Fleet;
  /** Sets that are not. */
  readonly apart: Fleet;
}

/** One set or description that was checked, or what kept it from being checked. */
export interface Checked {
  readonly name: string;
  readonly findings: readonly Finding[];
}

/** Checks all that one file holds. What cannot be read is a finding. */
export async function* checked(
  { path, isNamed }: FileFound,
  fleet: Fleets,
  decoders: Decoders,
  io: Io,
): AsyncGenerator<Checked, void> {
  const file = nameOfInput(path);
  try {
    for await (const { line, result } of readMany(bytesOf(path, io))) {
      const name = line === 1 ? file : `${file}:${line}`;
      const notes = readingFindings(result.notes, name);
      if (!result.ok && !isNamed && result.issues.every(isForeign))
        io.say(`${name}: passed over, it is not a file of this command`);
      else if (!result.ok) yield { name, findings: [...notes, ...readingFindings(result.issues, name)] };
      else {
        const input: Input = Object.assign(result.value, { path, title: name });
        const findings = await findingsOf(input, fleet, decoders, io);
        if (findings) yield { name, findings: [...notes, ...findings] };
        else io.say(`${name}: passed over, ${kindName(input)}`);
      }
    }
  } catch (error) {
    // A file that vanished or broke off: whatever was said of it before stands, and this is said too.
    if (error instanceof Unusable || !(error instanceof Error && "code" in error)) throw error;
    yield { name: file, findings: readingFindings([unreadable({ reason: whyUnreadable(error) })], file) };
  }
}

/** Whether a file in a folder is of another program, and not one of this command with a slip in it. */
function isForeign({ code, params }: Issue): boolean {
  const { nearest, keys } = params;
  const ours = ["decoder", "silence"];
  return (
    code === "unknown-file-kind" && !nearest && Array.isArray(keys) && !keys.some((key) => ours.includes(key))
  );
}

/** The findings about one input; undefined for a kind of file that is not checked. */
async function findingsOf(
  input: Input,
  fleet: Fleets,
  decoders: Decoders,
  io: Io,
): Promise<readonly Finding[] | undefined> {
  switch (input.kind) {
    case "description": {
      const decoder = describedIn(input.value, io);
      return decoder.ok ? [] : input.at(decoder.issues).map((issue) => descriptionFinding(input, issue));
    }
    case "cvs":
      return member(input, input.cvs, (cv) => input.locate(cv), fleet.together, decoders);
    case "settings":
      return settingsFindings(input, fleet.together, decoders);
    case "plan": {
      const plan = tryPlanFromJson(input.value);
      if (!plan.ok) return readingFindings(input.at(plan.issues), input.title);
      const whole = wholeBytes(plan.value);
      // It belongs to a locomotive that another file is about, so it is not held against the others.
      return whole && member(input, whole, undefined, fleet.apart, decoders);
    }
    default:
      return undefined;
  }
}

function wholeBytes(plan: Parameters<typeof outcome>[0]): CvSet | undefined {
  try {
    return CvSet.empty.apply(outcome(withoutSelection(plan)));
  } catch {
    return undefined;
  }
}

function descriptionFinding({ title }: Input, issue: FileIssue): Finding {
  const { line, column } = issue;
  const { name: rule, severity, source, fix } = descriptionRule;
  return { file: title, rule, severity, message: messageOf(issue), cvs: [], source, fix, line, column };
}

async function settingsFindings(
  input: Input & { readonly kind: "settings" },
  fleet: Fleet,
  decoders: Decoders,
): Promise<readonly Finding[]> {
  const { settings, title } = input;
  const decoder = await decoderOf(input, decoders);
  if (Array.isArray(decoder)) return readingFindings(decoder, title);
  const encoded = encodedForCheck(decoder as AnyDecoder, settings);
  if (!encoded.ok) return readingFindings(input.at(encoded.issues), title, "settings");
  const locate = (cv: number | string) => {
    const feature = (decoder as AnyDecoder).featuresOf(cv).find((one) => Object.hasOwn(settings, one));
    return feature === undefined ? undefined : input.locate(feature);
  };
  return member(input, encoded.value, locate, fleet, decoders);
}

/** The CVs of settings; bits that neither they nor the factory values give are as the usual settings have them. */
function encodedForCheck(decoder: AnyDecoder, settings: Readonly<Record<string, unknown>>) {
  let base = decoder.defaults();
  let usual: CvSet | undefined;
  for (;;) {
    const result = decoder.tryEncode(settings, base);
    if (result.ok) return result;
    const unknown = result.issues.flatMap(({ code, places = [] }) =>
      code === "unknown-bits" || code === "derived-unknown" ? places.map(({ cv }) => cv) : [""],
    );
    // A value that is worked out may need others that are not known either.
    if (unknown.some((cv) => cv === "" || base.has(cv))) return result;
    usual ??= startingCvs(decoder);
    for (const cv of unknown) base = base.with(cv, usual.get(cv) ?? 0);
  }
}

async function member(
  input: Input,
  cvs: CvSet,
  locate:
    | ((cv: number | string) => { readonly line: number; readonly column: number } | undefined)
    | undefined,
  fleet: Fleet,
  decoders: Decoders,
): Promise<readonly Finding[]> {
  const decoder = await decoderOf(input, decoders);
  if (Array.isArray(decoder)) return readingFindings(decoder, input.title);
  const { name, silence } = headOf(input);
  return fleet.add({
    file: input.title,
    cvs,
    silence,
    decoder: decoder as AnyDecoder,
    ...(locate && { locate }),
    ...(name !== undefined && { name }),
  });
}

/** The decoder of an input; or the issue that keeps it from being used. */
async function decoderOf(input: AnyFile & Input, decoders: Decoders): Promise<AnyDecoder | Issue[]> {
  try {
    return await decoders.of(input);
  } catch (error) {
    if (!(error instanceof Unusable)) throw error;
    const [first = "", ...others] = error.lines;
    const reason = first.startsWith(`${input.title}: `) ? first.slice(input.title.length + 2) : first;
    return [noDecoder({ reason, more: others.length ? `; and ${others.length} more` : "" })];
  }
}
