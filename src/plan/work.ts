import type { CvImage } from "../cv/image.js";
import type { Issue } from "../cv/index.js";
import type { AccessMode } from "./access.js";
import type { DecoderAddress } from "./address.js";
import type { Group } from "./hazards.js";
import type { DecoderModel } from "./model.js";
import type { Index } from "./pages.js";
import type { PlanNote } from "./step.js";

/** One write that a plan needs, before it has its place. */
export interface Write {
  readonly key: number;
  readonly mask: number;
  readonly value: number;
  /** What the decoder holds, or -1. */
  readonly was: number;
  /** Whether it is needed only because of another write. */
  readonly forced?: boolean;
}

/** Everything that a plan will be made of. */
export interface Work {
  readonly mode: AccessMode;
  readonly kind: DecoderModel["kind"];
  /** What the decoder holds when the steps begin, a factory reset done. */
  readonly known: CvImage;
  readonly groups: Map<Group, Write[]>;
  readonly pages: Map<number, Write[]>;
  /** CV 31 and 32 at the end. */
  readonly index: Index;
  readonly address: DecoderAddress | undefined;
  readonly notes: PlanNote[];
  readonly issues: Issue[];
}

/** Adds a write to its group. */
export function add(groups: Map<Group, Write[]>, group: Group, write: Write): void {
  const list = groups.get(group);
  if (list) list.push(write);
  else groups.set(group, [write]);
}

/** Adds a note about some CVs; none when there are none. */
export function say(
  notes: PlanNote[],
  rule: string,
  severity: PlanNote["severity"],
  cvs: readonly string[],
  text: string,
  source?: string,
): void {
  if (cvs.length === 0) return;
  const shown = cvs.length > 8 ? `${cvs.slice(0, 8).join(", ")} and ${cvs.length - 8} more` : cvs.join(", ");
  notes.push({ rule, severity, message: `CV ${shown}: ${text}`, cvs, ...(source ? { source } : {}) });
}
