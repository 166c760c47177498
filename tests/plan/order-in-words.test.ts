import { CvError, CvSet } from "cvset";
import { orderRules, type Plan, plan } from "cvset/plan";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { toCvSet } from "../../src/cv/cvset.js";
import { type Case, cases, type Derived } from "./arbitrary.js";
import { isLast } from "./harness.js";

// Which rule of order binds which two steps of a plan, worked out a second time: step by step, from the CVs
// that are written and their values alone. Each step must name the rules that bind it, and no other.

type Role =
  | "reset"
  | "unlock"
  | "lock"
  | "select"
  | "page"
  | "index"
  | "unpaged"
  | "primary"
  | "extended-high"
  | "extended-low"
  | "consist"
  | "configuration"
  | "accessory-address"
  | "curve"
  | "plain"
  | "derived"
  | "derived-last";

interface Step {
  readonly at: number;
  readonly cv: string;
  readonly role: Role;
}

const isUnpaged = (cv: string): boolean => Number(cv) >= 257 && Number(cv) <= 512;
const isCurve = (cv: number): boolean => [2, 5, 6, 25].includes(cv) || (cv >= 66 && cv <= 95);

/** What each step is, by its CV and its neighbours. */
function stepsOf(
  { steps, kind }: Pick<Plan, "steps" | "kind">,
  from: CvSet,
  decoder: CvSet | undefined,
  derived: readonly Derived[],
): Step[] {
  const isPage = (cv: string): boolean => cv.includes("@");
  // The lock, written step by step; a decoder is open when both are known and equal.
  let [key, number] = [from.get(15), from.get(16)];
  const open = steps.map(({ cv, value }) => {
    if (cv === "15") key = value;
    if (cv === "16") number = value;
    return key !== undefined && key === number;
  });
  return steps.map(({ cv, value }, at) => {
    const role = (): Role => {
      if (cv === "8" && value === 8) return "reset";
      if (derived.some((one) => one.cv === cv)) return isLast(cv, derived) ? "derived-last" : "derived";
      if (isPage(cv)) return "page";
      if (cv === "31" || cv === "32")
        return steps.slice(at).some((step) => isPage(step.cv)) ? "select" : "index";
      if (isUnpaged(cv) && !decoder?.has(cv)) return "unpaged";
      if (cv === "29") return "configuration";
      if (kind === "accessory") return cv === "1" || cv === "9" ? "accessory-address" : "plain";
      // A write that leaves the decoder locked, or perhaps locked, until the end.
      if (cv === "15" || cv === "16") return open.slice(at).some((each) => each) ? "unlock" : "lock";
      if (isCurve(Number(cv))) return "curve";
      const roles: Record<string, Role> = {
        1: "primary",
        17: "extended-high",
        18: "extended-low",
        19: "consist",
      };
      return roles[cv] ?? "plain";
    };
    return { at, cv, role: role() };
  });
}

const addresses: readonly Role[] = ["primary", "extended-high", "extended-low", "accessory-address"];

/** The rules that put step `a` before step `b`. */
function rulesBetween(a: Step, b: Step, steps: readonly Step[], onMain: boolean): string[] {
  const rules: string[] = [];
  if (a.role === "reset") rules.push("reset");
  if (b.role === "reset") return [];
  if (a.role === "unlock" && (b.role !== "unlock" || a.at < b.at)) rules.push("unlock");
  if (b.role === "unlock") return rules;
  if (b.role === "lock" && !["reset", "unlock"].includes(a.role) && (a.role !== "lock" || a.at < b.at)) {
    rules.push("lock");
  }
  if (a.role === "lock") return rules;
  const moves = ["select", "page", "index"].includes(b.role);
  if (a.role === "unpaged" && moves) rules.push("unpaged");
  const isPaged = ({ role, cv }: Step): boolean =>
    role === "page" || (role === "derived" && cv.includes("@"));
  if ((a.role === "page" || a.role === "derived") && b.role === "index") rules.push("index");
  if (a.role === "select" && isPaged(b) && a.at < b.at) {
    // Still in force: no step in between writes the CV again.
    if (!steps.slice(a.at + 1, b.at).some(({ cv }) => cv === a.cv)) rules.push("select");
  }
  if (isPaged(a) && b.role === "select" && a.at < b.at) {
    // Of the next page: no CV of another page in between.
    const page = a.cv.split("@")[1];
    if (!steps.slice(a.at, b.at).some(({ cv }) => cv.includes("@") && cv.split("@")[1] !== page)) {
      rules.push("select");
    }
  }
  if (a.role === "primary" && (b.role === "configuration" || b.role === "consist")) rules.push("primary");
  if (a.role === "extended-high" && b.role === "extended-low") rules.push("pair");
  const others = ["plain", "curve", "unpaged", "select", "page", "derived", "index"].includes(a.role);
  if (onMain && others && [...addresses, "configuration"].includes(b.role)) rules.push("address");
  if (["extended-high", "extended-low", "curve"].includes(a.role) && b.role === "configuration") {
    rules.push("configuration");
  }
  const kept = a.role !== b.role || a.at < b.at;
  if (["plain", "curve", "unpaged", "page", "derived"].includes(a.role) && b.role === "derived" && kept) {
    rules.push("derived");
  }
  if (b.role === "derived-last" && !["reset", "unlock", "lock", "select"].includes(a.role) && kept) {
    rules.push("derived-last");
  }
  return rules;
}

interface Bound {
  readonly id: string;
  readonly after: string[];
  readonly before: string[];
}

function bound(step: Step, steps: readonly Step[], onMain: boolean): Bound[] {
  return orderRules
    .map(({ id }) => ({
      id,
      after: steps.filter((other) => other !== step && rulesBetween(other, step, steps, onMain).includes(id)),
      before: steps.filter(
        (other) => other !== step && rulesBetween(step, other, steps, onMain).includes(id),
      ),
    }))
    .filter(({ after, before }) => after.length || before.length)
    .map(({ id, after, before }) => ({
      id,
      after: after.map(({ cv }) => cv),
      before: before.map(({ cv }) => cv),
    }));
}

const noRule = "no rule of order applies to it";

/** What is wrong with the steps of a plan. A write that is sent to two addresses is one step of the order. */
function wrongIn(plan: Plan, from: CvSet, decoder: CvSet | undefined, derived: readonly Derived[]): string[] {
  const made = { ...plan, steps: plan.steps.filter(({ need }) => need !== "either") };
  const steps = stepsOf(made, from, decoder, derived);
  const wrong: string[] = [];
  made.steps.forEach((step, at) => {
    const expected = bound(steps[at] as Step, steps, made.mode === "main");
    if (JSON.stringify(step.rules) !== JSON.stringify(expected)) {
      wrong.push(`CV ${step.cv}: ${JSON.stringify(step.rules)} and not ${JSON.stringify(expected)}`);
    }
    const { reason } = step;
    const named = orderRules.filter(({ why }) => reason.includes(why)).map(({ id }) => id);
    if (named.join() !== expected.map(({ id }) => id).join()) wrong.push(`CV ${step.cv}: ${reason}`);
    if (reason.includes(noRule) !== (expected.length === 0)) wrong.push(`CV ${step.cv}: ${reason}`);
    // Every CV that the reason names beside a rule is written, on the side that it says.
    for (const part of reason.split("; ").slice(1)) {
      const places = part.slice(0, part.indexOf(": "));
      for (const [, side, cvs = ""] of places.matchAll(/(after|before) ((?:(?!, before ).)*)/g)) {
        const there = made.steps.slice(...(side === "after" ? [0, at] : [at + 1]));
        for (const [, cv] of cvs.matchAll(/CV (\d[\d@.]*)/g)) {
          if (!there.some((other) => other.cv === cv)) wrong.push(`CV ${step.cv}: ${reason}`);
        }
      }
    }
    // A rule puts steps on the side where they are.
    for (const { after, before } of expected) {
      const count = (list: readonly { cv: string }[], cv: string) =>
        list.filter((each) => each.cv === cv).length;
      if (after.some((cv) => !count(made.steps.slice(0, at), cv)))
        wrong.push(`CV ${step.cv}: not after ${after}`);
      if (before.some((cv) => !count(made.steps.slice(at + 1), cv)))
        wrong.push(`CV ${step.cv}: not before ${before}`);
    }
  });
  return wrong;
}

const byte = fc.nat(255);

/** Accessory decoders: what is known of them, and what is wanted. */
const accessories = fc.record({
  from: fc.record({ 1: fc.nat(63), 3: byte, 9: fc.nat(7), 29: fc.constant(128), 31: byte, 32: byte }),
  to: fc.record(
    { 1: fc.nat(63), 3: byte, 4: byte, 9: fc.nat(7), 29: fc.constantFrom(128, 136, 160), "300@16.0": byte },
    { requiredKeys: [] },
  ),
});

interface Tried {
  readonly from: CvSet;
  readonly make: () => Plan;
  readonly decoder: CvSet | undefined;
  readonly derived: readonly Derived[];
}

function tried({ mode, decoder, from, contents, to, all, factoryReset }: Case): Tried {
  const known = factoryReset ? toCvSet(decoder.factory) : from;
  const address = (contents.get(29) as number & 32) ? undefined : contents.get(1);
  const options = { mode, decoder, all, factoryReset, changeAddress: true };
  const make = () => plan(from, to, address === undefined ? options : { ...options, address });
  return { from: known, make, decoder: toCvSet(decoder.factory), derived: decoder.derived };
}

const seed = 20_120_713;

describe("500 random plans: each step names the rules of order that bind it, or that there is none", () => {
  const modes = fc.constantFrom("direct", "direct", "paged", "main" as const);
  const multifunction = fc.sample(modes.chain(cases), { numRuns: 540, seed }).map(tried);
  const accessory = fc.sample(fc.tuple(accessories, fc.boolean()), { numRuns: 80, seed }).map(
    ([{ from, to }, onMain]): Tried => ({
      from: CvSet.from(from),
      make: () =>
        plan(CvSet.from(from), CvSet.from(to), { mode: onMain ? "main" : "direct", changeAddress: true }),
      decoder: undefined,
      derived: [],
    }),
  );

  test("no reason is wrong", () => {
    let plans = 0;
    const seen = new Map<string, number>();
    const wrong: string[] = [];
    for (const { from, make, decoder, derived } of [...multifunction, ...accessory]) {
      let made: Plan;
      try {
        made = make();
      } catch (error) {
        // On the main, the address that the decoder answers to must be known throughout.
        if (error instanceof CvError && error.issues.every(({ path }) => path === "address")) continue;
        throw error;
      }
      plans++;
      wrong.push(...wrongIn(made, from, decoder, derived));
      for (const { rules } of made.steps) {
        for (const { id } of rules.length ? rules : [{ id: "none" }]) seen.set(id, (seen.get(id) ?? 0) + 1);
      }
    }
    expect(wrong.slice(0, 10)).toEqual([]);
    expect(plans).toBeGreaterThanOrEqual(500);
    // Every rule, and steps without one, several times.
    for (const id of [...orderRules.map((rule) => rule.id), "none"]) {
      expect(seen.get(id), id).toBeGreaterThan(10);
    }
  });
});
