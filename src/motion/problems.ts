import { notAList, notANumber, notAnOption, notAText } from "../cv/faults.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import { nearestNames } from "../cv/nearest.js";

/** The limits of a number. */
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
/** A full-size speed. The upper limit keeps nonsense out; see `fastestModel` for what is unusual. */
export const speedLimits: Limits = { min: 0, max: 1000, unit: "m/s" };
/** A time. A shorter one is no timing, and would make a speed without bounds. */
export const secondsLimits: Limits = { min: 0.001, max: 1e6, unit: "s" };
/** A distance, model or full size. */
export const distanceLimits: Limits = { min: 0, max: 1e6, above: true, unit: "m" };

const notWithin = /* @__PURE__ */ fault(
  "number-limits",
  "expected {kind:text}{above:text} {min} to {max}{unit:text}, got {found}",
);
const wrongCount = /* @__PURE__ */ fault(
  "list-length",
  "expected a list of {lengths:list} numbers, got {found} of them",
);
const falls = /* @__PURE__ */ fault(
  "falling-steps",
  "expected a value that is not below {before}, the value of step {step}, got {found}",
);

/** Collects everything that is wrong with some input, so that all of it is reported at once. */
export class Problems {
  readonly #issues = new IssueList();

  /** Whether anything is wrong. */
  get some(): boolean {
    return this.#issues.some;
  }

  /** Everything that is wrong. */
  get issues(): readonly Issue[] {
    return this.#issues.done();
  }

  add(issue: Issue): void {
    this.#issues.add(issue);
  }

  addAll(issues: readonly Issue[], path = ""): void {
    this.#issues.addAll(issues, path);
  }

  /** Whether `found` is one of some names; the nearest ones are suggested. */
  option<Name extends string | number>(path: string, names: readonly Name[], found: unknown): found is Name {
    if (names.includes(found as Name)) return true;
    const nearest = typeof found === "string" ? nearestNames(found, names.map(String)) : [];
    this.add(notAnOption({ found, allowed: names, nearest }, { path }));
    return false;
  }

  /** Whether `found` is a text. */
  text(path: string, found: unknown): found is string {
    if (typeof found === "string") return true;
    this.add(notAText({ found }, { path }));
    return false;
  }

  /** Whether `found` is a number within limits. */
  number(path: string, found: unknown, limits: Limits, source?: string): found is number {
    const where = source === undefined ? { path } : { path, source };
    if (typeof found !== "number" || Number.isNaN(found)) {
      this.add(notANumber({ found }, where));
      return false;
    }
    const { min, max, above = false, whole = false, unit } = limits;
    if (found < min || found > max || (above && found === min) || (whole && !Number.isInteger(found))) {
      const words = {
        kind: whole ? "a whole number" : "a number",
        above: above ? " above" : " from",
        unit: unit ? ` ${unit}` : "",
      };
      this.add(notWithin({ found, min, max, ...words }, where));
      return false;
    }
    return true;
  }

  /** Whether `found` is a list of numbers, all within limits, of one of the given lengths. */
  numbers(
    path: string,
    found: unknown,
    limits: Limits,
    lengths: readonly number[],
  ): found is readonly number[] {
    if (!Array.isArray(found)) {
      this.add(notAList({ found }, { path }));
      return false;
    }
    if (!lengths.includes(found.length)) {
      this.add(wrongCount({ lengths, found: found.length }, { path }));
      return false;
    }
    let good = true;
    for (let i = 0; i < found.length; i++) good = this.number(`${path}.${i}`, found[i], limits) && good;
    return good;
  }

  /** Reports every step, from step 1, whose value is below that of the step before it. */
  rising(path: string, values: readonly number[]): void {
    for (let i = 1; i < values.length; i++) {
      const [before, found] = [values[i - 1] as number, values[i] as number];
      if (found < before) this.add(falls({ found, before, step: i }, { path: `${path}.${i}` }));
    }
  }

  /**
   * @throws `CvError` when anything is wrong.
   */
  throwIfAny(): void {
    if (this.#issues.some) throw new CvError(this.#issues.done());
  }
}
