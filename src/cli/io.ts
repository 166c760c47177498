import { statSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import { join, sep } from "node:path";
import { type DocumentKind, documentOf, type Look, lineOf, painted } from "./output.js";
import { noPlugIns, type PlugIns } from "./plug-in.js";
import { Unusable } from "./unusable.js";
import { FileBatch, type PendingFile } from "./write-files.js";

/** How a verb reads and writes. Everything that is written passes through `output.ts`. */
export interface Io {
  /** Adds lines of words to standard output. Nothing of it appears when the verb fails. */
  line(...lines: readonly string[]): void;
  /** Adds a document to standard output: a text of several lines that others read. */
  document(text: string, kind: DocumentKind): void;
  /** Adds one of several documents, which go to a folder of files where --output names a folder. */
  part(name: string, text: string, kind: DocumentKind): void;
  /** Whether --output names a folder. */
  readonly toFolder: boolean;
  /** Adds a value as JSON to standard output. */
  json(value: unknown): void;
  /**
   * Writes a line, or with a kind a piece of a document, to standard output at once, and waits while the reader is
   * slow; for output of any length.
   */
  flow(text: string, kind?: DocumentKind): Promise<void>;
  /** Whether the reader of standard output has gone, so that more output reaches nobody. */
  readonly isClosed: boolean;
  /** A piece of a line in a colour, where standard output is a terminal. */
  paint(text: string, look: Look): string;
  /** Writes a line to standard error at once. */
  say(line: string): void;
  /** Shows how far long work has come, in place of what it showed before; nothing without a terminal. */
  progress(text: string): void;
  /** How wide a line may be. */
  readonly width: number;
  /** Notes that a file is read, so that it is not written over. */
  reads(path: string): void;
  /** The bytes of standard input. */
  stdin(): AsyncIterable<Uint8Array>;
  /** A file to write, when the verb is done: all such files and the output, or none. */
  file(path: string, text: string): void;
  /** Like {@link file}, for a file that is changed in place. */
  replace(path: string, text: string): void;
  /** The file or folder that --output names; undefined for standard output. */
  readonly output: string | undefined;
  /** Whether --output was given; `-` is standard output. */
  readonly hasOutput: boolean;
  /** What plug-ins add to what is built in. */
  readonly plugIns: PlugIns;
}

/** The streams of the process. */
export interface Streams {
  /** Writes to standard output; waits while the reader is slow. */
  out(text: string): Promise<void>;
  /** Writes to standard error. */
  err(text: string): void;
  stdin(): AsyncIterable<Uint8Array>;
  /** Whether the reader of standard output has gone. */
  isClosed(): boolean;
  /** Whether standard output is a terminal that shows colours. */
  readonly colour: boolean;
  /** Whether standard error is a terminal. */
  readonly progress: boolean;
  /** How wide standard output is. */
  readonly width: number;
}

/** The output of one call, which {@link finish} lets go. */
export class CallIo implements Io {
  readonly #streams: Streams;
  readonly output: string | undefined;
  readonly hasOutput: boolean;
  readonly #inputs: string[] = [];
  readonly #batch = new FileBatch(() => this.#inputs);
  readonly #files: { readonly path: string; readonly text: string; readonly replaces?: true }[] = [];
  /** The names of the documents that were given one by one. */
  readonly #parts: string[] = [];
  #printed = "";
  #flowing: PendingFile | undefined;
  #readsStdin = false;
  readonly #colour: boolean;

  readonly toFolder: boolean;

  /**
   * @param output The file or folder to write to instead of standard output.
   * @param plugIns What plug-ins add.
   */
  constructor(
    streams: Streams,
    output?: string,
    readonly plugIns: PlugIns = noPlugIns,
  ) {
    this.#streams = streams;
    this.output = output === "-" ? undefined : output;
    this.hasOutput = output !== undefined;
    this.#colour = streams.colour && this.output === undefined;
    this.toFolder = this.output !== undefined && isFolder(this.output);
  }

  get width(): number {
    return this.#streams.width;
  }

  get isClosed(): boolean {
    return this.output === undefined && this.#streams.isClosed();
  }

  line(...lines: readonly string[]): void {
    for (const line of lines) this.#printed += `${lineOf(line, this.#colour)}\n`;
  }

  document(text: string, kind: DocumentKind): void {
    this.#printed += documentOf(text, kind);
  }

  part(name: string, text: string, kind: DocumentKind): void {
    this.#parts.push(name);
    if (this.output !== undefined && this.toFolder)
      this.file(join(this.output, name), documentOf(text, kind));
    else this.document(text, kind);
  }

  json(value: unknown): void {
    this.document(`${JSON.stringify(value, null, 2)}\n`, "json");
  }

  async flow(piece: string, kind?: DocumentKind): Promise<void> {
    const text = kind === undefined ? `${lineOf(piece, this.#colour)}\n` : documentOf(piece, kind);
    if (this.output === undefined) return this.#streams.out(text);
    this.#flowing ??= await this.#batch.open(this.output);
    return this.#flowing.write(text);
  }

  paint(text: string, look: Look): string {
    return this.#colour ? painted(text, look) : text;
  }

  say(line: string): void {
    this.#streams.err(`${lineOf(line, false)}\n`);
  }

  progress(text: string): void {
    if (this.#streams.progress) this.#streams.err(`\r\u001b[K${lineOf(text, false)}`);
  }

  reads(path: string): void {
    this.#inputs.push(path);
  }

  stdin(): AsyncIterable<Uint8Array> {
    if (this.#readsStdin) throw new Unusable("standard input can be read only once, and it is named twice");
    this.#readsStdin = true;
    return this.#streams.stdin();
  }

  file(path: string, text: string): void {
    this.#files.push({ path, text });
  }

  replace(path: string, text: string): void {
    this.#files.push({ path, text, replaces: true });
  }

  /** Writes the files, all or none, and lets the output go. */
  async finish(): Promise<void> {
    const { output } = this;
    const isSplit = this.toFolder && this.#parts.length > 0;
    if (output !== undefined && isSplit) await makeFolder(output);
    else if (output !== undefined && !this.toFolder && this.#parts.length > 1)
      throw new Unusable(
        `${output}: ${this.#parts.length} results need a folder; name one, as in --output ${output}/`,
      );
    for (const { path, text, replaces } of this.#files)
      await (await this.#batch.open(path, replaces)).write(text);
    if (output !== undefined && !isSplit) {
      this.#flowing ??= await this.#batch.open(output);
      await this.#flowing.write(this.#printed);
    }
    await this.#batch.commit();
    if (output === undefined) await this.#streams.out(this.#printed);
  }

  /** Takes back what was not finished. */
  async discard(): Promise<void> {
    await this.#batch.discard();
  }
}

/** Whether a name is that of a folder: it ends like one, or is one. */
function isFolder(path: string): boolean {
  if (path.endsWith("/") || path.endsWith(sep)) return true;
  try {
    return statSync(path).isDirectory();
  } catch {
    // Nothing is there, or it cannot be reached: that is told when it is written.
    return false;
  }
}

async function makeFolder(path: string): Promise<void> {
  try {
    await mkdir(path, { recursive: true });
  } catch (error) {
    throw new Unusable(`${path}: the folder cannot be made (${(error as NodeJS.ErrnoException).code})`);
  }
}
