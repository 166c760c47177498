/** A place of the index: the values of CV 31 and CV 32, or -1 for one that nobody knows. */
export interface Index {
  readonly high: number;
  readonly low: number;
}

/**
 * The order in which to visit index pages, each once, so that CV 31 and 32 change as seldom as possible:
 * all pages of one CV 31 together, and from one such run to the next over a CV 32 that they share.
 * @param pages Page numbers: CV 31 * 256 + CV 32.
 * @param from Where the index stands.
 * @param to Where it is left; -1 where that does not matter.
 */
export function orderPages(pages: Iterable<number>, from: Index, to: Index): number[] {
  const rest = new Map<number, Set<number>>();
  /** In how many of the remaining runs a CV 32 occurs. */
  const shared = new Map<number, number>();
  for (const page of [...pages].sort((a, b) => a - b)) {
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
