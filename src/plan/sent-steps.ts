import { fault, type Issue } from "../cv/issue.js";
import { numberOf } from "../cv/name.js";
import { isBroadcast, outputAddressReading, outputAddressSource } from "../standard/accessory-output.js";
import type { Address } from "../standard/address.js";
import { addressText, sameAddress } from "../standard/address-in-use.js";
import { afterWrite, type TrackedAddress, trackedAddress } from "./address-tracker.js";
import { bindingsOf } from "./bindings.js";
import type { Block, BlockOrder } from "./ordered-writes.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { PlanStep, type StepContext } from "./plan-step.js";

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
  const twice: { readonly key: number; readonly addresses: readonly Address[] }[] = [];
  const byOutput = new Map<string, number>();
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
      if (receivers.length > 1) {
        twice.push({ key: write.key, addresses: receivers.flatMap((each) => each ?? []) });
      }
      receivers.forEach((receiver, sent) => {
        if (issues.length === 0) issues.push(...wrongReceiver(receiver, write.key));
        if (receiver && isReadOutput(receiver, before)) byOutput.set(addressText(receiver), write.key);
        // Each packet reaches those decoders that have its address.
        const isLast = sent === receivers.length - 1;
        const was = sent === 0 ? only(before) : "unknown";
        const now = isLast ? only(states) : "unknown";
        if (now !== was && !(was && now && was !== "unknown" && now !== "unknown" && sameAddress(was, now))) {
          changing.push(write.key);
          steps.push(
            new PlanStep(sent ? { ...write, need: "either" } : write, context, receiver, now ?? "unknown"),
          );
        } else
          steps.push(new PlanStep(sent ? { ...write, need: "either" } : write, context, receiver, undefined));
      });
    }
  });
  const end = only(states);
  const last = end && end !== "unknown" ? addressText(end) : "an address that cannot be known";
  const addresses = addressesText(twice.flatMap((each) => each.addresses));
  const notes = [
    ...noteOn(
      unique(changing),
      "warning",
      addressChanges,
      { address: last },
      "S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29",
    ),
    ...noteOn(
      unique(twice.map(({ key }) => key)),
      "warning",
      eitherAddress,
      { addresses },
      "S-9.2.3 (July 2012), section E",
    ),
    ...noteOn(
      byOutput.size ? [1, 9, 29] : [],
      "warning",
      outputReading,
      { addresses: [...byOutput.keys()].join(", "), reading: outputAddressReading },
      outputAddressSource,
    ),
  ];
  return { steps, issues, notes };
}

/** The addresses that a decoder may have, each once; undefined among them where one cannot be known. */
function addressesOf(states: readonly TrackedAddress[]): (Address | undefined)[] {
  const found: (Address | undefined)[] = [];
  for (const { address } of states) {
    if (!found.some((each) => each === address || (each && address && sameAddress(each, address)))) {
      found.push(address);
    }
  }
  return found;
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

function addressesText(addresses: readonly Address[]): string {
  return unique(addresses.map(addressText)).join(" and ");
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
