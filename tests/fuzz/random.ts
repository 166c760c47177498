/** Random numbers that are the same for the same seed. */
export interface Random {
  /** A whole number from 0, below `limit`. */
  below(limit: number): number;
  /** One of a list. */
  of<Item>(items: readonly Item[]): Item;
}

/**
 * Random numbers for one input of many (a multiply-and-shift generator of 32 bits).
 * @param seed Which run.
 * @param index Which input.
 */
export function randomOf(seed: number, index: number): Random {
  let state = (Math.imul(seed, 0x9e3779b1) ^ Math.imul(index + 1, 0x85ebca6b)) >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return (mixed ^ (mixed >>> 14)) >>> 0;
  };
  const below = (limit: number): number => next() % limit;
  return { below, of: (items) => items[below(items.length)] as (typeof items)[number] };
}
