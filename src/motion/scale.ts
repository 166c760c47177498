import { CvError, type Issue, nearestNames } from "../cv/index.js";

/**
 * How many times the full-size railway is larger than the model. HO is 3.5 mm to the foot (NMRA
 * S-1.2), so 304.8 / 3.5; the others are common practice.
 * @example
 * import { scales } from "cvset/motion";
 * scales.N; // 160
 */
export const scales: Readonly<Record<"Z" | "N" | "TT" | "HO" | "OO" | "S" | "O" | "G", number>> = {
  Z: 220,
  N: 160,
  TT: 120,
  HO: 304.8 / 3.5,
  OO: 76.2,
  S: 64,
  O: 48,
  G: 22.5,
};

/** The largest ratio that is read; a larger one is taken for a slip. */
export const largestRatio = 1000;

/**
 * The ratio of a scale, full size to model.
 * @param scale The name of a scale; with the gauge of a narrow-gauge line after an `n` (`"HOn3"`,
 * `"On30"`: the gauge does not change the scale, common practice); `"1:87"`; or the ratio itself,
 * 1 to 1,000.
 * @throws `CvError` when it is none of these.
 * @example
 * import { scaleRatio } from "cvset/motion";
 * scaleRatio("On30"); // 48
 * scaleRatio("1:32"); // 32
 * Math.round(scaleRatio("HO") * 1000) / 1000; // 87.086
 */
/* @__NO_SIDE_EFFECTS__ */
export function scaleRatio(scale: string | number): number {
  const ratio = tryScaleRatio(scale);
  if (ratio !== undefined) return ratio;
  throw new CvError([badScale("", scale)]);
}

/** The ratio of a scale, or undefined when it is none. */
export function tryScaleRatio(scale: unknown): number | undefined {
  if (typeof scale === "number") return scale >= 1 && scale <= largestRatio ? scale : undefined;
  if (typeof scale !== "string") return undefined;
  const text = scale.trim();
  const ratio = /^(?:1\s*:\s*)?(\d{1,4}(?:\.\d{1,6})?)$/.exec(text)?.[1];
  if (ratio !== undefined) return tryScaleRatio(Number(ratio));
  const name = text.toUpperCase().replace(/N\d[\d.½¾]{0,5}$/, "");
  return Object.hasOwn(scales, name) ? scales[name as keyof typeof scales] : undefined;
}

/** The issue that says that something is not a scale. */
export function badScale(path: string, scale: unknown): Issue {
  return {
    code: "option",
    path,
    expected: `${Object.keys(scales).join(", ")}, a ratio such as "1:87", or a number from 1 to ${largestRatio}`,
    found: scale,
    nearest: typeof scale === "string" ? nearestNames(scale, Object.keys(scales)) : [],
  };
}
