/** A place of the index: the values of CV 31 and CV 32, or -1 for one that nobody knows. */
export interface Index {
  readonly high: number;
  readonly low: number;
}

/** Up to this many pages the best order is found by trying; a decoder rarely has more. */
const exactLimit = 8;

/**
 * The order in which to visit index pages, each once, so that CV 31 and 32 are written as seldom as
 * possible. Up to 8 pages no order needs fewer writes; beyond that all pages of one CV 31 (or of one CV 32)
 * are visited together, and from one such run to the next over a value that they share.
 * @param pages Page numbers: CV 31 * 256 + CV 32.
 * @param from Where the index stands.
 * @param to Where it is left; -1 where that does not matter.
 */
export function orderPages(pages: Iterable<number>, from: Index, to: Index): number[] {
  const sorted = [...pages].sort(ascending);
  if (sorted.length <= exactLimit) return bestOrder(sorted, from, to);
  const byHigh = inRuns(sorted, from, to);
  const byLow = inRuns(sorted.map(swapped).sort(ascending), turned(from), turned(to)).map(swapped);
  return writesOf(byHigh, from, to) <= writesOf(byLow, from, to) ? byHigh : byLow;
}

const ascending = (a: number, b: number): number => a - b;
const swapped = (page: number): number => (page & 255) * 256 + (page >> 8);
const turned = ({ high, low }: Index): Index => ({ high: low, low: high });

/** How many of CV 31 and 32 change on the way from one place to another; -1 is anywhere. */
function distance(high: number, low: number, to: Index): number {
  return Number(to.high >= 0 && to.high !== high) + Number(to.low >= 0 && to.low !== low);
}

function writesOf(order: readonly number[], from: Index, to: Index): number {
  let { high, low } = from;
  let count = 0;
  for (const page of order) {
    const next = { high: page >> 8, low: page & 255 };
    count += distance(high, low, next);
    ({ high, low } = next);
  }
  return count + distance(high, low, to);
}

/** The best order of a few pages: for each set of visited pages and each last one, the fewest writes. */
function bestOrder(pages: readonly number[], from: Index, to: Index): number[] {
  const count = pages.length;
  const places = pages.map((page) => ({ high: page >> 8, low: page & 255 }));
  const fewest = new Array<number>(count << count).fill(Number.POSITIVE_INFINITY);
  const before = new Array<number>(count << count).fill(-1);
  const all = (1 << count) - 1;
  places.forEach((place, i) => {
    const writes = distance(from.high, from.low, place);
    // Of two orders that are as good, the one that begins where the index stands.
    fewest[(1 << i) * count + i] = writes && writes + 0.5;
  });
  for (let visited = 1; visited <= all; visited++) {
    for (let last = 0; last < count; last++) {
      const so = fewest[visited * count + last] as number;
      if (so === Number.POSITIVE_INFINITY) continue;
      const { high, low } = places[last] as Index;
      for (let next = 0; next < count; next++) {
        if (visited & (1 << next)) continue;
        const at = (visited | (1 << next)) * count + next;
        const writes = so + distance(high, low, places[next] as Index);
        if (writes >= (fewest[at] as number)) continue;
        fewest[at] = writes;
        before[at] = last;
      }
    }
  }
  let last = -1;
  let best = Number.POSITIVE_INFINITY;
  places.forEach(({ high, low }, i) => {
    const writes = (fewest[all * count + i] as number) + distance(high, low, to);
    if (writes < best) [best, last] = [writes, i];
  });
  const order: number[] = [];
  for (let visited = all; last >= 0; ) {
    order.unshift(pages[last] as number);
    const previous = before[visited * count + last] as number;
    visited &= ~(1 << last);
    last = previous;
  }
  return order;
}

/** The pages in runs of one CV 31 each. */
function inRuns(pages: readonly number[], from: Index, to: Index): number[] {
  const rest = new Map<number, Set<number>>();
  /** In how many of the remaining runs a CV 32 occurs. */
  const shared = new Map<number, number>();
  for (const page of pages) {
    const high = page >> 8;
    const low = page & 255;
    let lows = rest.get(high);
    if (!lows) rest.set(high, (lows = new Set()));
    lows.add(low);
    shared.set(low, (shared.get(low) ?? 0) + 1);
  }
  const order: number[] = [];
  let { high, low } = from;
  while (rest.size) {
    high = order.length === 0 && rest.has(high) ? high : nextRun(rest, low, to.high);
    const lows = rest.get(high) as Set<number>;
    rest.delete(high);
    for (const each of lows) shared.set(each, (shared.get(each) as number) - 1);
    const run = [...lows];
    if (lows.has(low)) toFront(run, low);
    const last = rest.size
      ? // The run that the index is left on comes at the end, so a bridge to it is the last resort.
        (run.findLast((each) => (shared.get(each) as number) > 0) ?? -1)
      : to.low;
    if (last >= 0 && lows.has(last) && (last !== run[0] || run.length === 1)) toBack(run, last);
    for (const each of run) order.push(high * 256 + each);
    low = (order[order.length - 1] as number) & 255;
  }
  return order;
}

function nextRun(rest: ReadonlyMap<number, ReadonlySet<number>>, low: number, end: number): number {
  let any = -1;
  for (const [high, lows] of rest) {
    if (high === end && rest.size > 1) continue;
    if (lows.has(low)) return high;
    if (any < 0) any = high;
  }
  return any;
}

function toFront(run: number[], low: number): void {
  run.splice(run.indexOf(low), 1);
  run.unshift(low);
}

function toBack(run: number[], low: number): void {
  run.splice(run.indexOf(low), 1);
  run.push(low);
}
