import { CvError, type Issue, nearestNames } from "../cv/index.js";

/** The limits of a number, with its unit for the message. */
export interface Limits {
  readonly min: number;
  readonly max: number;
  /** The lowest value itself is not allowed. */
  readonly above?: boolean;
  readonly whole?: boolean;
  readonly unit?: string;
}

/** A drive level, or any other byte. */
export const levelLimits: Limits = { min: 0, max: 255, whole: true };
/** A full-size speed. The upper limit only keeps nonsense out. */
export const speedLimits: Limits = { min: 0, max: 1000, unit: "m/s" };
/** A measured or wished time. A shorter one is no timing, and would make a speed without bounds. */
export const secondsLimits: Limits = { min: 0.001, max: 1e6, unit: "s" };
/** A distance, model or full size. */
export const distanceLimits: Limits = { min: 0, max: 1e6, above: true, unit: "m" };

/** Collects everything that is wrong with some input, so that all of it is reported at once. */
export class Problems {
  readonly issues: Issue[] = [];

  /** Notes a problem that needs a whole sentence. */
  content(path: string, expected: string, found?: unknown, clause?: string): void {
    this.issues.push({
      code: "content",
      path,
      expected,
      ...(found === undefined ? {} : { found }),
      ...(clause === undefined ? {} : { clause }),
    });
  }

  /** Notes that something is none of some names; suggests the nearest. */
  option(path: string, names: readonly string[], found: unknown): void {
    const nearest = typeof found === "string" ? nearestNames(found, names) : [];
    this.issues.push({ code: "option", path, expected: names.join(", "), found, nearest });
  }

  /** Whether `value` is a number within limits; notes the problem when it is not. */
  number(path: string, value: unknown, limits: Limits, clause?: string): value is number {
    const source = clause === undefined ? {} : { clause };
    if (typeof value !== "number" || !Number.isFinite(value)) {
      this.issues.push({ code: "type", path, expected: limitsText(limits), found: value, ...source });
      return false;
    }
    const { min, max, above = false, whole = false } = limits;
    if (value < min || value > max || (above && value === min) || (whole && !Number.isInteger(value))) {
      this.issues.push({ code: "range", path, expected: limitsText(limits), found: value, ...source });
      return false;
    }
    return true;
  }

  /** Whether `values` is a list of numbers, all within limits, of one of the given lengths. */
  numbers(
    path: string,
    values: unknown,
    limits: Limits,
    lengths: readonly number[],
  ): values is readonly number[] {
    if (!Array.isArray(values) || !lengths.includes(values.length)) {
      const found = Array.isArray(values) ? `${values.length} entries` : values;
      this.issues.push({ code: "type", path, expected: `a list of ${lengths.join(" or ")} numbers`, found });
      return false;
    }
    const before = this.issues.length;
    for (let i = 0; i < values.length; i++) this.number(`${path}.${i}`, values[i], limits);
    return this.issues.length === before;
  }

  /**
   * Notes every place where a list that must not fall does fall.
   * @param first The step number of entry 0, for the message.
   */
  rising(path: string, values: readonly number[], first = 1): boolean {
    let rises = true;
    for (let i = 1; i < values.length; i++) {
      const [before, here] = [values[i - 1] as number, values[i] as number];
      if (here >= before) continue;
      rises = false;
      this.content(
        `${path}.${i}`,
        `step ${first + i} must not be below step ${first + i - 1}, which has ${before}`,
        here,
      );
    }
    return rises;
  }

  /**
   * @throws `CvError` when anything was noted.
   */
  throwIfAny(): void {
    if (this.issues.length) throw new CvError(this.issues);
  }
}

/** `a whole number from 0 to 255`, `a number above 0, up to 10 s`. */
export function limitsText({ min, max, above = false, whole = false, unit }: Limits): string {
  const kind = whole ? "a whole number" : "a number";
  return `${kind} ${above ? `above ${min}, up to ${max}` : `from ${min} to ${max}`}${unit ? ` ${unit}` : ""}`;
}
