import { nameOf, numberOf } from "../cv/name.js";
import type { AccessMode } from "../packets/access-mode.js";
import { accessPackets, type CvAccess } from "../packets/cv-access.js";
import { packetText } from "../packets/packet.js";
import { factoryResetPacket } from "../packets/service-packet.js";
import type { Address } from "../standard/address.js";
import type { Binding } from "./bindings.js";
import type { PlanJson } from "./plan-json.js";
import { reasonText } from "./reason.js";
import type { Write } from "./write.js";

/** What the steps of a block have in common. */
export interface StepContext {
  readonly mode: AccessMode;
  /** The rules of order that apply, worked out when they are asked for. */
  readonly bindings: () => readonly Binding[];
  /** How many steps the plan has. */
  readonly steps: () => number;
  /** Of steps that select a page: the page, and how many of its CVs are written. */
  readonly selects?: { readonly page: string; readonly count: number };
}

/**
 * The pause after a factory reset: power off and on, again while CV 8 holds 255 (S-9.2.3, July 2012, section E).
 * How long decoders need is not published; two seconds are common practice.
 */
const factoryResetPause = {
  seconds: 2,
  powerCycle: true,
  busy: { operation: "verify", cv: 8, value: 255 },
  warning:
    "every CV goes back to its factory value while the power is switched off and on; CV 8 holds 255 until all are done, so switch and verify again while the decoder acknowledges that: see its manual",
} as const;

/** One write of a plan, and why it is in its place. */
export class PlanStep {
  /** The name of its class, the same in every copy of this library. */
  get "~cvset"(): "PlanStep" {
    return "PlanStep";
  }
  /** @internal The CV's key. */
  readonly key: number;
  /** The byte; where only some bits are written, these bits in place. */
  readonly value: number;
  /** Which bits are written; 255 is the whole byte. There is a packet for each single bit. */
  readonly mask: number;
  /** What the decoder holds before; undefined when that is not known. */
  readonly was: number | undefined;
  /**
   * Why the CV is written: its value `differs` or is `unknown`; it holds its value and all were `asked` for;
   * it is written `again`, since another write needs that; it is the write before, sent to the other address
   * that the decoder may have (`either`); it opens the lock (`unlock`); it selects an index
   * page (`select`); it is the factory `reset`.
   */
  readonly need: "differs" | "unknown" | "asked" | "again" | "either" | "unlock" | "select" | "reset";
  /** How the decoder is reached. */
  readonly mode: AccessMode;
  /** The receiver of the packets; on the main only. */
  readonly address: Address | undefined;
  /** The decoder's new address, when this step changes it; `"unknown"` when it cannot be known. */
  readonly answersTo: Address | "unknown" | undefined;
  /** @internal */
  readonly context: StepContext;

  /** @internal Use {@link plan}. */
  constructor(
    { key, value, mask, was, need }: Write,
    context: StepContext,
    address: Address | undefined,
    answersTo: Address | "unknown" | undefined,
  ) {
    this.key = key;
    this.value = value;
    this.mask = mask;
    this.was = was;
    this.need = need;
    this.mode = context.mode;
    this.address = address;
    this.answersTo = answersTo;
    this.context = context;
  }

  /** The CV: `"29"` or `"300@16.0"`. */
  get cv(): string {
    return nameOf(this.key);
  }

  /** Why the CV is written, and which rules of order apply to this step, in words. */
  get reason(): string {
    const { selects, steps, bindings } = this.context;
    const { need } = this;
    const first = need === "select" ? (selects as NonNullable<typeof selects>) : need;
    return reasonText(first, bindings(), steps() - 1);
  }

  /**
   * The rules of order that apply to this step, as {@link reason} has them in words: for each the rule's
   * `id`, the CVs of the steps that come before this one by it, and those of the steps that come after.
   */
  get rules(): {
    readonly id: string;
    readonly after: readonly string[];
    readonly before: readonly string[];
  }[] {
    return this.context.bindings().map(({ rule, after, before }) => ({
      id: rule.id,
      after: after.map(nameOf),
      before: before.map(nameOf),
    }));
  }

  /** What to send, each packet as text. {@link planSequences} also gives how often. */
  get packets(): string[] {
    if (this.need === "reset") return [packetText(factoryResetPacket)];
    return accessesOf(this).flatMap((access) =>
      accessPackets(this.mode, access, this.address).map(packetText),
    );
  }

  /**
   * What has to happen after this step before the next one: how long to wait at least, whether power then
   * goes off and on again, and what to look out for. `busy`: while the decoder acknowledges this access, it is
   * not done, and the power goes off and on once more.
   */
  get pause(): PlanJson["steps"][number]["pause"] {
    return this.need === "reset" ? factoryResetPause : undefined;
  }

  /** The step as plain data. */
  toJSON(): PlanJson["steps"][number] {
    const { cv, value, mask, was, reason, packets, address, answersTo, pause } = this;
    return {
      cv,
      value,
      ...(mask === 255 ? {} : { mask }),
      ...(was === undefined ? {} : { was }),
      reason,
      packets,
      ...(address ? { address } : {}),
      ...(answersTo === undefined ? {} : { answersTo: answersTo === "unknown" ? null : answersTo }),
      ...(pause ? { pause } : {}),
    };
  }
}

/** The accesses that a step is made of: one for a whole byte, else one for each bit. */
export function accessesOf(step: PlanStep): CvAccess[] {
  const { value, mask, key } = step;
  const cv = numberOf(key);
  if (mask === 255) return [{ operation: "write", cv, value }];
  // Bit 5 of CV 29 (541 of an accessory decoder), and of an accessory decoder bit 6, changes the address in use
  // at once, so it comes last (S-9.2.2, July 2012, CV 29).
  const bits = cv === 29 || cv === 541 ? [0, 1, 2, 3, 4, 7, 6, 5] : [0, 1, 2, 3, 4, 5, 6, 7];
  return bits
    .filter((bit) => mask & (1 << bit))
    .map((bit) => ({ operation: "write", cv, value: (value >> bit) & 1, bit }));
}
