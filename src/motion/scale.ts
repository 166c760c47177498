import { CvError, fault, type Issue } from "../cv/issue.js";
import { nearestNames } from "../cv/nearest.js";

// HO is 3.5 mm to the foot (NMRA S-1.2, from memory), so 304.8 / 3.5, written as a number: bundlers do not drop a table
// that holds a division. The others are common practice.
const scales = {
  Z: 220,
  N: 160,
  TT: 120,
  HO: 87.08571428571429,
  OO: 76.2,
  S: 64,
  O: 48,
  I: 32,
  G: 22.5,
  II: 22.5,
} as const;

const notAScale = /* @__PURE__ */ fault(
  "model-scale",
  'expected a scale: {allowed:list}, with a narrow gauge behind it (HOn3, H0e, On30, TTe) or without, or a ratio such as "1:87"; got {found}',
);
const bareNumber = /* @__PURE__ */ fault(
  "model-scale-number",
  'a number alone is not a scale, got {found}; write a ratio as "1:{ratio:text}"',
);
const zeroScale = /* @__PURE__ */ fault(
  "model-scale-zero",
  'got {found}, which is 1:45 in Europe and 1:48 in North America; write "1:45" or "1:48"',
);
const ratioRange = /* @__PURE__ */ fault(
  "model-scale-ratio",
  "expected a ratio from 1:1 to 1:{max}, got {found}",
);

/** The largest ratio that is read; a larger one is taken for a mistake. */
const largestRatio = 1000;

/**
 * The ratio of a scale, full size to model.
 * @param scale The name of a scale in capital or small letters: Z, N, TT, HO or H0, OO or 00, S, O, I, G or II;
 * with a narrow gauge behind it, which does not change the scale (`"HOn3"`, `"On30"`, `"H0e"`, `"TTe"`, `"Nm"`;
 * common practice); or a ratio, `"1:87"`. A number alone is refused, as `"0"` and `"1"` are names of scales too.
 * @throws `CvError` when it is not a scale.
 * @example
 * import { scaleRatio } from "cvset/motion";
 * scaleRatio("On30"); // 48
 * scaleRatio("1:32"); // 32
 * Math.round(scaleRatio("H0e") * 1000) / 1000; // 87.086
 */
/* @__NO_SIDE_EFFECTS__ */
export function scaleRatio(scale: string): number {
  const read = readScale(scale);
  if (typeof read === "number") return read;
  throw new CvError([read]);
}

/** The ratio of a scale, or what is wrong with it. */
export function readScale(scale: unknown, path = ""): number | Issue {
  const names = Object.keys(scales);
  if (typeof scale !== "string") {
    return typeof scale === "number"
      ? bareNumber({ found: scale, ratio: scale }, { path })
      : notAScale({ found: scale, allowed: names }, { path });
  }
  const text = scale.trim().replace(/[\s_]+/g, "");
  const ratio = /^1[:/](\d{1,4}(?:[.,]\d{1,6})?)$/.exec(text)?.[1];
  if (ratio !== undefined) {
    const value = Number(ratio.replace(",", "."));
    if (value >= 1 && value <= largestRatio) return value;
    return ratioRange({ found: scale, max: largestRatio }, { path });
  }
  if (/^0[emfip]?$/i.test(text)) return zeroScale({ found: scale }, { path });
  if (/^\d+([.,]\d+)?$/.test(text) && text !== "00") {
    return bareNumber({ found: scale, ratio: text }, { path });
  }
  // A gauge: n and a number (HOn3, Nn3, On30), a letter of the European names (H0e, TTm), or 9 mm (OO9, 00-9).
  const name = text
    .toUpperCase()
    .replaceAll("0", "O")
    .replace(/(N[\dO.½¾]{1,5}|-?9|[EMFP])$/, "");
  if (Object.hasOwn(scales, name)) return scales[name as keyof typeof scales];
  return notAScale({ found: scale, allowed: names, nearest: nearestNames(scale, names) }, { path });
}
