import { dirname, join } from "node:path";
import { nearestNames } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { tryDecoderFromJson } from "../decoder/from-json.js";
import { locomotive } from "../standard/locomotive.js";
import { exists, inFile, jsonFrom, nameOfInput } from "./input.js";
import { type Io, Unusable } from "./verb.js";

/** The decoders that the command knows by name. */
export const builtIn: Readonly<Record<string, () => Promise<AnyDecoder>>> = {
  nmra: async () => (await import("../standard/nmra.js")).nmra as AnyDecoder,
  "nmra-accessory": async () => (await import("../standard/nmra.js")).nmraAccessory as AnyDecoder,
  "quillback-s8": async () => (await import("../demo/quillback-s8.js")).quillback as AnyDecoder,
  "dunlin-m6": async () => (await import("../demo/dunlin-m6.js")).dunlin as AnyDecoder,
};

/**
 * The decoder to use: the one that was asked for, else the one that the file names, else the plain standard.
 * @param asked What `--decoder` says: a built-in name, or a description file.
 * @param file The file at hand, and the decoder that it names.
 */
export async function decoderFor(
  asked: string | undefined,
  file: { readonly path: string; readonly decoder?: string } | undefined,
  io: Io,
): Promise<AnyDecoder> {
  if (asked !== undefined) {
    const known = await byName(asked);
    return known ?? fromFile(asked, io, unknown(asked));
  }
  const named = file?.decoder;
  if (file === undefined || named === undefined) return (await byName("nmra")) as AnyDecoder;
  const known = await byName(named);
  if (known) return known;
  // A club keeps its descriptions beside its locomotives.
  const beside = join(file.path === "-" ? "." : dirname(file.path), `${named}.json`);
  const name = nameOfInput(file.path);
  if (/^[a-z0-9-]+$/.test(named) && (await exists(beside))) return fromFile(beside, io, "");
  throw new Unusable(
    `${name}: ${unknown(named)}, and there is no ${beside}; name its description with --decoder FILE`,
  );
}

/** The names of the built-in decoders. */
export const decoderNames: readonly string[] = Object.keys(builtIn);

async function byName(name: string): Promise<AnyDecoder | undefined> {
  return Object.hasOwn(builtIn, name) ? builtIn[name]?.() : undefined;
}

function unknown(name: string): string {
  const [near] = nearestNames(name, Object.keys(builtIn));
  const names = Object.keys(builtIn).join(", ");
  return `no decoder "${name}" is built in (${names}${near ? `; is "${near}" meant?` : ""})`;
}

async function fromFile(path: string, io: Io, otherwise: string): Promise<AnyDecoder> {
  if (otherwise && path !== "-" && !(await exists(path))) {
    throw new Unusable(`${otherwise}, and there is no file of that name`);
  }
  const json = await jsonFrom(path, io);
  const other = otherKind(json.value);
  if (other)
    throw new Unusable(`${nameOfInput(path)}: this is ${other}; a decoder description has "features"`);
  const decoder = tryDecoderFromJson(json.value, { parts: { locomotive } });
  if (decoder.ok) return decoder.value;
  throw inFile(path, json, decoder.issues);
}

/** What a JSON file is, when it is plainly no decoder description. */
function otherKind(json: unknown): string | undefined {
  if (typeof json !== "object" || json === null || Object.hasOwn(json, "features")) return undefined;
  if (Object.hasOwn(json, "settings")) return "a settings file";
  return Object.hasOwn(json, "cvs") ? "a CV set" : undefined;
}

/**
 * Refuses files of different decoders, whose numbers mean different things, unless `--decoder` says how to read them.
 * @param asked What `--decoder` says.
 */
export function refuseTwoDecoders(
  asked: string | undefined,
  a: { readonly path: string; readonly decoder?: string },
  b: { readonly path: string; readonly decoder?: string },
): void {
  if (asked !== undefined || a.decoder === undefined || b.decoder === undefined) return;
  if (a.decoder === b.decoder) return;
  throw new Unusable(
    `${nameOfInput(a.path)} is for ${a.decoder} and ${nameOfInput(b.path)} for ${b.decoder}; say with --decoder how to read both`,
  );
}
