import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { type Issue, messageOf } from "../cv/issue.js";
import {
  type CvSetFile,
  type FileHead,
  type FileResult,
  fileMessage,
  type JsonDocument,
  readCvSetFrom,
  readJson,
  readSettingsFrom,
  readText,
  type SettingsFile,
} from "../files/index.js";
import { type Io, Unusable } from "./verb.js";

/** What a file is called in messages. */
export function nameOfInput(path: string): string {
  return path === "-" ? "standard input" : path;
}

/** The bytes of a file, or of standard input for `-`. */
export function bytesOf(path: string, io: Io): AsyncIterable<Uint8Array> {
  io.reads(path);
  return path === "-" ? io.stdin() : createReadStream(path);
}

/** A CV set from a file. */
export async function cvSetFrom(path: string, io: Io): Promise<CvSetFile> {
  return read(path, io, (source) => readCvSetFrom(source));
}

/** A settings file. */
export async function settingsFrom(path: string, io: Io): Promise<SettingsFile> {
  return read(path, io, (source) => readSettingsFrom(source));
}

/** A text file. */
export async function textFrom(path: string, io: Io): Promise<string> {
  return read(path, io, (source) => readText(source));
}

/** The JSON of a file, with the place of each value in it. */
export async function jsonFrom(path: string, io: Io): Promise<JsonDocument> {
  const result = readJson(await textFrom(path, io));
  if (result.ok) return result.value;
  throw new Unusable(...result.issues.map((issue) => fileMessage(nameOfInput(path), issue)));
}

/** Issues about the values of a JSON file, with its lines. */
export function inFile(path: string, json: JsonDocument, issues: readonly Issue[]): Unusable {
  const name = nameOfInput(path);
  return new Unusable(
    ...issues.map((issue) => `${name}:${json.locate(issue.path).line}: ${messageOf(issue)}`),
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

/** What a file says of itself that goes from settings to CVs and back. */
export function carried({ name, note, silence }: FileHead): FileHead {
  return {
    ...(name !== undefined && { name }),
    ...(note !== undefined && { note }),
    ...(silence !== undefined && { silence }),
  };
}

async function read<Value>(
  path: string,
  io: Io,
  reader: (source: AsyncIterable<Uint8Array>) => Promise<FileResult<Value>>,
): Promise<Value> {
  if (path === "") throw new Unusable('"" is no name of a file');
  const name = nameOfInput(path);
  const bytes = bytesOf(path, io);
  let result: FileResult<Value>;
  try {
    result = await reader(bytes);
  } catch (error) {
    throw new Unusable(`${name}: ${whyUnreadable(error)}`);
  }
  for (const note of result.notes) io.say(fileMessage(name, note));
  if (!result.ok) throw new Unusable(...result.issues.map((issue) => fileMessage(name, issue)));
  return result.value;
}

/** Why a file could not be read, in words. */
export function whyUnreadable(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === "ENOENT") return "there is no such file";
  if (code === "EISDIR") return "this is a folder, and a file is needed";
  if (code === "EACCES" || code === "EPERM") return "it may not be read (permission)";
  return `it cannot be read (${code ?? message})`;
}
