import type { AnyDecoder } from "../decoder/decoder.js";
import { listsOutputs, outputsOf } from "../meaning/output-map.js";
import { nameOfReading, type Reading, subjectOf } from "./reading.js";
import type { SheetSection } from "./sheet.js";
import { capital, listed, oneLine, small } from "./words.js";

/** The direction in which something works; undefined for both. */
type Direction = "forward" | "reverse" | undefined;

/** An output: what is connected to it, and when it works. */
export interface Output {
  readonly number: number;
  /** What it carries: `Headlight`. */
  readonly name: string;
  /** How it shows, in words. */
  readonly effect: string;
  readonly direction: Direction;
}

/** A function key and what it works in each direction. */
export interface Key {
  /** The number of the function; 0 is FL. */
  readonly number: number;
  readonly forward: readonly string[];
  readonly reverse: readonly string[];
  /** The numbers of the outputs that it works. */
  readonly outputs: readonly number[];
}

// The colours of the first four outputs and of the other wires, NMRA S-9.1.1, from memory.
const colours: Readonly<Record<number, string>> = { 1: "white", 2: "yellow", 3: "green", 4: "violet" };
const otherWires =
  "Red: right rail. Black: left rail. Orange and grey: motor. Blue: common positive of the outputs.";
const colourSource = "Wire colours: NMRA S-9.1.1, section on the colour code (from memory).";

/** The outputs of a decoder, and what the settings say about each. */
export function outputsIn(decoder: AnyDecoder, readings: readonly Reading[]): Output[] {
  const described = outputsOf(
    decoder,
    readings.map(({ setting }) => setting),
  );
  const worked = readings.flatMap((reading) =>
    listsOutputs(reading.setting) ? numbersIn(reading.value) : [],
  );
  const numbers = [...new Set([...(described ?? []), ...worked])].sort((a, b) => a - b);
  return numbers.map((number) => {
    const mine = readings.filter(({ setting }) => setting.output === number);
    return {
      number,
      name: outputName(number, mine),
      effect: mine.flatMap((reading) => effectText(reading)).join(", "),
      direction: mine.map(directionIn).find((direction) => direction !== undefined),
    };
  });
}

function numbersIn(value: unknown): number[] {
  return Array.isArray(value) ? value.filter((one): one is number => typeof one === "number") : [];
}

function outputName(number: number, readings: readonly Reading[]): string {
  const [first] = readings;
  if (!first) return `Output ${number}`;
  const [label = ""] = first.setting.labels;
  const [name] = first.setting.path.split(".");
  // A label that only repeats the number, or none at all, says less than the term.
  if (label !== name && !/^output\b/i.test(label)) return oneLine(label, 60);
  const subject = subjectOf(first);
  return subject ? `${capital(subject.name)} on output ${number}` : `Output ${number}`;
}

/** What a setting of a lamp adds to its picture; the direction is told by the keys. */
function effectText(reading: Reading): string[] {
  const { setting, text, value } = reading;
  if (setting.term?.name === "lamp direction") return value === undefined ? [text] : [];
  if (value === false || value === "off") return [];
  const label = setting.labels.at(-1) ?? setting.path;
  if (setting.term?.name === "lamp effect") return [text];
  const name = small(oneLine(label, 60));
  return [value === true || value === "on" ? name : `${name} ${text}`];
}

function directionIn({ setting, value }: Reading): Direction {
  const { data } = setting.codec;
  if (setting.term?.name !== "lamp direction" || data.kind !== "choice") return undefined;
  const means = data.options[String(value)]?.means ?? String(value);
  if (/\bforward\b/i.test(means)) return "forward";
  return /\breverse\b/i.test(means) ? "reverse" : undefined;
}

/** What every key works, those that work something alone, by number. */
export function keysIn(readings: readonly Reading[], outputs: readonly Output[]): Key[] {
  const keys = new Map<number, { forward: string[]; reverse: string[]; outputs: number[] }>();
  const add = (key: number, what: string, direction: Direction, output?: number): void => {
    const works = keys.get(key) ?? { forward: [], reverse: [], outputs: [] };
    if (direction !== "reverse" && !works.forward.includes(what)) works.forward.push(what);
    if (direction !== "forward" && !works.reverse.includes(what)) works.reverse.push(what);
    if (output !== undefined) works.outputs.push(output);
    keys.set(key, works);
  };
  for (const reading of readings) {
    const { setting, value } = reading;
    if (listsOutputs(setting)) {
      const [, light, plain] = /(?:^|\.)(?:FL\((f|r)\)|F(\d+))$/.exec(setting.path) ?? [];
      if (light === undefined && plain === undefined) continue;
      const only: Direction = light === "f" ? "forward" : light === "r" ? "reverse" : undefined;
      for (const number of numbersIn(value)) {
        const output = outputs.find((one) => one.number === number);
        const ofLamp = output?.direction;
        // A lamp that is lit in one direction only, on a function of the other, is never lit.
        if (only !== undefined && ofLamp !== undefined && only !== ofLamp) continue;
        add(Number(plain ?? 0), output?.name ?? `Output ${number}`, only ?? ofLamp, number);
      }
    } else if (setting.term?.type === "key" && typeof value === "number") {
      add(value, capital(subjectOf(reading)?.name ?? nameOfReading(reading)), undefined);
    }
  }
  return [...keys].sort(([a], [b]) => a - b).map(([number, works]) => ({ number, ...works }));
}

/** The name of a key. */
export function keyName(number: number): string {
  return number === 0 ? "F0 (FL)" : `F${number}`;
}

/** What each key does in each direction. */
export function keySection(keys: readonly Key[]): SheetSection | undefined {
  if (keys.length === 0) return undefined;
  const rows = keys.map(({ number, forward, reverse }) => {
    const [ahead, back] = [forward, reverse].map((works) => listed(works) || "nothing");
    return [keyName(number), ahead ?? "", back === ahead ? "the same" : (back ?? "")];
  });
  return {
    id: "keys",
    title: "Keys",
    blocks: [{ kind: "table", columns: ["Key", "Forward", "In reverse"], rows }],
  };
}

/** What each wire carries. */
export function wireSection(outputs: readonly Output[], keys: readonly Key[]): SheetSection | undefined {
  if (outputs.length === 0) return undefined;
  const rows = outputs.map(({ number, name, effect, direction }) => {
    const works = keys.filter((key) => key.outputs.includes(number));
    const shown = [effect, direction && `${direction === "forward" ? "forward" : "reverse"} only`].filter(
      Boolean,
    );
    const colour = colours[number];
    return [
      `Output ${number}${colour ? `, ${colour}` : ""}`,
      name.replace(/ on output \d+$/, ""),
      shown.join(", ") || "\u2013",
      works.map((key) => keyName(key.number)).join(", ") || "no key",
    ];
  });
  return {
    id: "wires",
    title: "Wires",
    blocks: [
      { kind: "table", columns: ["Output and wire", "Carries", "Effect", "Keys"], rows },
      { kind: "text", text: `${otherWires} ${colourSource}` },
    ],
  };
}
