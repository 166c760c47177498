import { randomBytes } from "node:crypto";
import { constants, fstatSync } from "node:fs";
import {
  access,
  type FileHandle,
  link,
  lstat,
  open,
  readlink,
  realpath,
  rename,
  rm,
  stat,
} from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { Unusable } from "./unusable.js";

/**
 * Files to write: all of them or none. Each is written beside its place and renamed when all are complete, so that a
 * full disk or an interruption leaves what was there. Links are followed. A file that is also an input, two files
 * that are one, and one that cannot be written are refused as {@link Unusable}. None is in its place before
 * {@link FileBatch.commit}.
 */
export class FileBatch {
  readonly #inputs: () => readonly string[];
  #pending: PendingFile[] = [];

  /** @param inputs The files read so far. */
  constructor(inputs: () => readonly string[]) {
    this.#inputs = inputs;
  }

  /**
   * Opens one more file.
   * @param replaces Whether it may be an input: a file that is changed in place.
   */
  async open(path: string, replaces = false): Promise<PendingFile> {
    const target: Target = { ...(await targetOf(path)), replaces };
    await this.#refuseInputs([target]);
    const twin = this.#pending.find((other) => isSame(other.target, target));
    if (twin) throw new Unusable(`${path}: two results would go to this file; give each a name of its own`);
    const file = await PendingFile.open(target);
    this.#pending.push(file);
    return file;
  }

  /** Puts all files in their places. */
  async commit(): Promise<void> {
    // An input may have been opened after the file was.
    await this.#refuseInputs(this.#pending.map(({ target }) => target));
    for (const file of this.#pending) await file.finish();
    await replaceAll(this.#pending);
    this.#pending = [];
  }

  /** Takes back what was not committed. */
  async discard(): Promise<void> {
    for (const file of this.#pending) await file.discard();
    this.#pending = [];
  }

  async #refuseInputs(targets: readonly Target[]): Promise<void> {
    const inputs = await Promise.all(this.#inputs().map(identityOf));
    for (const { path, identity, replaces } of targets)
      if (!replaces && identity !== undefined && inputs.includes(identity))
        throw new Unusable(`${path}: this file is read here, so it is not written; give another name`);
  }
}

/** Where a file goes. */
interface Target {
  /** As the user named it. */
  readonly path: string;
  /** The file itself, behind all links. */
  readonly real: string;
  /** Device and inode, where there is a file already. */
  readonly identity?: string;
  /** Its permissions, where there is a file already. */
  readonly mode?: number;
  /** A terminal, a pipe, /dev/null: nothing to replace. */
  readonly isDevice?: true;
  /** It may be an input. */
  readonly replaces?: boolean;
}

/** A file beside its place. Text is collected, so that many short pieces are few writes. */
export class PendingFile {
  readonly target: Target;
  readonly temporary: string;
  readonly #handle: FileHandle;
  #text = "";

  private constructor(target: Target, temporary: string, handle: FileHandle) {
    this.target = target;
    this.temporary = temporary;
    this.#handle = handle;
  }

  static async open(target: Target): Promise<PendingFile> {
    const { path, real, isDevice, mode } = target;
    const temporary = isDevice ? real : beside(real);
    return attempt(path, async () => {
      const handle = await open(temporary, isDevice ? "w" : "wx", mode);
      return new PendingFile(target, temporary, handle);
    });
  }

  async write(text: string): Promise<void> {
    this.#text += text;
    if (this.#text.length >= 2 ** 16) await this.#flush();
  }

  async finish(): Promise<void> {
    await this.#flush();
    const { path, isDevice, mode } = this.target;
    await attempt(path, async () => {
      if (!isDevice) {
        if (mode !== undefined) await this.#handle.chmod(mode);
        await this.#handle.sync();
      }
      await this.#handle.close();
    });
  }

  async discard(): Promise<void> {
    await this.#handle.close().catch(() => {});
    if (!this.target.isDevice) await rm(this.temporary, { force: true }).catch(() => {});
  }

  async #flush(): Promise<void> {
    const text = this.#text;
    this.#text = "";
    if (text) await attempt(this.target.path, () => this.#handle.writeFile(text));
  }
}

/** Renames all files to their places. When one fails, those before it are put back. */
async function replaceAll(files: readonly PendingFile[]): Promise<void> {
  const replaced = files.filter(({ target }) => !target.isDevice);
  const undo: (() => Promise<void>)[] = [];
  const backups: string[] = [];
  try {
    for (const { target, temporary } of replaced) {
      const { path, real, identity } = target;
      await attempt(path, async () => {
        if (identity !== undefined && replaced.length > 1) {
          const backup = beside(real);
          await link(real, backup);
          backups.push(backup);
          undo.push(() => rename(backup, real));
        } else if (replaced.length > 1) undo.push(() => rm(real, { force: true }));
        await rename(temporary, real);
      });
    }
  } catch (error) {
    for (const step of undo.reverse()) await step().catch(() => {});
    throw error;
  } finally {
    for (const backup of backups) await rm(backup, { force: true }).catch(() => {});
  }
}

function beside(real: string): string {
  return join(dirname(real), `.cvset-${randomBytes(6).toString("hex")}.tmp`);
}

async function targetOf(path: string): Promise<Target> {
  if (path === "" || path === "-") throw new Unusable(`"${path}" is not the name of a file to write`);
  return attempt(path, async () => {
    const info = await stat(path).catch(unlessMissing);
    if (info === undefined) {
      const real = await throughLinks(resolve(path));
      return { path, real: join(await realpath(dirname(real)), basename(real)) };
    }
    if (info.isDirectory()) throw new Unusable(`${path}: this is a folder, and the name of a file is needed`);
    if (!info.isFile()) {
      // A pipe has no name of its own to find.
      if (info.isCharacterDevice() || info.isFIFO()) return { path, real: path, isDevice: true as const };
      throw new Unusable(`${path}: it is not a file`);
    }
    const real = await realpath(path);
    const identity = await identityOf(path);
    await access(real, constants.W_OK);
    return { path, real, mode: info.mode & 0o7777, ...(identity !== undefined && { identity }) };
  });
}

/** Where a chain of links ends whose last one leads to nothing yet. */
async function throughLinks(path: string): Promise<string> {
  let at = path;
  for (let i = 0; i < 40; i++) {
    const info = await lstat(at).catch(unlessMissing);
    if (!info?.isSymbolicLink()) return at;
    at = resolve(dirname(at), await readlink(at));
  }
  return at;
}

function isSame(a: Target, b: Target): boolean {
  if (a.isDevice || b.isDevice) return false;
  if (a.identity !== undefined && a.identity === b.identity) return true;
  return spelled(a.real) === spelled(b.real);
}

// Two new names that differ in capitals or in the way of writing accents are one file on some systems.
function spelled(path: string): string {
  const folds = process.platform === "darwin" || process.platform === "win32";
  return folds ? path.normalize("NFC").toLowerCase() : path;
}

/** The device and inode of a file, which tell files apart whatever their names; undefined where no file is there. */
export async function identityOf(path: string): Promise<string | undefined> {
  try {
    const { dev, ino } = path === "-" ? fstatSync(0, { bigint: true }) : await stat(path, { bigint: true });
    return `${dev}:${ino}`;
  } catch {
    return undefined;
  }
}

function unlessMissing(error: NodeJS.ErrnoException): undefined {
  if (error.code !== "ENOENT") throw error;
  return undefined;
}

/** Does something with a file to be written; what fails is told with its name. */
async function attempt<Value>(path: string, what: () => Promise<Value>): Promise<Value> {
  try {
    return await what();
  } catch (error) {
    if (error instanceof Unusable) throw error;
    const { code, message } = error as NodeJS.ErrnoException;
    throw new Unusable(`${path}: it cannot be written (${reasons.get(code ?? "") ?? code ?? message})`);
  }
}

const reasons: ReadonlyMap<string, string> = new Map([
  ["ENOENT", "there is no such folder"],
  ["ENOTDIR", "there is no such folder"],
  ["EISDIR", "this is a folder"],
  ["EACCES", "no permission"],
  ["EPERM", "no permission"],
  ["EROFS", "read-only"],
  ["ENOSPC", "no space is left"],
  ["EDQUOT", "no space is left"],
  ["ENAMETOOLONG", "the name is too long"],
  ["ELOOP", "links lead in a circle"],
]);
