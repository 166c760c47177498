import { aFunction, aText, need, needIn, objectOf, severalOf } from "../cv/argument.js";
import { type CvSet, type CvsLike, someCvs, toCvSet } from "../cv/cvset.js";
import { aDecoder } from "../decoder/decoder.js";
import type { Address } from "../standard/address.js";
import {
  accessoryAddressInUse,
  addressInUse,
  addressText,
  consistInUse,
} from "../standard/address-in-use.js";
import { curveInUse, curveKindOf } from "../standard/curve-in-use.js";
import { type CheckSetOptions, findingsOf, judge, ofChecking, type RuleBook, ruleBook } from "./check-set.js";
import type { Finding } from "./finding.js";
import { fleetRuleNames, fleetRules, isFleetRule } from "./fleet-rules.js";
import type { RuleInfo } from "./rule.js";
import type { Silencer } from "./silence.js";

/** One CV set of a fleet. */
export interface FleetMember extends Pick<CheckSetOptions, "decoder" | "silence" | "locate"> {
  /** The name of the set in findings, such as that of its file. */
  readonly file: string;
  /** Its CVs. */
  readonly cvs: CvsLike;
  /** The name of the locomotive. Two files with one address and one name may be two of one locomotive. */
  readonly name?: string;
}

interface WithSet {
  readonly cvs: CvSet;
}

/** Options for all members. */
type FleetOptions = Pick<CheckSetOptions, "decoder" | "rules" | "forWriting" | "stopping">;

/** The members with one address: their numbers, and what tells whether they are of one locomotive. */
interface SameAddress {
  /** The numbers of the members. */
  readonly members: number[];
  /** The name of all of them; undefined when they differ or have none. */
  name: string | undefined;
  /** CV 16 of each; undefined when two are the same or one is 0. */
  locks: Set<number> | undefined;
}

/** The members of one consist. */
interface Consist {
  /** The number of the first member. */
  readonly first: number;
  /** Its drive levels. */
  readonly levels: readonly number[];
  /**
   * Two numbers for each member whose curve differs: itself, and packed from the lowest bit on the step (5
   * bits), its level and that of the first (8 bits each), and which of {@link curveCvs} it has (7 bits).
   */
  readonly differing: number[];
}

/** The CVs of each kind of address, in the order of their numbers in keys. */
const addressKinds = [
  { kind: "primary", cvs: ["1"] },
  { kind: "extended", cvs: ["17", "18"] },
  { kind: "accessory", cvs: ["1", "9"] },
  { kind: "accessory-output", cvs: ["1", "9"] },
  { kind: "extended-accessory", cvs: ["1", "9"] },
] as const;

type OwnAddress = Extract<Address, { kind: (typeof addressKinds)[number]["kind"] }>;

/** More than any number of an address. */
const perKind = 16_384;

/** The CVs that a finding about a curve names, in its order, as far as the set has them. */
const curveCvs = ["19", "67", "94", "2", "5", "6", "25"] as const;
/** Those of the speed table, and those of the three points, as bits. */
const curveMasks = { table: 0b0000111, "three-point": 0b1111001 } as const;

/**
 * Checks CV sets one after the other, and at the end against each other. Of each set a few numbers are kept,
 * and its name; of the first of each consist its speed curve. So a fleet of any size needs little memory.
 */
export class Fleet {
  readonly #options: FleetOptions;
  readonly #book: RuleBook;
  readonly #names = new NameList();
  /** The line and column of each member, as far as they were looked up; else 0. */
  readonly #lines = new Numbers();
  readonly #columns = new Numbers();
  /** Members that silence findings of rules across files, by number. */
  readonly #silencers = new Map<number, Silencer>();
  readonly #addresses = new Map<number, SameAddress>();
  readonly #consists = new Map<number, Consist>();

  /** @throws `CvError` when two rules have the same name, or the stopping limit is not above 0. */
  constructor(options: FleetOptions = {}) {
    this.#options = options;
    this.#book = ruleBook(options);
  }

  /** Checks one set; its own decoder takes precedence over that of the fleet. */
  add(given: FleetMember): Finding[] {
    const member = { ...given, cvs: toCvSet(given.cvs) };
    const options = { ...this.#options, ...member };
    const judged = judge(member.cvs, options, this.#book);
    const { silencer } = judged;
    const number = this.#names.add(member.file);
    this.#lines.add(0);
    this.#columns.add(0);
    if (silencer.concerns(isFleetRule)) this.#silencers.set(number, silencer);
    if (options.decoder?.kind === "accessory") {
      const address = accessoryAddressInUse(member.cvs);
      if (address) this.#keepAddress(number, address, member, 0);
    } else {
      const address = addressInUse(member.cvs);
      if (address) this.#keepAddress(number, address, member, member.cvs.get(16) ?? 0);
      this.#keepConsist(number, member);
    }
    return findingsOf(judged);
  }

  /** The findings about the sets together; to be called once, after the last of them. */
  finish(): Finding[] {
    return [...this.across()];
  }

  /** The findings of {@link Fleet.finish}, made one after the other. */
  *across(): Generator<Finding, void> {
    for (const [key, { members, name, locks }] of this.#addresses) {
      if (members.length < 2) continue;
      const { kind, cvs } = addressKinds[Math.floor(key / perKind)] as (typeof addressKinds)[number];
      const address = addressText({ kind, number: key % perKind });
      // Decoders of one locomotive share its address and differ in CV 16 (S-9.2.2 (July 2012), CV 15 and 16).
      const why = locks
        ? "by CV 16 they may be decoders"
        : name !== undefined
          ? "by their name they may be two files"
          : "";
      const severity = why ? "note" : fleetRules.address.severity;
      for (const member of members) {
        const message = `${address} is also the address of ${this.#others(member, members)}${why && `; ${why} of one locomotive`}`;
        yield this.#finding(fleetRules.address, member, cvs, message, severity);
      }
    }
    for (const [consist, { first, differing }] of this.#consists) {
      for (let i = 0; i < differing.length; i += 2) {
        const [member, packed] = [differing[i] as number, differing[i + 1] as number];
        const [here, there] = [(packed >> 5) & 255, (packed >> 13) & 255];
        const message = `in consist ${consist} with ${this.#names.at(first)}, but at step ${packed & 31} it has level ${here} and the other one ${there}`;
        const cvs = curveCvs.filter((_, bit) => (packed >> 21) & (1 << bit));
        yield this.#finding(fleetRules.consist, member, cvs, message, fleetRules.consist.severity);
      }
    }
    for (const silencer of this.#silencers.values()) yield* silencer.unused(fleetRuleNames, isFleetRule);
  }

  #keepAddress(
    number: number,
    { kind, number: of }: OwnAddress,
    member: FleetMember & WithSet,
    lock: number,
  ): void {
    const index = addressKinds.findIndex((one) => one.kind === kind);
    const key = index * perKind + of;
    const same = this.#addresses.get(key);
    if (!same) {
      const locks = lock ? new Set([lock]) : undefined;
      this.#addresses.set(key, { members: [number], name: member.name, locks });
      return;
    }
    same.members.push(number);
    if (same.name !== member.name) same.name = undefined;
    if (lock && same.locks && !same.locks.has(lock)) same.locks.add(lock);
    else same.locks = undefined;
    // Most members stay alone, so the line is looked up only from the second one on.
    this.#locate(number, member, (addressKinds[index] as (typeof addressKinds)[number]).cvs);
  }

  #keepConsist(number: number, member: FleetMember & WithSet): void {
    const { cvs } = member;
    const consist = consistInUse(cvs);
    const kind = curveKindOf(cvs);
    const levels = consist && curveInUse(cvs);
    if (!consist || !kind || !levels) return;
    const group = this.#consists.get(consist.number);
    if (!group) {
      this.#consists.set(consist.number, { first: number, levels, differing: [] });
      return;
    }
    const step = farthestStep(group.levels, levels);
    if (step === undefined) return;
    const [here, there] = [levels, group.levels].map((all) => Math.round(all[step] as number));
    let held = 0;
    for (const [bit, cv] of curveCvs.entries()) if (cvs.has(cv)) held |= 1 << bit;
    held &= curveMasks[kind];
    group.differing.push(number, (step + 1) | (Number(here) << 5) | (Number(there) << 13) | (held << 21));
    this.#locate(
      number,
      member,
      curveCvs.filter((_, bit) => held & (1 << bit)),
    );
  }

  #locate(number: number, { locate }: FleetMember, cvs: readonly string[]): void {
    for (const cv of locate ? cvs : []) {
      const at = locate?.(cv);
      if (!at) continue;
      this.#lines.set(number, at.line);
      this.#columns.set(number, at.column);
      return;
    }
  }

  #finding(
    { name: rule, source, fix }: RuleInfo,
    member: number,
    cvs: readonly string[],
    message: string,
    severity: Finding["severity"],
  ): Finding {
    const [line, column] = [this.#lines.at(member), this.#columns.at(member)];
    const file = this.#names.at(member);
    const finding: Finding = {
      ...{ file, rule, severity, message, cvs, source, fix },
      ...(line && column && { line, column }),
    };
    return this.#silencers.get(member)?.apply(finding) ?? finding;
  }

  #others(member: number, members: readonly number[]): string {
    const most = 3;
    const others: number[] = [];
    for (const other of members) {
      if (other !== member && others.push(other) === most) break;
    }
    const more = members.length - 1 - others.length;
    return `${others.map((other) => this.#names.at(other)).join(", ")}${more ? ` and ${more} more` : ""}`;
  }
}

const aMember = /* @__PURE__ */ objectOf({
  file: aText,
  cvs: someCvs,
  "decoder?": aDecoder,
  "name?": aText,
  "locate?": aFunction,
});

/**
 * Checks CV sets one after the other, and at the end against each other. The findings come as they are made;
 * a fleet of any size needs little memory.
 * @param members The sets: a list, or an asynchronous iterable such as a stream of files.
 * @param options The decoder of sets without one of their own, and the other options of {@link checkSet}.
 * @throws `CvError` when two rules have the same name, or the stopping limit is not above 0; and whatever
 *   the source of the sets throws.
 * @example
 * import { CvSet } from "cvset";
 * import { checkFleet } from "cvset/check";
 * const members = [
 *   { file: "a.json", cvs: CvSet.from({ 1: 3, 29: 2 }) },
 *   { file: "b.json", cvs: CvSet.from({ 1: 3, 29: 2 }) },
 * ];
 * const found = [];
 * for await (const { file, message } of checkFleet(members)) found.push(`${file}: ${message}`);
 * found;
 * // ["a.json: primary address 3 is also the address of b.json", "b.json: primary address 3 is also the address of a.json"]
 */
export async function* checkFleet(
  members: Iterable<FleetMember> | AsyncIterable<FleetMember>,
  options: Pick<CheckSetOptions, "decoder" | "rules" | "forWriting" | "stopping"> = {},
): AsyncGenerator<Finding, void> {
  needIn(ofChecking, options, "options");
  need(severalOf(aMember), members, "members");
  const fleet = new Fleet(options);
  for await (const member of members) {
    // Those of a list have been looked at above.
    if (!Array.isArray(members)) need(aMember, member, "members");
    yield* fleet.add(member);
  }
  yield* fleet.across();
}

/** A list of whole numbers that takes four bytes for each, and is never copied as it grows. */
class Numbers {
  readonly #blocks: Int32Array[] = [];
  #length = 0;

  /** Adds a number; its index. */
  add(number: number): number {
    const at = this.#length++;
    if (at % block === 0) this.#blocks.push(new Int32Array(block));
    this.set(at, number);
    return at;
  }

  set(index: number, number: number): void {
    (this.#blocks[Math.floor(index / block)] as Int32Array)[index % block] = number;
  }

  at(index: number): number {
    return this.#blocks[Math.floor(index / block)]?.[index % block] ?? 0;
  }
}

/** How many numbers are kept in one piece. */
const block = 4096;

/** Names by number. A million names of the lines of one file, such as `fleet.jsonl:7`, are kept as numbers. */
class NameList {
  readonly #texts: string[] = [];
  /** Of each name its text, and the number behind it, or -1. */
  readonly #textOf = new Numbers();
  readonly #numbers = new Numbers();

  /** Adds a name; its number. */
  add(name: string): number {
    const [, before = "", digits = ""] = /^(.*:)([1-9]\d{0,8})$/s.exec(name) ?? [];
    const text = digits ? before : name;
    // The lines of a file come one after the other.
    if (this.#texts.at(-1) !== text) this.#texts.push(text);
    this.#textOf.add(this.#texts.length - 1);
    return this.#numbers.add(digits ? Number(digits) : -1);
  }

  at(index: number): string {
    const text = this.#texts[this.#textOf.at(index)] as string;
    const number = this.#numbers.at(index);
    return number < 0 ? text : `${text}${number}`;
  }
}

/** The step at which two curves are furthest apart, from 0; undefined when they are the same. */
function farthestStep(one: readonly number[], other: readonly number[]): number | undefined {
  let step: number | undefined;
  let most = 0;
  for (let i = 0; i < one.length; i++) {
    const apart = Math.abs(Number(one[i]) - Number(other[i]));
    if (apart > most) {
      most = apart;
      step = i;
    }
  }
  return step;
}
