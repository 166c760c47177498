import type { GroupRule } from "./order-rules.js";
import type { Block, BlockOrder } from "./ordered-writes.js";

/** A rule of order that applies to a step, with the steps that it puts before and after it. */
export interface Binding {
  readonly rule: GroupRule;
  /** The keys of the steps that come before this one by the rule. */
  readonly after: readonly number[];
  /** The keys of the steps that come after this one by the rule. */
  readonly before: readonly number[];
}

/** The rules that apply to the steps of a block in this plan: those that put another step before or after it. */
export function bindingsOf(at: number, { blocks, rules }: BlockOrder): Binding[] {
  const result: Binding[] = [];
  for (const rule of rules) {
    const [after, before]: [number[], number[]] = [[], []];
    blocks.forEach((_, other) => {
      if (other === at) return;
      if (comesFirst(rule, blocks, other, at)) after.push(...keysOf(blocks[other]));
      else if (comesFirst(rule, blocks, at, other)) before.push(...keysOf(blocks[other]));
    });
    if (after.length || before.length) result.push({ rule, after, before });
  }
  return result;
}

/** Whether a rule puts one block before another; both by their place in the order. */
function comesFirst(rule: GroupRule, blocks: readonly Block[], one: number, other: number): boolean {
  const [a, b] = [blocks[one] as Block, blocks[other] as Block];
  const named = rule.first.includes(a.group) && rule.later.includes(b.group);
  if (!rule.pageByPage || !a.visit || !b.visit) return named && (a.group !== b.group || one < other);
  // A page needs what selects it, and must be done when the next one is selected.
  return named
    ? a.writes.some(({ key }) => isInForce(key, blocks, one, other))
    : rule.first.includes(b.group) && rule.later.includes(a.group) && b.visit.at === a.visit.at + 1;
}

/** Whether what a block writes to CV 31 or 32 still holds at a later block. */
function isInForce(key: number, blocks: readonly Block[], from: number, to: number): boolean {
  if (from > to) return false;
  for (let at = from + 1; at < to; at++) {
    const { group, writes } = blocks[at] as Block;
    if (group === "select" && writes.some((write) => write.key === key)) return false;
  }
  return true;
}

function keysOf(block: Block | undefined): number[] {
  return block ? block.writes.map(({ key }) => key) : [];
}
