import type { OrderRule } from "./order-rules.js";
import type { Block, BlockOrder } from "./ordered-writes.js";

/** A rule of order that applies to a step, with the steps that it puts before and after it. */
export interface Binding {
  readonly rule: OrderRule;
  /** The keys of the steps that come before this one by the rule. */
  readonly after: readonly number[];
  /** The keys of the steps that come after this one by the rule. */
  readonly before: readonly number[];
}

/** The rules that apply to the steps of a block in this plan: those that put another step before or after it. */
export function bindingsOf(at: number, { blocks, rules }: BlockOrder): Binding[] {
  return rules.flatMap((rule) => {
    const after: number[] = [];
    const before: number[] = [];
    blocks.forEach(({ writes }, other) => {
      if (comesFirst(rule, blocks, other, at)) for (const { key } of writes) after.push(key);
      else if (comesFirst(rule, blocks, at, other)) for (const { key } of writes) before.push(key);
    });
    return after.length || before.length ? [{ rule, after, before }] : [];
  });
}

/** Whether a rule puts one block before another; both by their place in the order. */
function comesFirst(rule: OrderRule, blocks: readonly Block[], one: number, other: number): boolean {
  const [a, b] = [blocks[one] as Block, blocks[other] as Block];
  const named =
    rule.first.includes(a.group) &&
    rule.later.includes(b.group) &&
    !(rule.pageByPage && b.visit === undefined);
  if (!rule.pageByPage) return named && (a.group !== b.group || one < other);
  // A page needs what selects it, and is complete before the next one is selected.
  if (named) return isInForce(a, blocks.slice(one + 1, other)) && one < other;
  const reversed = rule.first.includes(b.group) && rule.later.includes(a.group);
  return reversed && a.visit !== undefined && b.visit?.at === a.visit.at + 1;
}

/** Whether no later block writes the CV again that a block writes. */
function isInForce({ group, writes }: Block, later: readonly Block[]): boolean {
  return !later.some((block) => block.group === group && block.writes[0]?.key === writes[0]?.key);
}
