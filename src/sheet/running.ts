import { CvError, fault } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { speedPicture } from "../motion/speed-picture.js";
import { momentumProfile } from "../motion/stopping.js";
import { curveInUse } from "../standard/curve-in-use.js";
import { type Momentum, momentumInUse } from "../standard/momentum.js";
import { nameOfReading, type Reading } from "./reading.js";
import type { SheetBlock, SheetLocomotive, SheetOptions, SheetSection } from "./sheet.js";
import { number } from "./words.js";

// CV 2-6, 9, 10, 23-25 and 65-95 tell how the locomotive runs, as do bits 0, 1 and 4 of CV 29 (S-9.2.2 (July
// 2012), Table 1 and CV 29).
const isRunningCv = (cv: string): boolean =>
  ["2", "3", "4", "5", "6", "9", "10", "23", "24", "25"].includes(cv) ||
  (Number(cv) >= 65 && Number(cv) <= 95);
const runningBits = 0b10011;

/** Whether a setting is about how the locomotive runs; an accessory decoder has other things in these CVs. */
export function isRunning({ setting }: Reading, { kind }: AnyDecoder): boolean {
  if (kind === "accessory") return false;
  const { bits } = setting.codec;
  if (bits.some(({ cv }) => isRunningCv(cv))) return true;
  if (bits.every(({ cv, mask }) => cv === "29" && mask & runningBits)) return true;
  return setting.terms.some(({ group, name }) => group === "motion" && !notRunning.has(name));
}

const notRunning = /* @__PURE__ */ new Set([
  "address",
  "consist",
  "functions in a consist",
  "bi-directional communication",
]);

const notAbove = /* @__PURE__ */ fault("sheet-amount", "expected a number above 0, got {found}");

/**
 * Checks what distances are worked out from.
 * @throws `CvError` when either is not a number above 0.
 */
export function checkAmounts({ fullSpeed }: SheetLocomotive, { ratio }: SheetOptions): void {
  const issues = Object.entries({ fullSpeed, ratio }).flatMap(([path, found]) =>
    found === undefined || (Number.isFinite(found) && found > 0) ? [] : [notAbove({ found }, { path })],
  );
  if (issues.length) throw new CvError(issues);
}

/** The speed curve, and the momentum in seconds and metres. */
export function runningSection(
  { cvs, decoder, fullSpeed }: SheetLocomotive,
  title: string,
  readings: readonly Reading[],
  { ratio }: SheetOptions,
): SheetSection | undefined {
  if (decoder.kind === "accessory") return undefined;
  const levels = curveInUse(cvs);
  const momenta = (["acceleration", "deceleration"] as const).flatMap((change): [string, string][] => {
    const momentum = momentumInUse(cvs, change);
    const name = change === "acceleration" ? "From stop to full speed" : "From full speed to stop";
    return momentum ? [[name, momentumText(momentum, change, levels, fullSpeed, ratio)]] : [];
  });
  const told = readings.filter((reading) => isRunning(reading, decoder) && !isMomentum(reading));
  const rows = [...momenta, ...told.map((reading) => [nameOfReading(reading), reading.text] as const)];
  if (rows.length === 0) return undefined;
  const blocks: SheetBlock[] = [{ kind: "facts", rows }];
  if (levels) {
    const at = (step: number): string => `${number(levels[step - 1] ?? 0)} at step ${step}`;
    blocks.push({
      kind: "picture",
      svg: speedPicture({ title: `Drive levels of ${title}`, levels }),
      text: `Drive level forward, 0 to 255: ${[1, 7, 14, 21, 28].map(at).join(", ")}.`,
    });
  }
  if (fullSpeed !== undefined && levels) {
    const text =
      "Distances are at full size where nothing else is said, and take the speed as proportional to the drive level.";
    blocks.push({ kind: "text", text });
  }
  return { id: "running", title: "Running", blocks };
}

/** Whether a setting is one of those that the momentum in use is worked out from. */
function isMomentum({ setting }: Reading): boolean {
  return setting.codec.bits.every(({ cv }) => ["3", "4", "23", "24"].includes(cv));
}

function momentumText(
  { value, seconds }: Momentum,
  change: "acceleration" | "deceleration",
  levels: readonly number[] | undefined,
  fullSpeed: number | undefined,
  ratio: number | undefined,
): string {
  const top = levels?.at(-1) ?? 0;
  const time = value === 0 ? "at once" : `${number(seconds)} s`;
  if (fullSpeed === undefined || !levels || top === 0 || value === 0) return time;
  const speeds = levels.map((level) => (fullSpeed * level) / top);
  const way = change === "acceleration" ? { from: 0, to: speeds.length } : { from: speeds.length, to: 0 };
  const { distance } = momentumProfile({ speeds, ...way, momentum: value });
  const onTrack = ratio === undefined ? "" : `, ${number(distance / ratio, 2)} m of track`;
  return `${time}, ${number(distance, 0)} m${onTrack}`;
}
