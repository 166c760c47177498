import { defineRule, nothing, whole } from "../rule.js";
import {
  bitOf,
  missingOfTable,
  stoppingSeconds,
  tableFirst,
  tableInUse,
  tableLast,
  threePoints,
} from "../standing.js";

const tablePlaces = /* @__PURE__ */ whole(
  .../* @__PURE__ */ Array.from({ length: tableLast - tableFirst + 1 }, (_, i) => tableFirst + i),
);

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

/** The rules about speed and momentum. */
export const speedRules = [
  /* @__PURE__ */ defineRule({
    name: "speed-table-incomplete",
    severity: "error",
    summary: "CV 29 bit 4 calls for the speed table, and part of CV 67-94 is not in the set.",
    source: "S-9.2.2 (July 2012), CV 29 bit 4, CV 67-94",
    mend: "Add the missing CVs of the table, or clear CV 29 bit 4 to use CV 2, 5 and 6.",
    kind: "multifunction",
    find({ cvs }) {
      if (bitOf(cvs, 29, 4) !== 1) return nothing;
      const missing = missingOfTable(cvs);
      if (missing.length === 0) return nothing;
      const message = `CV 29 bit 4 calls for the speed table, but the set lacks CV ${runs(missing)}`;
      return [{ message, places: [{ cv: "29", mask: 16 }, ...whole(...missing)] }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-curve-order",
    severity: "warning",
    summary: "Vstart, Vmid and Vhigh (CV 2, 6, 5) do not rise in this order.",
    source: "common practice",
    mend: "Make CV 2 at most CV 6, and CV 6 at most CV 5; 0 or 1 in CV 5 or 6 leaves that point out.",
    kind: "multifunction",
    find({ cvs }) {
      if (bitOf(cvs, 29, 4) === 1) return nothing;
      const { start, mid, high } = threePoints(cvs);
      const points = [
        { cv: 2, name: "Vstart", value: start },
        { cv: 6, name: "Vmid", value: mid },
        { cv: 5, name: "Vhigh", value: high },
      ].filter((point) => point.value !== undefined);
      const falls = points.flatMap((point, i) => {
        const next = points[i + 1];
        return next && Number(point.value) > Number(next.value) ? [[point, next] as const] : [];
      });
      return falls.map(([a, b]) => ({
        message: `${a.name} (CV ${a.cv}) is ${a.value}, above ${b.name} (CV ${b.cv}), ${b.value}: more throttle gives less speed`,
        places: whole(a.cv, b.cv),
      }));
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-table-falls",
    severity: "warning",
    summary: "The speed table falls somewhere, so that a higher step is slower.",
    source: "common practice",
    mend: "Make each of CV 67-94 at least as high as the one before.",
    kind: "multifunction",
    find({ cvs }) {
      const levels = tableInUse(cvs);
      const falls = levels?.flatMap((level, i) => (i && level < Number(levels[i - 1]) ? [i + 1] : []));
      if (!falls?.length) return nothing;
      const message = `the speed table falls at step ${runs(falls)}: more throttle gives less speed`;
      const cvs2 = new Set(falls.flatMap((step) => [tableFirst + step - 2, tableFirst + step - 1]));
      return [{ message, places: whole(...[...cvs2].sort((a, b) => a - b)) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-table-starts-at-0",
    severity: "warning",
    summary: "The speed table starts at 0, so that the first steps give no motion.",
    source:
      "S-9.2.2 (July 2012), CV 67-94: the level is the drive; that step 1 should move is common practice",
    mend: "Give CV 67 the lowest level at which the locomotive runs.",
    kind: "multifunction",
    find({ cvs }) {
      const levels = tableInUse(cvs);
      const moving = levels?.findIndex((level) => level > 0) ?? 0;
      // A table of nothing but 0 is flat, and another rule says so.
      if (moving < 1) return nothing;
      const message = `the speed table gives no drive at step ${runs(Array.from({ length: moving }, (_, i) => i + 1))}`;
      return [{ message, places: whole(...Array.from({ length: moving }, (_, i) => tableFirst + i)) }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "speed-table-flat",
    severity: "warning",
    summary: "All 28 levels of the speed table are the same: the locomotive has one speed, or none.",
    source: "common practice",
    mend: "Fill CV 67-94 with a rising curve, or clear CV 29 bit 4 to use CV 2, 5 and 6.",
    kind: "multifunction",
    find({ cvs }) {
      const levels = tableInUse(cvs);
      if (!levels || levels.some((level) => level !== levels[0])) return nothing;
      const message = `every level of the speed table is ${levels[0]}: ${
        levels[0] === 0 ? "the locomotive does not move" : "all speed steps give the same speed"
      }`;
      return [{ message, places: tablePlaces }];
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "trim-clips",
    severity: "warning",
    summary:
      "A trim (CV 66 forward, CV 95 reverse) lifts levels of the speed table above 255, where they are cut off.",
    source: "S-9.2.2 (July 2012), CV 66 and 95",
    mend: "Lower the trim of this direction, or the table, so that level * trim / 128 stays within 255.",
    kind: "multifunction",
    find({ cvs }) {
      const levels = tableInUse(cvs);
      if (!levels) return nothing;
      return [
        { cv: 66, way: "forward" },
        { cv: 95, way: "reverse" },
      ].flatMap(({ cv, way }) => {
        // 0: no trim.
        const trim = cvs.get(cv) || 128;
        const clipped = levels.flatMap((level, i) => (level * trim > 255 * 128 ? [i + 1] : []));
        if (clipped.length === 0) return nothing;
        const message = `the ${way} trim (CV ${cv}) is ${trim}/128 and lifts step ${runs(clipped)} above 255, where the speed is cut off`;
        return [{ message, places: whole(cv, ...clipped.map((step) => tableFirst + step - 1)) }];
      });
    },
  }),
  /* @__PURE__ */ defineRule({
    name: "long-stop",
    severity: "warning",
    summary: "The momentum is so long that the locomotive does not stop within the stated distance.",
    source:
      "S-9.2.2 (July 2012), CV 4 and 24: seconds = (CV 4 with CV 24) * 0.896; slowing down evenly is assumed",
    mend: "Lower CV 4 (or the amount in CV 24), or state a longer distance.",
    kind: "multifunction",
    find({ cvs, stopping }) {
      const seconds = stoppingSeconds(cvs);
      if (!stopping || seconds === undefined) return nothing;
      const mm = (stopping.topSpeedMmPerS * seconds) / 2;
      if (!(mm > stopping.withinMm)) return nothing;
      const message = `from ${stopping.topSpeedMmPerS} mm/s the locomotive takes ${seconds.toFixed(1)} s and ${Math.round(mm)} mm to stop; ${stopping.withinMm} mm are allowed`;
      return [{ message, places: whole(4, ...(cvs.has(24) ? [24] : [])) }];
    },
  }),
];
