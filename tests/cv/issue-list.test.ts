import { type Issue, messageOf } from "cvset";
import { describe, expect, test } from "vitest";
import { missingValue } from "../../src/cv/faults.js";
import { IssueList, mostIssues } from "../../src/cv/issue-list.js";

const issues = (count: number): Issue[] =>
  Array.from({ length: count }, (_, i) => missingValue({}, { path: `${i}` }));
const listOf = (...lists: readonly (readonly Issue[])[]): IssueList => {
  const list = new IssueList();
  for (const one of lists) list.addAll(one);
  return list;
};
const left = (list: readonly Issue[]): unknown[] => list.map(({ code, params }) => [code, params]);

describe("a list of issues", () => {
  test("begins empty, and keeps what it is given, in order", () => {
    const list = new IssueList();
    expect([list.some, list.done()]).toEqual([false, []]);
    const [a, b, c] = issues(3) as [Issue, Issue, Issue];
    list.add(a);
    list.addAll([b]);
    list.addAll([c], "x.y");
    list.addAll([], "z");
    expect(list.some).toBe(true);
    expect(list.done()).toEqual([a, b, { ...c, path: "x.y.2" }]);
    expect(c.path).toBe("2");
  });

  test.each([1, 999, 1000])("%i are all kept", (count) => {
    expect(listOf(issues(count)).done()).toEqual(issues(count));
    const one = new IssueList();
    for (const issue of issues(count)) one.add(issue);
    expect(one.done()).toEqual(issues(count));
  });

  test.each([1001, 1002, 5000, 200_000])(
    "of %i the first thousand are kept and the rest is counted",
    (count) => {
      const all = issues(count);
      const one = new IssueList();
      for (const issue of all) one.add(issue);
      const under = new IssueList();
      under.addAll(all, "");
      const halves = listOf(all.slice(0, 600), all.slice(600));
      for (const list of [one, under, halves]) {
        const done = list.done();
        expect(done.slice(0, mostIssues)).toEqual(all.slice(0, mostIssues));
        expect(left(done.slice(mostIssues))).toEqual([["more-issues", { count: count - mostIssues }]]);
      }
      expect(messageOf(one.done().at(-1) as Issue)).toBe(`issues that are not listed: ${count - mostIssues}`);
    },
  );

  test("with a path the rest is counted too", () => {
    const list = new IssueList();
    list.addAll(issues(5000), "a");
    expect(list.done().length).toBe(mostIssues + 1);
    expect(list.done()[999]).toEqual(missingValue({}, { path: "a.999" }));
    expect(left(list.done().slice(-1))).toEqual([["more-issues", { count: 4000 }]]);
  });

  test("lists within lists: what an inner one left out is counted once, and stands at the end alone", () => {
    const inner = listOf(issues(1500)).done();
    const outer = new IssueList();
    outer.add(missingValue({}, { path: "first" }));
    outer.addAll(inner, "a");
    outer.addAll(listOf(issues(3000)).done(), "b");
    const done = outer.done();
    expect(done.length).toBe(mostIssues + 1);
    expect(done.findIndex(({ code }) => code === "more-issues")).toBe(mostIssues);
    expect(left(done.slice(-1))).toEqual([["more-issues", { count: 1 + 1500 + 3000 - mostIssues }]]);
    expect(left(listOf(done, done).done().slice(-1))).toEqual([
      ["more-issues", { count: 2 * 4501 - mostIssues }],
    ]);
  });
});
