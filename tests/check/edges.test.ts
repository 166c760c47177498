import { CvSet } from "cvset";
import { checkSet, defineRule, type Finding, formatJunit, type Rule } from "cvset/check";
import { describe, expect, test } from "vitest";
import { saidBy } from "../support/said.js";
import { clubRule as rule } from "./club-rule.js";

// S-9.2.2 (July 2012), CV 19, 21 and 22.
test.each<[Record<number, number>, string[]]>([
  [{ 19: 0, 21: 1 }, ["CV 21 gives functions to the consist address, but CV 19 has none"]],
  [{ 19: 0, 21: 1, 22: 2 }, ["CV 21 and 22 give functions to the consist address, but CV 19 has none"]],
  [{ 19: 0, 21: 0, 22: 0 }, []],
  [{ 19: 5, 21: 1, 22: 2 }, []],
  [{ 21: 1, 22: 2 }, []],
])("functions of a consist that there is not: CVs %j", (cvs, messages) => {
  const found = checkSet(CvSet.from(cvs)).filter((finding) => finding.rule === "consist-functions");
  expect(found.map(({ message }) => message)).toEqual(messages);
});

describe("rules from outside", () => {
  test.each(["a", "a-b", "a1", "club/a", "my-club/a-b-2"])("can be named %s", (name) => {
    expect(defineRule({ ...rule, name })).toMatchObject({ name });
  });

  test.each(["", "A", "a b", "a-", "-a", "a--b", "club/", "/a", "a/b/c", "a/b ", " a", "a/B", "a_b"])(
    "cannot be named %j",
    (name) => {
      expect(saidBy(() => defineRule({ ...rule, name }))).toEqual([
        expect.stringMatching(/^name: expected a name such as "name" or "owner\/name", /),
      ]);
    },
  );

  test("one that is none, or has the name of another, is refused by its place in the list", () => {
    const check = (...rules: unknown[]) => saidBy(() => checkSet(CvSet.empty, { rules: rules as Rule[] }));
    expect(check(rule, { ...rule, name: "club/two" })).toEqual([]);
    expect(check(rule, rule)).toEqual(['rules.1: two rules have the name "club/one"']);
    expect(check(rule, 3)).toEqual(["rules.1: expected a rule, as defineRule makes it, got 3"]);
  });
});

test("JUnit XML names up to four CVs of a finding, and the line", () => {
  const finding = (cvs: string[], line?: number): Finding => ({
    file: "no9.txt",
    rule: "club/one",
    severity: "error",
    message: "it is wrong",
    cvs,
    source: "club rules",
    fix: "Mend it.",
    ...(line !== undefined && { line }),
  });
  const titles = (findings: Finding[]) =>
    [...formatJunit({ files: ["no9.txt"], findings }).matchAll(/<testcase [^>]*name="([^"]*)"/g)].map(
      ([, name]) => name,
    );
  expect(
    titles([
      finding([]),
      finding(["1"]),
      finding(["1", "2", "3", "4"]),
      finding(["1", "2", "3", "4", "5"]),
      finding(["29"], 7),
    ]),
  ).toEqual([
    "club/one",
    "club/one: CV 1",
    "club/one: CV 1, 2, 3, 4",
    "club/one: CV 1, 2, 3, 4, ...",
    "club/one: CV 29, line 7",
  ]);
});
