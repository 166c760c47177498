import type { CvSet } from "../cv/cvset.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { type CheckSetOptions, findingsOf, judge, type RuleBook, ruleBook } from "./check-set.js";
import type { Finding } from "./finding.js";
import { acrossFiles, fleetRuleNames, fleetRules } from "./fleet-rules.js";
import type { Silencer } from "./silence.js";
import { accessoryAddressOf, addressOf, bitOf, consistOf, levelsOf } from "./standing.js";

/** One CV set of a fleet. */
export interface FleetMember extends Pick<CheckSetOptions, "decoder" | "silence" | "locate"> {
  /** What it is called in findings: the name of its file. */
  readonly file: string;
  /** Its CVs. */
  readonly cvs: CvSet;
  /** The name of the locomotive. Two files with one address and one name may be two of one locomotive. */
  readonly name?: string;
}

/** What a check of a fleet may be told. */
export interface FleetOptions
  extends Pick<CheckSetOptions, "decoder" | "rules" | "forWriting" | "stopping"> {}

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
  #size = 0;

  /**
   * @param options What the checks are told.
   * @throws `CvError` when two rules have the same name, or the stopping limit is no limit.
   * @example
   * import { CvSet } from "cvset";
   * import { Fleet } from "cvset/check";
   * const fleet = new Fleet();
   * fleet.add({ file: "a.json", cvs: CvSet.from({ 1: 3 }) });
   * fleet.add({ file: "b.json", cvs: CvSet.from({ 1: 3 }) });
   * fleet.finish().map((finding) => `${finding.file}: ${finding.message}`);
   * // ["a.json: short address 3 is also that of b.json", "b.json: short address 3 is also that of a.json"]
   */
  constructor(options: FleetOptions = {}) {
    this.#options = options;
    this.#book = ruleBook(options);
  }

  /** How many sets it has seen. */
  get size(): number {
    return this.#size;
  }

  /**
   * Checks one set.
   * @param member The set; its decoder goes before that of the fleet.
   * @returns What there is to say about it alone.
   */
  add(member: FleetMember): Finding[] {
    this.#size++;
    const options = { ...this.#options, ...member };
    const judged = judge(member.cvs, options, this.#book);
    const silencer = judged.silencer.concerns(acrossFiles) ? judged.silencer : undefined;
    if (silencer) this.#silencers.push(silencer);
    this.#keep(member, options.decoder, silencer);
    return findingsOf(judged);
  }

  /** What there is to say about the sets together; call it once, after the last of them. */
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
        const message = `${address} is also that of ${others}${why && `; ${why} of one locomotive`}`;
        findings.push(say("same-address", member, message, why ? "note" : undefined));
      }
    }
    for (const [consist, members] of this.#consists) {
      const [first, ...rest] = members as [Consisted, ...Consisted[]];
      for (const member of rest) {
        const step = farthestStep(first.levels, member.levels);
        if (step < 0) continue;
        const [here, there] = [member.levels[step], first.levels[step]].map((level) =>
          Math.round(Number(level)),
        );
        const message = `in consist ${consist} with ${first.file}, but at step ${step + 1} it has level ${here} and the other one ${there}`;
        findings.push(say("consist-speed", member, message));
      }
    }
    for (const silencer of this.#silencers) findings.push(...silencer.unused(fleetRuleNames, acrossFiles));
    return findings;
  }

  #keep(member: FleetMember, decoder: AnyDecoder | undefined, silencer: Silencer | undefined): void {
    const { cvs } = member;
    if (decoder?.kind === "accessory") {
      const address = accessoryAddressOf(cvs);
      if (address !== undefined) {
        keep(this.#addresses, `accessory ${address}`, member, ["1", "9"], {
          silencer,
          lock: 0,
          name: member.name,
        });
      }
      return;
    }
    const address = addressOf(cvs);
    if (address) {
      const about = address.kind === "long" ? ["17", "18"] : ["1"];
      const lock = cvs.get(16) ?? 0;
      keep(this.#addresses, `${address.kind} address ${address.number}`, member, about, {
        silencer,
        lock,
        name: member.name,
      });
    }
    const consist = consistOf(cvs);
    const levels = consist ? levelsOf(cvs) : undefined;
    if (!consist || !levels) return;
    const about = bitOf(cvs, 29, 4) === 1 ? ["19", "67", "94"] : ["19", "2", "5", "6", "25"];
    const held = about.filter((cv) => cvs.has(cv));
    const small: ArrayLike<number> = Float32Array.from(levels);
    keep(this.#consists, consist, member, held, { silencer, levels: small });
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
  // Most members stay alone, so only from the second one on does anyone need the line.
  const at = group && cvs.map((cv) => locate?.(cv)).find((one) => one !== undefined);
  const kept: Kept & More = { file, cvs, line: at?.line, column: at?.column, ...more };
  if (group) group.push(kept);
  else groups.set(key, [kept]);
}

/**
 * Checks CV sets, one after the other, and at the end against each other; findings come as they are made.
 * @param members The sets; from an iterable, or from an asynchronous one such as a stream of files.
 * @param options What the checks are told.
 * @throws `CvError` when two rules have the same name, or the stopping limit is no limit; and
 *   whatever the source of the sets throws.
 * @example
 * import { CvSet } from "cvset";
 * import { checkFleet } from "cvset/check";
 * const members = [
 *   { file: "a.json", cvs: CvSet.from({ 1: 3, 29: 2 }) },
 *   { file: "b.json", cvs: CvSet.from({ 1: 0, 29: 2 }) },
 * ];
 * const said = [];
 * for await (const { file, rule } of checkFleet(members)) said.push(`${file}: ${rule}`);
 * said; // ["b.json: primary-address"]
 */
export async function* checkFleet(
  members: Iterable<FleetMember> | AsyncIterable<FleetMember>,
  options: FleetOptions = {},
): AsyncGenerator<Finding, void> {
  const fleet = new Fleet(options);
  for await (const member of members) yield* fleet.add(member);
  yield* fleet.finish();
}

function say(name: string, member: Kept, message: string, severity?: Finding["severity"]): Finding {
  const rule = fleetRules.find((one) => one.name === name) as (typeof fleetRules)[number];
  const { file, cvs, line, column, silencer } = member;
  const finding: Finding = {
    file,
    rule: name,
    severity: severity ?? rule.severity,
    message,
    cvs,
    source: rule.source,
    mend: rule.mend,
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

/** The step at which two curves are furthest apart, from 0; -1 when they are the same. */
function farthestStep(one: ArrayLike<number>, other: ArrayLike<number>): number {
  let step = -1;
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
