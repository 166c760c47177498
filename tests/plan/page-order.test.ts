import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Index, orderPages } from "../../src/plan/page-order.js";

/** How many writes to CV 31 and 32 an order takes, the last ones included. */
function writes(order: readonly number[], from: Index, to: Index): number {
  let { high, low } = from;
  let count = 0;
  const move = (newHigh: number | undefined, newLow: number | undefined): void => {
    if (newHigh !== undefined && newHigh !== high) count++;
    if (newLow !== undefined && newLow !== low) count++;
    high = newHigh;
    low = newLow;
  };
  for (const page of order) move(page >> 8, page & 255);
  move(to.high, to.low);
  return count;
}

/** The fewest writes of any order, by trying them all. */
function fewest(pages: readonly number[], from: Index, to: Index): number {
  const search = (done: readonly number[], rest: readonly number[]): number =>
    rest.length === 0
      ? writes(done, from, to)
      : Math.min(
          ...rest.map((page) =>
            search(
              [...done, page],
              rest.filter((each) => each !== page),
            ),
          ),
        );
  return search([], pages);
}

const values = fc.constantFrom(16, 17, 18, 40);
const lows = fc.constantFrom(0, 1, 2);
const pageList = fc.uniqueArray(
  fc.tuple(values, lows).map(([high, low]) => high * 256 + low),
  { minLength: 1, maxLength: 5 },
);
const index = fc.record({
  high: fc.oneof(values, fc.constant(undefined), fc.constant(0)),
  low: fc.oneof(lows, fc.constant(undefined)),
});

describe("the order of index pages", () => {
  test("every page once", () => {
    fc.assert(
      fc.property(pageList, index, index, (pages, from, to) => {
        const order = orderPages(pages, from, to);
        expect([...order].sort((a, b) => a - b)).toEqual([...pages].sort((a, b) => a - b));
      }),
    );
  });

  test("up to 8 pages: as few writes to CV 31 and 32 as any order needs", () => {
    fc.assert(
      fc.property(pageList, index, index, (pages, from, to) => {
        expect(writes(orderPages(pages, from, to), from, to)).toBe(fewest(pages, from, to));
      }),
    );
    // Eight, in no grid: 40,320 orders.
    const eight = [at(16, 0), at(16, 2), at(17, 1), at(18, 0), at(18, 1), at(40, 2), at(40, 0), at(20, 5)];
    for (const ends of [nowhere, { high: 18, low: 1 }])
      expect(writes(orderPages(eight, ends, ends), ends, ends)).toBe(fewest(eight, ends, ends));
  });

  test("beyond that: every page once, and close to one write for each", () => {
    const many = fc.uniqueArray(
      fc.tuple(fc.integer({ min: 16, max: 21 }), fc.nat(5)).map(([high, low]) => high * 256 + low),
      { minLength: 9, maxLength: 30 },
    );
    let excess = 0;
    let pagesInAll = 0;
    fc.assert(
      fc.property(many, index, index, (pages, from, to) => {
        const order = orderPages(pages, from, to);
        expect([...order].sort((a, b) => a - b)).toEqual([...pages].sort((a, b) => a - b));
        // No order does with less than one write a page, but for the first, where the index may stand.
        excess += writes(order, from, to) - (pages.length - 1);
        pagesInAll += pages.length;
      }),
    );
    expect(excess / pagesInAll).toBeLessThan(0.2);
  });

  test("CV 31 and CV 32 may change places", () => {
    const many = fc.uniqueArray(
      fc.tuple(fc.integer({ min: 16, max: 21 }), fc.nat(5)).map(([high, low]) => high * 256 + low),
      { minLength: 9, maxLength: 30 },
    );
    const turn = ({ high, low }: Index): Index => ({ high: low, low: high });
    fc.assert(
      fc.property(many, index, index, (pages, from, to) => {
        const turned = pages.map((page) => (page & 255) * 256 + (page >> 8));
        expect(writes(orderPages(turned, turn(from), turn(to)), turn(from), turn(to))).toBe(
          writes(orderPages(pages, from, to), from, to),
        );
      }),
    );
  });

  const at = (high: number, low: number): number => high * 256 + low;
  const nowhere: Index = { high: undefined, low: undefined };

  test("a full grid of pages: one write for each but the first", () => {
    for (let highs = 2; highs <= 5; highs++) {
      for (let lows = 5; lows <= 7; lows++) {
        const pages = Array.from({ length: highs * lows }, (_, i) =>
          at(16 + (i % highs), Math.floor(i / highs)),
        );
        const count = highs * lows - 1;
        const start: Index = { high: 17, low: 2 };
        expect(writes(orderPages(pages, start, nowhere), start, nowhere)).toBe(count);
        // Back to where it began takes one write more where CV 31 is another one at the end.
        const back = writes(orderPages(pages, start, start), start, start);
        expect(back).toBeGreaterThan(count);
        expect(back).toBeLessThanOrEqual(count + 2);
        const end: Index = { high: 16, low: 4 };
        expect(writes(orderPages(pages, start, end), start, end)).toBe(count);
      }
    }
  });

  test.each([
    [
      "begins where the index stands",
      [at(16, 0), at(17, 0)],
      { high: 17, low: 0 },
      { high: undefined, low: undefined },
      [17, 16],
    ],
    ["ends where it is wanted", [at(16, 0), at(17, 0)], { high: 0, low: 0 }, { high: 16, low: 0 }, [17, 16]],
  ] as const)("%s", (_, pages, from, to, highs) => {
    expect(orderPages(pages, from, to).map((page) => page >> 8)).toEqual(highs);
  });

  const stairs = { 16: [0, 1, 2], 17: [2, 3, 4], 18: [4, 5, 6] };
  const column = { 16: [0], 17: [0], 18: [0], 19: [0], 20: [0], 21: [0], 22: [0], 23: [0], 24: [0, 1] };
  // [pages by CV 31, index before, index after, the order, writes]
  test.each<
    [string, Readonly<Record<number, readonly number[]>>, Partial<Index>, Partial<Index>, string, number]
  >([
    [
      "over a CV 32 that the next run has, though others come last",
      { 16: [0, 1, 2, 3, 9], 17: [1, 4, 5, 6] },
      {},
      {},
      "16.0 16.2 16.3 16.9 16.1 17.1 17.4 17.5 17.6",
      10,
    ],
    ["from run to run", stairs, {}, {}, "16.0 16.1 16.2 17.2 17.3 17.4 18.4 18.5 18.6", 10],
    [
      "back from where the index stands",
      stairs,
      { high: 18, low: 5 },
      {},
      "18.5 18.6 18.4 17.4 17.3 17.2 16.2 16.0 16.1",
      8,
    ],
    [
      "from the run that the index stands in, at no page of it, to the page where it is left",
      stairs,
      { high: 18, low: 9 },
      { high: 16, low: 1 },
      "18.5 18.6 18.4 17.4 17.3 17.2 16.2 16.0 16.1",
      9,
    ],
    [
      "over CV 32 where only that stands",
      stairs,
      { high: 0, low: 4 },
      {},
      "17.4 17.3 17.2 16.2 16.0 16.1 18.4 18.5 18.6",
      10,
    ],
    [
      "last to the run where the index is left",
      stairs,
      {},
      { high: 17, low: 3 },
      "16.0 16.1 16.2 18.5 18.6 18.4 17.4 17.2 17.3",
      11,
    ],
    [
      "in runs of one CV 32 where these are fewer",
      column,
      { high: 20, low: 0 },
      { high: 16, low: 0 },
      "20.0 17.0 18.0 19.0 21.0 22.0 23.0 24.0 24.1 16.0",
      10,
    ],
  ])("more than 8 pages: %s", (_, runs, before, after, expected, count) => {
    const from: Index = { high: before.high, low: before.low };
    const to: Index = { high: after.high, low: after.low };
    const pages = Object.entries(runs).flatMap(([high, all]) => all.map((low) => at(Number(high), low)));
    const order = orderPages(pages, from, to);
    expect(order.map((page) => `${page >> 8}.${page & 255}`).join(" ")).toBe(expected);
    expect(writes(order, from, to)).toBe(count);
  });

  test("from run to run over a CV 32 that both have", () => {
    const pages = [at(16, 0), at(16, 1), at(17, 0), at(17, 2)];
    expect(
      writes(
        orderPages(pages, { high: 16, low: 1 }, { high: undefined, low: undefined }),
        { high: 16, low: 1 },
        { high: undefined, low: undefined },
      ),
    ).toBe(3);
  });
});
