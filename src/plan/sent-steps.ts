import { fault, type Issue } from "../cv/issue.js";
import { numberOf } from "../cv/name.js";
import { isBroadcast, outputAddressReading, outputAddressSource } from "../standard/accessory-output.js";
import type { Address } from "../standard/address.js";
import { addressText } from "../standard/address-in-use.js";
import { afterWrite, type TrackedAddress, trackedAddress } from "./address-tracker.js";
import { bindingsOf } from "./bindings.js";
import type { Block, BlockOrder } from "./ordered-writes.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { PlanStep, type StepContext } from "./plan-step.js";
import type { Write } from "./write.js";

const addressLost = /* @__PURE__ */ fault(
  "address-lost",
  "the address that the decoder has when CV {cv} is to be written cannot be known",
);
const addressShared = /* @__PURE__ */ fault(
  "address-shared",
  "when CV {cv} is to be written, the decoder has {address:text}, to which all accessory decoders answer",
);
const addressChanges = /* @__PURE__ */ fault(
  "address-changes",
  "writing changes the address in use; at the end the decoder answers to {address:text}",
);
const eitherAddress = /* @__PURE__ */ fault(
  "either-address",
  "sent to {addresses:text}: whether writing CV 1 on the main clears bit 5 of CV 29 is open, so that the decoder has one address or the other; keep all other decoders off the track",
);
const outputReading = /* @__PURE__ */ fault(
  "output-address-reading",
  "packets go to {addresses:text}, by an output address; {reading:text}",
);

/** The steps of a plan: ordered writes, on the main each with the address that its packets go to. */
export function sentSteps(
  order: BlockOrder,
  { mode, known, kind }: PlanRequest,
  address: Address | undefined,
): Findings & { readonly steps: readonly PlanStep[] } {
  const steps: PlanStep[] = [];
  const issues: Issue[] = [];
  const changing: number[] = [];
  const twice: number[] = [];
  /** The addresses of packets that are sent twice, and those that are read from an output address, as texts. */
  const either = new Set<string>();
  const byOutput = new Set<string>();
  // What the decoder may be: after CV 1 on the main, one that has cleared bit 5 of CV 29 and one that has not.
  let states: readonly TrackedAddress[] = address ? [trackedAddress(address, known)] : [];
  // A write that is sent twice is one step of the order. The reason of every step asks for this.
  const count = once(() => steps.filter(({ need }) => need !== "either").length);
  order.blocks.forEach((block, at) => {
    const context: StepContext = {
      mode,
      steps: count,
      bindings: once(() => bindingsOf(at, order)),
      ...selection(block),
    };
    for (const write of block.writes) {
      if (states.length === 0) {
        steps.push(new PlanStep(write, context, undefined, undefined));
        continue;
      }
      const before = states;
      if (write.key === 1 && kind === "multifunction") {
        states = states.flatMap((state) => [afterWrite(state, write), afterWrite(state, write, true)]);
      } else states = states.map((state) => afterWrite(state, write));
      const receivers = addressesOf(before);
      const was = only(before);
      if (receivers.length > 1) {
        twice.push(write.key);
        for (const receiver of receivers) either.add(textOf(receiver));
      }
      receivers.forEach((receiver, sent) => {
        if (issues.length === 0) issues.push(...wrongReceiver(receiver, write.key));
        if (receiver && isReadOutput(receiver, before)) byOutput.add(textOf(receiver));
        // Each packet reaches those decoders that have its address.
        const isLast = sent === receivers.length - 1;
        const now = isLast ? only(states) : "unknown";
        // Most often it is the same object.
        const changes = now !== was && textOf(now) !== textOf(was);
        if (changes) changing.push(write.key);
        const own: Write = sent ? { ...write, need: "either" } : write;
        steps.push(new PlanStep(own, context, receiver, changes ? (now ?? "unknown") : undefined));
      });
    }
  });
  const notes = [
    ...noteOn(
      unique(changing),
      "warning",
      addressChanges,
      { address: textOf(only(states)) },
      "S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29",
    ),
    ...noteOn(
      unique(twice),
      "warning",
      eitherAddress,
      { addresses: [...either].join(" and ") },
      "S-9.2.3 (July 2012), section E",
    ),
    ...noteOn(
      byOutput.size ? [1, 9, 29] : [],
      "warning",
      outputReading,
      { addresses: [...byOutput].join(", "), reading: outputAddressReading },
      outputAddressSource,
    ),
  ];
  return { steps, issues, notes };
}

/** The addresses that a decoder may have, each once; undefined among them where one cannot be known. */
function addressesOf(states: readonly TrackedAddress[]): (Address | undefined)[] {
  // For speed: most often there is one.
  if (states.length <= 1) return states.map(({ address }) => address);
  return [...new Map(states.map(({ address }) => [textOf(address), address])).values()];
}

/** The one address that a decoder has; `"unknown"` where it can have several, undefined where it has none. */
function only(states: readonly TrackedAddress[]): Address | "unknown" | undefined {
  const [address, ...more] = addressesOf(states);
  return more.length ? "unknown" : address;
}

function wrongReceiver(receiver: Address | undefined, key: number): Issue[] {
  const cv = numberOf(key);
  if (!receiver) return [addressLost({ cv }, { path: "address" })];
  if (!isBroadcast(receiver)) return [];
  return [addressShared({ cv, address: addressText(receiver) }, { path: "address" })];
}

/** Whether the bytes of an address are what an output address is read as. */
function isReadOutput({ kind }: Address, states: readonly TrackedAddress[]): boolean {
  if (kind === "accessory-output") return true;
  return kind === "extended-accessory" && (((states[0] as TrackedAddress).cvs.get(29) ?? 0) & 64) !== 0;
}

/** An address in words; the words of two differ where they do. */
function textOf(address: Address | "unknown" | undefined): string {
  return typeof address === "object" ? addressText(address) : "an address that cannot be known";
}

function unique<Item>(items: readonly Item[]): Item[] {
  return [...new Set(items)];
}

/** The page that a block selects or writes to. */
function selection({ visit }: Block): Pick<StepContext, "selects"> {
  if (!visit) return {};
  return { selects: { page: `${visit.page >> 8}.${visit.page & 255}`, count: visit.count } };
}

function once<Made extends object | number>(make: () => Made): () => Made {
  let made: Made | undefined;
  return () => (made ??= make());
}
