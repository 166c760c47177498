import {
  curveKindOf,
  isUsed,
  midStepOf,
  speedTableCvs,
  speedTableOf,
  trimmedLevel,
} from "../../standard/curve-in-use.js";
import { momentumInUse } from "../../standard/momentum.js";
import { bit, defineRule, nothing, type SetView, whole } from "../rule.js";

/** `5`, `3-5, 9`: numbers, runs joined. */
function runs(numbers: readonly number[]): string {
  const texts: string[] = [];
  for (let i = 0; i < numbers.length; i++) {
    const first = numbers[i] as number;
    while (numbers[i + 1] === (numbers[i] as number) + 1) i++;
    const last = numbers[i] as number;
    texts.push(first === last ? `${first}` : `${first}-${last}`);
  }
  return texts.join(", ");
}

/** The 28 levels of the speed table, where the decoder may use it: CV 29 bit 4 is not 0. */
const tableLevels = ({ cvs }: SetView): readonly number[] | undefined =>
  curveKindOf(cvs) === "three-point" ? undefined : speedTableOf(cvs);

/** The CVs of steps of the table, from 1. */
const tableCvs = (steps: readonly number[]): number[] =>
  steps.map((step) => speedTableCvs[step - 1] as number);

/** The steps whose level fits a condition, from 1. */
const stepsWhere = (levels: readonly number[], fits: (level: number, i: number) => boolean): number[] =>
  levels.flatMap((level, i) => (fits(level, i) ? [i + 1] : []));

/** The rules about speed and momentum. */
export const speedRules = [
  /* @__PURE__ */ defineRule({
    name: "speed-table-incomplete",
    severity: "error",
    summary: "CV 29 bit 4 selects the speed table, and part of CV 67-94 is not in the set.",
    source: "S-9.2.2 (July 2012), CV 29 bit 4, CV 67-94",
    fix: "Add the missing CVs of the table, or clear CV 29 bit 4 to use CV 2, 5 and 6.",
    kind: "multifunction",
    find({ cvs }) {
      if (curveKindOf(cvs) !== "table") return nothing;
      const missing = speedTableCvs.filter((cv) => !cvs.has(cv));
      if (missing.length === 0) return nothing;
      const message = `CV 29 bit 4 selects the speed table, but the set lacks CV ${runs(missing)}`;
      return [{ message, places: [bit(29, 4), ...whole(...missing)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-curve-order",
    severity: "warning",
    summary: "Vstart, Vmid and Vhigh (CV 2, 6, 5) do not rise in this order.",
    source: "common practice",
    fix: "Make CV 2 at most CV 6, and CV 6 at most CV 5; with 0 or 1 in CV 5 or 6 that point is not used.",
    kind: "multifunction",
    find({ cvs }) {
      if (curveKindOf(cvs) === "table") return nothing;
      const points = [
        { cv: 2, name: "Vstart" },
        { cv: 6, name: "Vmid" },
        { cv: 5, name: "Vhigh" },
      ].flatMap((point) => {
        const value = cvs.get(point.cv);
        return value === undefined || (point.cv !== 2 && !isUsed(value)) ? [] : [{ ...point, value }];
      });
      return points.flatMap((point, i) => {
        const next = points[i + 1];
        if (!next || point.value <= next.value) return [];
        const message = `${point.name} (CV ${point.cv}) is ${point.value}, above ${next.name} (CV ${next.cv}), ${next.value}: more throttle gives less speed`;
        return [{ message, places: whole(point.cv, next.cv) }];
      });
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-table-falls",
    severity: "warning",
    summary: "The speed table falls, so that a higher step is slower.",
    source: "common practice",
    fix: "Make each of CV 67-94 at least as high as the one before.",
    kind: "multifunction",
    find(set) {
      const levels = set.remember(tableLevels);
      if (!levels) return nothing;
      const falls = stepsWhere(levels, (level, i) => level < (levels[i - 1] ?? 0));
      if (falls.length === 0) return nothing;
      const message = `the speed table falls at step ${runs(falls)}: more throttle gives less speed`;
      const steps = new Set(falls.flatMap((step) => [step - 1, step]));
      return [{ message, places: whole(...tableCvs([...steps].sort((a, b) => a - b))) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-table-starts-at-0",
    severity: "warning",
    summary: "The speed table starts at 0, so that the first steps give no motion.",
    source:
      "S-9.2.2 (July 2012), CV 67-94: the level is the drive; that step 1 should move is common practice",
    fix: "Give CV 67 the lowest level at which the locomotive runs.",
    kind: "multifunction",
    find(set) {
      const levels = set.remember(tableLevels);
      if (!levels) return nothing;
      const moving = levels.findIndex((level) => level > 0);
      // Another rule reports a table of nothing but 0.
      if (moving < 1) return nothing;
      const steps = stepsWhere(levels, (_, i) => i < moving);
      const message = `the speed table gives no drive at step ${runs(steps)}`;
      return [{ message, places: whole(...tableCvs(steps)) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-table-flat",
    severity: "warning",
    summary: "All 28 levels of the speed table are the same: the locomotive has one speed, or does not move.",
    source: "common practice",
    fix: "Fill CV 67-94 with a rising curve, or clear CV 29 bit 4 to use CV 2, 5 and 6.",
    kind: "multifunction",
    find(set) {
      const levels = set.remember(tableLevels);
      if (!levels || levels.some((level) => level !== levels[0])) return nothing;
      const message = `every level of the speed table is ${levels[0]}: ${
        levels[0] === 0 ? "the locomotive does not move" : "all speed steps give the same speed"
      }`;
      return [{ message, places: whole(...speedTableCvs) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "trim-clips",
    severity: "warning",
    summary:
      "A trim (CV 66 forward, CV 95 reverse) lifts levels of the speed table above 255, where they are cut off.",
    source: "S-9.2.2 (July 2012), CV 66 and 95; that a level above 255 is cut off is inferred",
    fix: "Lower the trim of this direction, or the table, so that level * trim / 128 is at most 255.",
    kind: "multifunction",
    find(set) {
      const levels = set.remember(tableLevels);
      if (!levels) return nothing;
      return [
        { cv: 66, way: "forward" },
        { cv: 95, way: "reverse" },
      ].flatMap(({ cv, way }) => {
        const trim = set.cvs.get(cv) ?? 0;
        const clipped = stepsWhere(levels, (level) => trimmedLevel(level, trim) > 255);
        if (clipped.length === 0) return nothing;
        const message = `the ${way} trim (CV ${cv}) is ${trim}/128 and lifts step ${runs(clipped)} above 255, where the speed is cut off`;
        return [{ message, places: whole(cv, ...tableCvs(clipped)) }];
      });
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "mid-step-unclear",
    severity: "note",
    summary:
      "CV 25 is 128 or 154, the ends of a range that is printed with one value more than the 26 steps that it names.",
    source: "S-9.2.2 (July 2012), CV 25",
    fix: "Use 129-153, or find out by trying at which step Vmid applies.",
    kind: "multifunction",
    find({ cvs }) {
      const value = cvs.get(25);
      if (value !== 128 && value !== 154) return nothing;
      const message = `CV 25 is ${value}: by this library's reading Vmid applies at step ${midStepOf(value)} of 28, by another ${value === 128 ? "the value has no step" : "at step 26"}`;
      return [{ message, places: whole(25) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "long-stop",
    severity: "warning",
    summary: "The momentum is so long that the locomotive does not stop within the given distance.",
    source:
      "S-9.2.2 (July 2012), CV 4 and 24: seconds = (CV 4 with CV 24) * 0.896; slowing down evenly is assumed",
    fix: "Lower CV 4 (or the amount in CV 24), or give a longer distance.",
    kind: "multifunction",
    find({ cvs, stopping }) {
      const momentum = momentumInUse(cvs, "deceleration");
      if (!stopping || !momentum) return nothing;
      const { seconds } = momentum;
      const mm = (stopping.topSpeedMmPerS * seconds) / 2;
      if (!(mm > stopping.withinMm)) return nothing;
      const message = `from ${stopping.topSpeedMmPerS} mm/s the locomotive takes ${seconds.toFixed(1)} s and ${Math.round(mm)} mm to stop; ${stopping.withinMm} mm are allowed`;
      return [{ message, places: whole(4, ...(cvs.has(24) ? [24] : [])) }];
    },
  }),
];
