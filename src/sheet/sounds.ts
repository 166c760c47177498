import { toCommon } from "../meaning/quantity.js";
import type { Setting } from "../meaning/settings.js";
import { keyName } from "./outputs.js";
import { nameOfReading, type Reading, subjectOf } from "./reading.js";
import type { SheetSection } from "./sheet.js";
import { capital, levelInWords, oneLine, small } from "./words.js";

/** Whether a setting is about a sound. */
export function isSound(reading: Reading): boolean {
  const group = subjectOf(reading)?.group;
  return group === "signals" || group === "engine sounds";
}

interface Sound {
  name: string;
  readonly what: string[];
  level: string;
  key: string;
}

/** The sounds: which one, how loud, on which key. */
export function soundSection(readings: readonly Reading[]): SheetSection | undefined {
  const sounds = new Map<string, Sound>();
  for (const reading of readings) {
    if (!isSound(reading)) continue;
    const { name: subject } = subjectOf(reading) as Setting["terms"][number];
    const sound = sounds.get(subject) ?? { name: capital(subject), what: [], level: "", key: "" };
    sounds.set(subject, sound);
    const { setting, value, text } = reading;
    const { term, labels } = setting;
    if (term?.name === "sound level") sound.level = levelText(reading);
    else if (term?.type === "key") sound.key = typeof value === "number" ? keyName(value) : text;
    else if (term?.name !== subject) sound.what.push(...detail(reading));
    else {
      if (labels.length === 1) sound.name = oneLine(labels[0] ?? subject, 60);
      sound.what.unshift(text);
    }
  }
  if (sounds.size === 0) return undefined;
  const rows = [...sounds.values()].map(({ name, what, level, key }) => [
    name,
    what.join(", ") || "\u2013",
    level || "\u2013",
    key || "\u2013",
  ]);
  const columns = ["Sound", "Which", "How loud", "Key"];
  return { id: "sounds", title: "Sounds", blocks: [{ kind: "table", columns, rows }] };
}

/** What a setting adds to a sound: `open for 12 s`. */
function detail({ setting, value, text }: Reading): string[] {
  const label = small(oneLine(setting.labels.at(-1) ?? setting.path, 60));
  if (value === true || value === "on") return [label];
  return value === false || value === "off" ? [] : [`${label} ${text}`];
}

function levelText({ setting, value, text }: Reading): string {
  const { data } = setting.codec;
  if (data.kind !== "level" || typeof value !== "number") return text;
  const { min, max, options } = data.scale;
  const share = toCommon(value, "share", { unit: options.unit, min, max });
  return share === undefined ? text : levelInWords(share);
}

/** The facts about the prototype. */
export function primeSection(readings: readonly Reading[]): SheetSection | undefined {
  const rows = readings
    .filter((reading) => subjectOf(reading)?.group === "prime facts")
    .map((reading) => [nameOfReading(reading), reading.text] as const);
  return rows.length ? { id: "prime", title: "Prototype", blocks: [{ kind: "facts", rows }] } : undefined;
}
