import { keyName, keySettings } from "../../decoder/function-keys.js";
import { cvOfRow, type KeyRow, keyOfRow, knownOf, outputsOf } from "../known.js";
import { defineRule, type Found, nothing, type SetView, whole } from "../rule.js";

/** A row of the function map with the outputs that it switches in a set. */
interface Switching {
  readonly row: KeyRow;
  readonly key: string;
  readonly outputs: readonly number[];
}

/** The rows whose CV the set has; for {@link SetView.remember}, since four rules need them. */
const switchingRows = ({ cvs, decoder }: SetView): readonly Switching[] => {
  const found: Switching[] = [];
  for (const row of knownOf(decoder).keys) {
    const byte = cvs.get(row.cv);
    if (byte !== undefined) found.push({ row, key: keyOfRow(row), outputs: outputsOf(row, byte) });
  }
  return found;
};

/** The rows of each key: a key may have one for each direction. */
function byKey(rows: readonly Switching[]): Map<string, Switching[]> {
  const keys = new Map<string, Switching[]>();
  for (const one of rows) {
    const others = keys.get(one.key);
    if (others) others.push(one);
    else keys.set(one.key, [one]);
  }
  return keys;
}

const cvsOf = (rows: readonly Switching[]) => whole(...rows.map(({ row }) => cvOfRow(row)));

/** The keys that play a sound or work something else than an output, by the decoder's own settings. */
function otherKeys({ decoder, settings }: SetView): ReadonlySet<string> {
  const keys = new Set<string>();
  for (const { path } of keySettings(decoder.features)) {
    let value: unknown = settings;
    for (const step of path.split("."))
      value =
        typeof value === "object" && value !== null && Object.hasOwn(value, step)
          ? (value as Readonly<Record<string, unknown>>)[step]
          : undefined;
    if (typeof value === "number") keys.add(keyName(value));
  }
  return keys;
}

/** The rules about function keys and outputs. */
export const functionRules = [
  /* @__PURE__ */ defineRule({
    name: "key-works-nothing",
    severity: "note",
    summary: "A function key switches no output, and no setting of the decoder gives it anything else to do.",
    source: "S-9.2.2 (July 2012), CV 33-46; that each key should do something is common practice",
    fix: "Give the key an output in its CV, unless it plays a sound or is free on purpose.",
    kind: "multifunction",
    find(set) {
      const all = knownOf(set.decoder).keys;
      let idle = [...byKey(set.remember(switchingRows))].filter(
        ([key, rows]) =>
          rows.every(({ outputs }) => outputs.length === 0) &&
          // The light key may switch an output in the direction that is not in the set.
          all.filter((row) => keyOfRow(row) === key).length === rows.length,
      );
      // The settings are read only where a key needs them.
      const named = idle.length ? otherKeys(set) : undefined;
      idle = idle.filter(([key]) => !named?.has(key));
      if (idle.length === 0) return nothing;
      const keys = idle.map(([key]) => key).join(", ");
      const message =
        idle.length > 1 ? `the keys ${keys} switch no output` : `key ${keys} switches no output`;
      return [{ message, places: cvsOf(idle.flatMap(([, rows]) => rows)) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "output-two-keys",
    severity: "warning",
    summary: "Two keys switch the same output, so that neither alone can switch it off.",
    source: "S-9.2.2 (July 2012), CV 33-46; that it is seldom meant is common practice",
    fix: "Clear the output's bit in the CV of one of the keys.",
    kind: "multifunction",
    find(set) {
      const rows = set.remember(switchingRows);
      const keysOf = new Map<number, string[]>();
      for (const { key, outputs } of rows) {
        for (const output of outputs) {
          const keys = keysOf.get(output);
          if (!keys) keysOf.set(output, [key]);
          else if (!keys.includes(key)) keys.push(key);
        }
      }
      const found: Found[] = [];
      for (const [output, keys] of keysOf) {
        if (keys.length < 2) continue;
        const involved = rows.filter(({ outputs }) => outputs.includes(output));
        found.push({
          message: `output ${output} is switched by the keys ${keys.join(" and ")}`,
          places: cvsOf(involved),
        });
      }
      return found;
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "output-without-key",
    severity: "warning",
    summary: "No key switches an output that the decoder has.",
    source: "S-9.2.2 (July 2012), CV 33-46; that each output should have a key is common practice",
    fix: "Give the output a key in CV 33-46, unless nothing is wired to it.",
    kind: "multifunction",
    find(set) {
      const { outputs, keys } = knownOf(set.decoder);
      const rows = set.remember(switchingRows);
      // A part of the map does not show which outputs are left out.
      if (!outputs || keys.length === 0 || rows.length < keys.length) return nothing;
      const switched = new Set(rows.flatMap((row) => row.outputs));
      return outputs.flatMap((output) => {
        if (switched.has(output)) return nothing;
        const could = rows.filter(({ row }) => row.outputs.includes(output));
        return [{ message: `no key switches output ${output}`, places: cvsOf(could) }];
      });
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "output-missing",
    severity: "warning",
    summary: "A key switches an output that the decoder does not have.",
    source: "description of the decoder: the outputs that exist",
    fix: "Clear the output's bit in the CV of the key.",
    kind: "multifunction",
    find(set) {
      const { outputs } = knownOf(set.decoder);
      if (!outputs) return nothing;
      return set.remember(switchingRows).flatMap((one) => {
        const missing = one.outputs.filter((output) => !outputs.includes(output));
        if (missing.length === 0) return nothing;
        const message = `${one.row.name} switches output ${missing.join(" and ")}, which ${set.decoder.name} does not have`;
        return [{ message, places: cvsOf([one]) }];
      });
    },
  }),
];
