import { createReadStream, fstatSync } from "node:fs";
import { stat } from "node:fs/promises";
import { type Issue, messageOf } from "../cv/issue.js";
import { shortened } from "../cv/show.js";
import {
  type AnyFile,
  type FileHead,
  type FileIssue,
  fileMessage,
  readAny,
  readMany,
} from "../files/index.js";
import { type JsonDocument, readJson } from "../files/json.js";
import { readText } from "../files/source.js";
import type { Io } from "./io.js";
import { Unusable } from "./unusable.js";
import { wording } from "./wording.js";
import { identityOf } from "./write-files.js";

/** What a file is called in messages. */
export function nameOfInput(path: string): string {
  return path === "-" ? "standard input" : path;
}

/** The bytes of a file, or of standard input for `-`. It is noted as an input, so that it is not written over. */
export function bytesOf(path: string, io: Io): AsyncIterable<Uint8Array> {
  io.reads(path);
  return path === "-" ? io.stdin() : createReadStream(path);
}

/** A text file. */
export async function textFrom(path: string, io: Io): Promise<string> {
  const result = await reading(path, () => readText(bytesOf(path, io), { file: nameOfInput(path) }));
  if (!result.ok) throw new Unusable(...result.issues.map((issue) => fileMessage(issue)));
  return result.value;
}

/** The JSON of a file, with the place of each value in it. */
export async function jsonFrom(path: string, io: Io): Promise<JsonDocument> {
  const result = readJson(await textFrom(path, io), { file: nameOfInput(path) });
  if (!result.ok) throw new Unusable(...result.issues.map((issue) => fileMessage(issue)));
  return result.value;
}

/** Issues about the values of a JSON file, with its lines. */
export function inFile(path: string, json: JsonDocument, issues: readonly Issue[]): Unusable {
  const name = nameOfInput(path);
  return new Unusable(
    ...issues.map((issue) => {
      const { line, column } = json.locate(issue.path);
      return `${name}:${line}:${column}: ${messageOf(issue)}`;
    }),
  );
}

/** What each kind of file is called. */
const kindNames: Readonly<Record<AnyFile["kind"], string>> = {
  cvs: "a CV set",
  patch: "single bits of CVs",
  settings: "a settings file",
  plan: "a plan",
  description: "a decoder description",
  measurements: "a file of timed runs",
  report: "a report",
};

/** What a file is called. */
export function kindName({ kind }: AnyFile): string {
  return kindNames[kind];
}

/** One file, or one locomotive of a file that has several. */
export type Input = AnyFile & {
  /** The file, as the user named it. */
  readonly path: string;
  /** What it is called in messages: its file, and of several its line. */
  readonly title: string;
};

/** The texts at the top of a file; none for one that has none. */
export function headOf(file: AnyFile): FileHead {
  if (file.kind !== "cvs" && file.kind !== "patch" && file.kind !== "settings") return {};
  const { decoder, name, note, silence } = file;
  return {
    ...(decoder !== undefined && { decoder }),
    ...(name !== undefined && { name }),
    ...(note !== undefined && { note }),
    ...(silence !== undefined && { silence }),
  };
}

/** Everything that a file holds: one thing, or one locomotive a line. */
export async function inputsFrom(path: string, io: Io): Promise<Input[]> {
  const { inputs, complaints } = await readInputs(path, io);
  if (complaints.length) throw new Unusable(...complaints);
  return inputs;
}

/** What can be read of a file, and what is wrong with the rest. */
async function readInputs(
  path: string,
  io: Io,
): Promise<{ readonly inputs: Input[]; readonly complaints: readonly string[] }> {
  if (path === "") throw new Unusable('"" is not the name of a file');
  await refuseEmptied(path);
  const file = nameOfInput(path);
  const complaints: string[] = [];
  const inputs: Input[] = [];
  await reading(path, async () => {
    for await (const { line, result } of readMany(bytesOf(path, io), { file })) {
      for (const note of result.notes) io.say(fileMessage(note));
      if (!result.ok) complaints.push(...result.issues.map((issue) => fileMessage(issue)));
      const { value } = result;
      if (value) inputs.push(Object.assign(value, { path, title: line === 1 ? file : `${file}:${line}` }));
    }
  });
  return { inputs, complaints };
}

/**
 * One file.
 * @param pick Which locomotive of a file that has several: its name, or its line.
 */
export async function inputFrom(path: string, io: Io, pick?: string): Promise<Input> {
  return picked(path, await inputsFrom(path, io), pick);
}

/** One file, as far as it can be read; what is wrong in it is said. */
export async function partFrom(
  path: string,
  io: Io,
  pick?: string,
): Promise<{ readonly input: Input; readonly isPart: boolean }> {
  const { inputs, complaints } = await readInputs(path, io);
  if (inputs.length === 0 || (complaints.length && inputs.every(isEmpty))) throw new Unusable(...complaints);
  for (const complaint of complaints) io.say(complaint);
  return { input: picked(path, inputs, pick), isPart: complaints.length > 0 };
}

function isEmpty(input: Input): boolean {
  return input.kind === "cvs" && input.cvs.size === 0;
}

function picked(path: string, inputs: readonly Input[], pick: string | undefined): Input {
  const [first, second] = inputs;
  if (first && !second) return first;
  const name = nameOfInput(path);
  // The one on the first line is called by its file alone.
  const titles = [`${name}:${pick}`, ...(pick === "1" ? [name] : [])];
  const wanted = inputs.filter((one) => headOf(one).name === pick || titles.includes(one.title));
  if (pick !== undefined && wanted.length === 1) return wanted[0] as Input;
  const names = shortened(inputs.map((one) => headOf(one).name ?? one.title));
  const found = wanted.length ? "several of them have" : "none of them has";
  const which =
    pick === undefined ? "choose one with --pick NAME" : `${found} the name or line of --pick ${pick}`;
  throw new Unusable(`${name}: there are ${inputs.length} locomotives in it; ${which}: ${names}`);
}

/** A text that was typed on the command line; what is wrong in it is said, and the rest is used. */
export function inputFromText(
  text: string,
  title: string,
  io: Io,
): { readonly input: Input; readonly isPart: boolean } {
  const result = readAny(text, { file: title });
  for (const note of result.notes) io.say(fileMessage(note));
  const complaints = result.ok ? [] : result.issues.map((issue) => fileMessage(issue));
  const { value } = result;
  const input = value && Object.assign(value, { path: ".", title });
  if (!input || (complaints.length && isEmpty(input))) throw new Unusable(...complaints);
  for (const complaint of complaints) io.say(complaint);
  return { input, isPart: complaints.length > 0 };
}

/** A file with its text, to change it in place. */
export async function editableFrom(
  path: string,
  io: Io,
): Promise<{ readonly input: Input; readonly text: string }> {
  const title = nameOfInput(path);
  const text = await textFrom(path, io);
  const result = readAny(text, { file: title });
  for (const note of result.notes) io.say(fileMessage(note));
  if (!result.ok) throw new Unusable(...result.issues.map((issue) => fileMessage(issue)));
  return { input: Object.assign(result.value, { path, title }), text };
}

/** The complaint that a file is of the wrong kind. */
export function wrongKind(input: Input, expected: string): Unusable {
  return new Unusable(`${input.title}: this is ${kindName(input)}; expected ${expected}`);
}

/** Issues with the lines of their file. */
export function unusable(input: Input, issues: readonly Issue[]): Unusable {
  return new Unusable(...input.at(issues).map((issue: FileIssue) => fileMessage(issue, wording)));
}

/** Does something with a file; that it cannot be read is told with its name. */
async function reading<Value>(path: string, what: () => Promise<Value>): Promise<Value> {
  try {
    return await what();
  } catch (error) {
    if (error instanceof Unusable || !(error instanceof Error && "code" in error)) throw error;
    throw new Unusable(`${nameOfInput(path)}: ${whyUnreadable(error)}`);
  }
}

/** `cvset encode keep.json > keep.json`: the shell has emptied the file before anything could read it. */
async function refuseEmptied(path: string): Promise<void> {
  if (path === "-") return;
  const out = fstatSync(1, { bigint: true });
  if (!out.isFile() || `${out.dev}:${out.ino}` !== (await identityOf(path))) return;
  throw new Unusable(
    `${path}: ">" has emptied this file before it could be read; write "--output FILE" instead of "> FILE"`,
  );
}

/** Whether there is a file of that name. It is not read, for a pipe can be read only once. */
export async function exists(path: string): Promise<boolean> {
  try {
    await stat(path);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code !== "ENOENT";
  }
}

/** Why a file could not be read, in words. */
export function whyUnreadable(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === "ENOENT") return "there is no such file";
  if (code === "EISDIR") return "this is a folder, and a file is needed";
  if (code === "EACCES" || code === "EPERM") return "it may not be read (permission)";
  if (code === "ELOOP") return "links lead in a circle";
  return `it cannot be read (${code ?? message})`;
}
