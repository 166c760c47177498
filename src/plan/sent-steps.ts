import { fault, type Issue } from "../cv/issue.js";
import { numberOf } from "../cv/name.js";
import type { Address } from "../standard/address.js";
import { addressText, sameAddress } from "../standard/address-in-use.js";
import { afterWrite, type TrackedAddress, trackedAddress } from "./address-tracker.js";
import { type Binding, bindingsOf } from "./bindings.js";
import type { Block, BlockOrder } from "./ordered-writes.js";
import { noteOn } from "./plan-note.js";
import type { Findings, PlanRequest } from "./plan-request.js";
import { PlanStep, type StepContext } from "./plan-step.js";

const addressLost = /* @__PURE__ */ fault(
  "address-lost",
  "the address that the decoder has when CV {cv} is to be written cannot be known",
);
const addressChanges = /* @__PURE__ */ fault(
  "address-changes",
  "writing changes the address in use; at the end the decoder answers to {address:text}",
);

/** The steps of a plan: ordered writes, on the main each with the address that its packets go to. */
export function sentSteps(
  order: BlockOrder,
  { mode, known }: PlanRequest,
  address: Address | undefined,
): Findings & { readonly steps: readonly PlanStep[] } {
  const steps: PlanStep[] = [];
  const issues: Issue[] = [];
  const changing: number[] = [];
  let tracked: TrackedAddress | undefined = address && trackedAddress(address, known);
  order.blocks.forEach((block, at) => {
    const context: StepContext = {
      mode,
      steps: () => steps.length,
      bindings: once(() => bindingsOf(at, order)),
      ...selection(block),
    };
    for (const write of block.writes) {
      const before = tracked?.address;
      if (tracked && !before && issues.length === 0) {
        issues.push(addressLost({ cv: numberOf(write.key) }, { path: "address" }));
      }
      const next = tracked && afterWrite(tracked, write);
      const after = next?.address;
      const same = after === before || (after && before && sameAddress(after, before));
      if (!same) changing.push(write.key);
      steps.push(new PlanStep(write, context, before, same ? undefined : (after ?? "unknown")));
      tracked = next;
    }
  });
  const end = tracked?.address;
  const notes = noteOn(
    changing,
    "warning",
    addressChanges,
    { address: end ? addressText(end) : "an address that cannot be known" },
    "S-9.2.1 (July 2012), section A",
  );
  return { steps, issues, notes };
}

/** The page that a block selects. */
function selection({ group, visit }: Block): Pick<StepContext, "selects"> {
  if (group !== "select" || !visit) return {};
  return { selects: { page: `${visit.page >> 8}.${visit.page & 255}`, count: visit.count } };
}

function once(make: () => readonly Binding[]): () => readonly Binding[] {
  let made: readonly Binding[] | undefined;
  return () => (made ??= make());
}
