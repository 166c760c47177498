import {
  type Finding,
  type Fleet,
  type FleetMember,
  type ReadingIssue,
  readingFindings,
} from "../check/index.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import {
  type CvSetFile,
  type FileResult,
  readCvSets,
  readSettings,
  readText,
  type Source,
} from "../files/index.js";
import { decoderFor } from "./decoders.js";
import { bytesOf, nameOfInput, whyUnreadable } from "./input.js";
import { type Io, Unusable } from "./verb.js";
import type { Input } from "./walk.js";

// A larger file can only be a list of many sets, which is read line by line.
const largestWhole = 4 * 2 ** 20;

/** The decoders of a fleet, each looked up once. */
export interface Decoders {
  of(file: { readonly path: string; readonly decoder?: string }): Promise<AnyDecoder>;
  used(): Iterable<AnyDecoder>;
}

/** Looks decoders up as {@link decoderFor} does, and remembers them. */
export function decodersOf(asked: string | undefined, io: Io): Decoders {
  const known = new Map<string, Promise<AnyDecoder>>();
  const used = new Set<AnyDecoder>();
  return {
    async of(file) {
      // A description beside the file is another one in another folder.
      const folder = file.path.replace(/[^\\/]*$/, "");
      const key = asked === undefined ? `${folder}\n${file.decoder ?? ""}` : "";
      const found = known.get(key) ?? decoderFor(asked, file, io);
      known.set(key, found);
      const decoder = await found;
      used.add(decoder);
      return decoder;
    },
    used: () => used,
  };
}

/** One set that was checked, or what kept it from being checked. */
export interface Checked {
  readonly name: string;
  readonly findings: readonly Finding[];
}

/** Checks all that one input holds. What cannot be read is a finding. */
export async function* checked(
  input: Input,
  fleet: Fleet,
  decoders: Decoders,
  io: Io,
): AsyncGenerator<Checked, void> {
  const { path } = input;
  const name = nameOfInput(path);
  try {
    if ((input.size ?? 0) <= largestWhole && path !== "-") {
      const text = await readText(bytesOf(path, io));
      if (!text.ok) {
        yield { name, findings: readingFindings(text.issues, name) };
        return;
      }
      const kind = kindOf(text.value);
      if (kind === "description") {
        io.say(`${name}: passed over, a decoder description`);
        return;
      }
      if (kind === "settings") yield await settingsChecked(name, path, text.value, fleet, decoders);
      else yield* setsChecked(name, path, [text.value], fleet, decoders);
      return;
    }
    yield* setsChecked(name, path, bytesOf(path, io), fleet, decoders);
  } catch (error) {
    // A file that vanished or broke off: whatever was said of it before stands, and this is said too.
    if (!(error instanceof Error && "code" in error)) throw error;
    yield { name, findings: readingFindings([issueOf(whyUnreadable(error))], name) };
  }
}

/** What a JSON file seems to be, by the keys at its top; the readers then judge it. */
function kindOf(text: string): "settings" | "description" | "set" {
  if (!/^\uFEFF?\s*\{/.test(text)) return "set";
  try {
    const json = JSON.parse(text.replace(/^\uFEFF/, ""));
    if (Object.hasOwn(json, "settings") && !Object.hasOwn(json, "cvs")) return "settings";
    return Object.hasOwn(json, "features") ? "description" : "set";
  } catch {
    return /"settings"\s*:/.test(text) && !/"cvs"\s*:/.test(text) ? "settings" : "set";
  }
}

async function* setsChecked(
  name: string,
  path: string,
  source: Source,
  fleet: Fleet,
  decoders: Decoders,
): AsyncGenerator<Checked, void> {
  for await (const { line, result } of readCvSets(source)) {
    // The first document of a file is the file; further ones are told apart by their line.
    const file = line === 1 ? name : `${name}:${line}`;
    yield await memberChecked(file, path, result, fleet, decoders);
  }
}

async function memberChecked(
  file: string,
  path: string,
  result: FileResult<CvSetFile>,
  fleet: Fleet,
  decoders: Decoders,
): Promise<Checked> {
  const notes = readingFindings(result.notes, file);
  if (!result.ok) return { name: file, findings: [...notes, ...readingFindings(result.issues, file)] };
  const { cvs, silence, locate, name } = result.value;
  const member = { file, cvs, silence, locate, ...(name !== undefined && { name }) };
  return withDecoder(file, { path, ...result.value }, decoders, (decoder) => [
    ...notes,
    ...fleet.add({ ...member, decoder }),
  ]);
}

async function settingsChecked(
  file: string,
  path: string,
  text: string,
  fleet: Fleet,
  decoders: Decoders,
): Promise<Checked> {
  const result = readSettings(text);
  const notes = readingFindings(result.notes, file);
  if (!result.ok) return { name: file, findings: [...notes, ...readingFindings(result.issues, file)] };
  const { settings, silence, name } = result.value;
  return withDecoder(file, { path, ...result.value }, decoders, (decoder) => {
    const encoded = decoder.tryEncode(settings);
    if (!encoded.ok) return [...notes, ...readingFindings(result.value.at(encoded.issues), file)];
    const locate: FleetMember["locate"] = (cv) => {
      const feature = decoder.featuresOf(cv).find((one) => Object.hasOwn(settings, one));
      return feature === undefined ? undefined : result.value.locate(feature);
    };
    return [
      ...notes,
      ...fleet.add({
        file,
        cvs: encoded.value,
        silence,
        decoder,
        locate,
        ...(name !== undefined && { name }),
      }),
    ];
  });
}

async function withDecoder(
  name: string,
  file: { readonly path: string; readonly decoder?: string },
  decoders: Decoders,
  check: (decoder: AnyDecoder) => readonly Finding[],
): Promise<Checked> {
  let decoder: AnyDecoder;
  try {
    decoder = await decoders.of(file);
  } catch (error) {
    if (!(error instanceof Unusable)) throw error;
    return {
      name,
      findings: readingFindings(
        error.lines.map((line) => issueOf(line.startsWith(`${name}: `) ? line.slice(name.length + 2) : line)),
        name,
      ),
    };
  }
  return { name, findings: check(decoder) };
}

function issueOf(expected: string): ReadingIssue {
  return { code: "custom", path: "", expected };
}
