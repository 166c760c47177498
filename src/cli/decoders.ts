import { dirname, join } from "node:path";
import type { Result } from "../cv/issue.js";
import { nearestNames } from "../cv/nearest.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { tryDecoderFromJson } from "../decoder/from-json.js";
import { locomotive } from "../standard/locomotive.js";
import { exists, headOf, type Input, inputFrom, inputsFrom, unusable, wrongKind } from "./input.js";
import type { Io } from "./io.js";
import { Unusable } from "./unusable.js";

/** The decoders that the command knows by name. */
export const builtIn: ReadonlyMap<string, () => Promise<AnyDecoder>> = new Map([
  ["nmra", async () => (await import("../standard/nmra.js")).nmra as AnyDecoder],
  ["nmra-accessory", async () => (await import("../standard/nmra.js")).nmraAccessory as AnyDecoder],
  ["quillback-s8", async () => (await import("../demo/quillback-s8.js")).quillback as AnyDecoder],
  ["dunlin-m6", async () => (await import("../demo/dunlin-m6.js")).dunlin as AnyDecoder],
]);

/** The names of the built-in decoders. */
export const decoderNames: readonly string[] = [...builtIn.keys()];

/**
 * The decoder to use: the one that was asked for, else the one that the file names, else the plain standard.
 * @param asked The value of `--decoder`: a built-in name, or a description file.
 * @param input The file at hand, which may name a decoder.
 */
export async function decoderFor(
  asked: string | undefined,
  input: Input | undefined,
  io: Io,
): Promise<AnyDecoder> {
  if (asked !== undefined) return (await byName(asked)) ?? fromFile(asked, io, notBuiltIn(asked));
  const named = input && headOf(input).decoder;
  if (input === undefined || named === undefined) return (await byName("nmra")) as AnyDecoder;
  const known = await byName(named);
  if (known) return known;
  // A club keeps its descriptions beside its locomotives.
  const isPlain = /^[\p{L}\p{N}][\p{L}\p{N}._-]*$/u.test(named);
  const beside = join(dirname(input.path), `${named}.json`);
  if (isPlain && (await exists(beside))) return fromFile(beside, io, "");
  const where = isPlain ? `, and there is no ${beside}` : "";
  throw new Unusable(
    `${input.title}: ${notBuiltIn(named)}${where}; give its description with --decoder FILE`,
  );
}

async function byName(name: string): Promise<AnyDecoder | undefined> {
  return builtIn.get(name)?.();
}

function notBuiltIn(name: string): string {
  const [near] = nearestNames(name, decoderNames);
  const names = decoderNames.join(", ");
  return `there is no built-in decoder "${name}" (${names}${near ? `; did you mean "${near}"?` : ""})`;
}

async function fromFile(path: string, io: Io, otherwise: string): Promise<AnyDecoder> {
  if (otherwise && path !== "-" && !(await exists(path))) {
    throw new Unusable(`${otherwise}, and there is no file of that name`);
  }
  return decoderFrom(await inputFrom(path, io), io);
}

/** The decoder to describe: also that of a CV set or of settings. */
export async function decoderOf(asked: string, io: Io): Promise<AnyDecoder> {
  const known = await byName(asked);
  if (known) return known;
  if (asked !== "-" && !(await exists(asked)))
    throw new Unusable(`${notBuiltIn(asked)}, and there is no file of that name`);
  const [input] = await inputsFrom(asked, io);
  if (input && headOf(input).decoder !== undefined) return decoderFor(undefined, input, io);
  return decoderFrom(input as Input, io);
}

/** The decoder that a file describes. */
export function decoderFrom(input: Input, io: Io): AnyDecoder {
  if (input.kind !== "description") throw wrongKind(input, "a decoder description");
  const decoder = describedIn(input.value, io);
  if (decoder.ok) return decoder.value;
  throw unusable(input, decoder.issues);
}

/** The decoder of a description, which may use what plug-ins add. */
export function describedIn(json: unknown, { plugIns: { parts, codecs } }: Io): Result<AnyDecoder> {
  return tryDecoderFromJson(json, { parts: { ...parts, locomotive }, codecs });
}
