/** The values of CV 31 (high) and CV 32 (low), which select an index page; undefined where not known. */
export interface Index {
  readonly high: number | undefined;
  readonly low: number | undefined;
}

/** Up to this many pages the best order is searched for; a decoder rarely has more. */
const exactLimit = 8;

/**
 * The order in which to visit index pages, each once, so that CV 31 and 32 are written as seldom as
 * possible. Up to 8 pages no order needs fewer writes; beyond that all pages of one CV 31 (or of one CV 32)
 * are visited together, and from one such run to the next over a value that they share.
 * @param pages Page numbers: CV 31 * 256 + CV 32.
 * @param from The index before.
 * @param to The index to leave; undefined where that does not matter.
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

/** How many of CV 31 and 32 change on the way to an index. */
function distance({ high, low }: Index, to: Index): number {
  return Number(to.high !== undefined && to.high !== high) + Number(to.low !== undefined && to.low !== low);
}

function writesOf(order: readonly number[], from: Index, to: Index): number {
  let at = from;
  let count = 0;
  for (const page of order) {
    const next = { high: page >> 8, low: page & 255 };
    count += distance(at, next);
    at = next;
  }
  return count + distance(at, to);
}

/** The best order of a few pages: for each set of visited pages and each last one, the fewest writes. */
function bestOrder(pages: readonly number[], from: Index, to: Index): number[] {
  const count = pages.length;
  const places = pages.map((page) => ({ high: page >> 8, low: page & 255 }));
  const fewest = new Array<number>(count << count).fill(Number.POSITIVE_INFINITY);
  const before = new Array<number>(count << count).fill(-1);
  const all = (1 << count) - 1;
  places.forEach((place, i) => {
    const writes = distance(from, place);
    // Of two equally good orders, the one that begins at the present index.
    fewest[(1 << i) * count + i] = writes && writes + 0.5;
  });
  for (let visited = 1; visited <= all; visited++) {
    for (let last = 0; last < count; last++) {
      const so = fewest[visited * count + last] as number;
      for (let next = 0; next < count; next++) {
        if (visited & (1 << next)) continue;
        const at = (visited | (1 << next)) * count + next;
        const writes = so + distance(places[last] as Index, places[next] as Index);
        if (writes >= (fewest[at] as number)) continue;
        fewest[at] = writes;
        before[at] = last;
      }
    }
  }
  let last = -1;
  let best = Number.POSITIVE_INFINITY;
  places.forEach((place, i) => {
    const writes = (fewest[all * count + i] as number) + distance(place, to);
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
  let { low } = from;
  while (rest.size) {
    const present = order.length === 0 ? from.high : undefined;
    const high = present !== undefined && rest.has(present) ? present : nextRun(rest, low, to.high);
    const lows = rest.get(high) as Set<number>;
    rest.delete(high);
    for (const each of lows) shared.set(each, (shared.get(each) as number) - 1);
    const run = [...lows];
    // The first one needs no write of CV 32, and cannot be the last one too.
    const entry = low !== undefined && lows.has(low) ? run.splice(run.indexOf(low), 1) : [];
    const last = rest.size
      ? // The run that the index is left on comes at the end, so a bridge to it is the last resort.
        run.findLast((each) => (shared.get(each) as number) > 0)
      : to.low;
    if (last !== undefined && run.includes(last)) run.push(...run.splice(run.indexOf(last), 1));
    for (const each of [...entry, ...run]) order.push(high * 256 + each);
    low = (order[order.length - 1] as number) & 255;
  }
  return order;
}

/** The CV 31 of the run to visit next. */
function nextRun(
  rest: ReadonlyMap<number, ReadonlySet<number>>,
  low: number | undefined,
  end: number | undefined,
): number {
  const candidates = [...rest].filter(([high]) => high !== end || rest.size === 1);
  const [high] =
    candidates.find(([, lows]) => low !== undefined && lows.has(low)) ?? (candidates[0] as [number, unknown]);
  return high;
}
