import type { CvSet } from "../cv/cvset.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import {
  accessoryAddressInUse,
  addressInUse,
  addressText,
  consistInUse,
} from "../standard/address-in-use.js";
import { curveInUse, curveKindOf } from "../standard/curve-in-use.js";
import { type CheckSetOptions, findingsOf, judge, type RuleBook, ruleBook } from "./check-set.js";
import type { Finding } from "./finding.js";
import { fleetRuleNames, fleetRules, isFleetRule } from "./fleet-rules.js";
import type { RuleInfo } from "./rule.js";
import type { Silencer } from "./silence.js";

/** One CV set of a fleet. */
export interface FleetMember extends Pick<CheckSetOptions, "decoder" | "silence" | "locate"> {
  /** The name of the set in findings, such as that of its file. */
  readonly file: string;
  /** Its CVs. */
  readonly cvs: CvSet;
  /** The name of the locomotive. Two files with one address and one name may be two of one locomotive. */
  readonly name?: string;
}

/** Options for all members. */
type FleetOptions = Pick<CheckSetOptions, "decoder" | "rules" | "forWriting" | "stopping">;

/** What is kept of a member until the end: a few numbers, whatever the size of its set. */
interface Kept {
  readonly file: string;
  readonly cvs: readonly string[];
  readonly line: number | undefined;
  readonly column: number | undefined;
  readonly silencer: Silencer | undefined;
}

interface Addressed extends Kept {
  /** CV 16: several decoders of one locomotive have different numbers. */
  readonly lock: number;
  readonly name: string | undefined;
}

interface Consisted extends Kept {
  readonly levels: ArrayLike<number>;
}

/**
 * Checks CV sets one after the other, and at the end against each other. Of each set only its address and,
 * in a consist, its speed curve are kept, so that a fleet of any size needs little memory.
 */
export class Fleet {
  readonly #options: FleetOptions;
  readonly #book: RuleBook;
  readonly #addresses = new Map<string, Addressed[]>();
  readonly #consists = new Map<number, Consisted[]>();
  readonly #silencers: Silencer[] = [];

  /** @throws `CvError` when two rules have the same name, or the stopping limit is not above 0. */
  constructor(options: FleetOptions = {}) {
    this.#options = options;
    this.#book = ruleBook(options);
  }

  /** Checks one set; its own decoder takes precedence over that of the fleet. */
  add(member: FleetMember): Finding[] {
    const options = { ...this.#options, ...member };
    const judged = judge(member.cvs, options, this.#book);
    const silencer = judged.silencer.concerns(isFleetRule) ? judged.silencer : undefined;
    if (silencer) this.#silencers.push(silencer);
    this.#keep(member, options.decoder, silencer);
    return findingsOf(judged);
  }

  /** The findings about the sets together; to be called once, after the last of them. */
  finish(): Finding[] {
    const findings: Finding[] = [];
    for (const [address, members] of this.#addresses) {
      if (members.length < 2) continue;
      const locks = new Set(members.map(({ lock }) => lock));
      // Decoders of one locomotive share its address and differ in CV 16 (S-9.2.2 (July 2012), CV 15 and 16).
      const byLock = locks.size === members.length && !locks.has(0);
      const [{ name } = {}] = members;
      const byName = name !== undefined && members.every((member) => member.name === name);
      const why = byLock
        ? "by CV 16 they may be decoders"
        : byName
          ? "by their name they may be two files"
          : "";
      for (const member of members) {
        const others = othersText(member, members);
        const message = `${address} is also the address of ${others}${why && `; ${why} of one locomotive`}`;
        findings.push(findingOf(fleetRules.address, member, message, why ? "note" : undefined));
      }
    }
    for (const [consist, members] of this.#consists) {
      const [first, ...rest] = members as [Consisted, ...Consisted[]];
      for (const member of rest) {
        const step = farthestStep(first.levels, member.levels);
        if (step === undefined) continue;
        const [here, there] = [member.levels[step], first.levels[step]].map((level) =>
          Math.round(Number(level)),
        );
        const message = `in consist ${consist} with ${first.file}, but at step ${step + 1} it has level ${here} and the other one ${there}`;
        findings.push(findingOf(fleetRules.consist, member, message));
      }
    }
    for (const silencer of this.#silencers) findings.push(...silencer.unused(fleetRuleNames, isFleetRule));
    return findings;
  }

  #keep(member: FleetMember, decoder: AnyDecoder | undefined, silencer: Silencer | undefined): void {
    const { cvs, name } = member;
    if (decoder?.kind === "accessory") {
      const address = accessoryAddressInUse(cvs);
      if (address) {
        keep(this.#addresses, addressText(address), member, ["1", "9"], { silencer, lock: 0, name });
      }
      return;
    }
    const address = addressInUse(cvs);
    if (address) {
      const about = address.kind === "extended" ? ["17", "18"] : ["1"];
      keep(this.#addresses, addressText(address), member, about, { silencer, lock: cvs.get(16) ?? 0, name });
    }
    const consist = consistInUse(cvs);
    const levels = consist && curveInUse(cvs);
    if (!consist || !levels) return;
    const about = curveKindOf(cvs) === "table" ? ["19", "67", "94"] : ["19", "2", "5", "6", "25"];
    const held = about.filter((cv) => cvs.has(cv));
    const small: ArrayLike<number> = Float32Array.from(levels);
    keep(this.#consists, consist.number, member, held, { silencer, levels: small });
  }
}

/** Adds a member to those that have something in common. */
function keep<Key, More extends { readonly silencer: Silencer | undefined }>(
  groups: Map<Key, (Kept & More)[]>,
  key: Key,
  { file, locate }: FleetMember,
  cvs: readonly string[],
  more: More,
): void {
  const group = groups.get(key);
  // Most members stay alone, so the line is looked up only from the second one on.
  const at = group && cvs.map((cv) => locate?.(cv)).find((one) => one !== undefined);
  const kept: Kept & More = { file, cvs, line: at?.line, column: at?.column, ...more };
  if (group) group.push(kept);
  else groups.set(key, [kept]);
}

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
  const fleet = new Fleet(options);
  for await (const member of members) yield* fleet.add(member);
  yield* fleet.finish();
}

function findingOf(
  rule: RuleInfo,
  { file, cvs, line, column, silencer }: Kept,
  message: string,
  severity: Finding["severity"] = rule.severity,
): Finding {
  const finding: Finding = {
    file,
    rule: rule.name,
    severity,
    message,
    cvs,
    source: rule.source,
    fix: rule.fix,
    ...(line !== undefined && { line }),
    ...(column !== undefined && { column }),
  };
  return silencer ? silencer.apply(finding) : finding;
}

function othersText(member: Kept, members: readonly Kept[]): string {
  const most = 3;
  const others: string[] = [];
  for (const other of members) {
    if (other !== member && others.push(other.file) === most) break;
  }
  const more = members.length - 1 - others.length;
  return `${others.join(", ")}${more ? ` and ${more} more` : ""}`;
}

/** The step at which two curves are furthest apart, from 0; undefined when they are the same. */
function farthestStep(one: ArrayLike<number>, other: ArrayLike<number>): number | undefined {
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
