import {
  type AnyDecoder,
  CvSet,
  cv,
  defineCodec,
  defineDecoder,
  flag,
  flags,
  type Issue,
  level,
  page,
  record,
} from "cvset";
import {
  checkFleet,
  checkSet,
  countFindings,
  defineRule,
  type FleetMember,
  type Found,
  formatGithub,
  formatJson,
  formatJunit,
  formatSarif,
  formatText,
  hasFailed,
  type Rule,
  readingFindings,
  ruleList,
  standardRules,
} from "cvset/check";
import { describe, expect, test } from "vitest";
import { fleetRules } from "../../src/check/fleet-rules.js";
import { readingRules } from "../../src/check/reading.js";
import { cvsText } from "../../src/check/rule.js";
import { silenceRules } from "../../src/check/silence.js";
import { saidBy } from "../support/said.js";
import { clubRule as rule } from "./club-rule.js";
import { decoder, good } from "./locomotive.js";

const define = (features: AnyDecoder["features"], outputs?: readonly number[]): AnyDecoder =>
  defineDecoder({
    id: "own",
    name: "Own",
    kind: "multifunction",
    features,
    rules: outputs ? [{ rule: "outputs", outputs }] : [],
  });

describe("the function map of a description", () => {
  const messages = (one: AnyDecoder, cvs: Record<number, number>) =>
    checkSet(CvSet.from(cvs), { decoder: one })
      .filter(({ rule }) => /key|output/.test(rule))
      .map(({ rule, message, cvs }) => [rule, message, ...cvs]);

  test("has its own outputs at its own bits, in records within records too", () => {
    const lamps = define(
      {
        lamps: record({
          front: record({ "FL(f)": flags(cv(33).bits(2, 5), [3, null, 5, 6]) }),
          F1: flags(cv(35).bits(0, 1), [5, 7]),
        }),
        F2: flags(cv(36), [9, 8, null, null, null, null, null, 1]),
      },
      [3, 5, 6, 7, 8],
    );
    // Bits 0, 1, 3, 6 and 7 of CV 33 switch nothing.
    expect(messages(lamps, { 33: 0b1111_1111, 35: 0b10, 36: 0b10 })).toEqual([]);
    expect(messages(lamps, { 33: 0b1100_1011, 35: 0b11, 36: 0b11 })).toEqual([
      ["key-works-nothing", "key FL switches no output", "33"],
      ["output-without-key", "no key switches output 3", "33"],
      ["output-without-key", "no key switches output 6", "33"],
      ["output-missing", "F2 switches output 9, which Own does not have", "36"],
    ]);
    expect(messages(lamps, { 33: 0b0011_0100, 35: 0b11, 36: 0b1000_0011 })).toEqual([
      ["output-two-keys", "output 5 is switched by the keys FL and F1", "33", "35"],
      ["output-missing", "F2 switches output 9 and 1, which Own does not have", "36"],
    ]);
    // Without one of its CVs it is not known which outputs are left out.
    expect(messages(lamps, { 33: 0b0011_0100, 36: 0b10 })).toEqual([]);
  });

  test("is found in codecs from outside", () => {
    const F1 = flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]);
    const outside = defineCodec<readonly number[]>({
      kind: "keyed",
      places: [cv(35)],
      parts: { F1 },
      read: () => [],
      write: () => {},
    });
    expect(messages(define({ keys: outside }), { 35: 0 })).toEqual([
      ["key-works-nothing", "key F1 switches no output", "35"],
    ]);
  });

  test("has neither bits with names in words, nor flags of other CVs", () => {
    const named = define({
      F1: flags(cv(35), ["whistle", "bell", null, null, null, null, null, null]),
      F2: flags(cv(36), [1, "bell", null, null, null, null, null, null]),
      own: flags(cv(60), [1, 2, 3, 4, 5, 6, 7, 8]),
      lamp: flag(cv(37).bit(0)),
    });
    expect(messages(named, { 35: 0, 36: 0, 37: 0, 60: 0 })).toEqual([]);
    // Without a function map the outputs that exist say nothing.
    expect(messages(define({ own: flags(cv(60).bits(0, 1), [1, 2]) }, [1, 2]), { 60: 0 })).toEqual([]);
  });
});

test("a key setting below something that is off, or that is not read, names no key", () => {
  const keyed = (sound: AnyDecoder["features"][string]) =>
    define({ F1: flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]), sound });
  const idle = (one: AnyDecoder, cvs: Record<number, number>) =>
    checkSet(CvSet.from({ 35: 0, ...cvs }), { decoder: one }).some(
      ({ rule }) => rule === "key-works-nothing",
    );
  const inRecord = keyed(
    record({ deep: record({ key: level(cv(60).bits(0, 3), { max: 12, means: "bell key" }) }) }),
  );
  expect([idle(inRecord, { 60: 1 }), idle(inRecord, { 60: 2 }), idle(inRecord, { 60: 13 })]).toEqual([
    false,
    true,
    true,
  ]);
  expect(idle(inRecord, {})).toBe(true);
});

describe("a set of another decoder", () => {
  /** A decoder with CV 150 to 150 + `count` - 1, each up to 9. */
  const with_ = (count: number) =>
    define(
      Object.fromEntries(
        Array.from({ length: count }, (_, i) => [`own${i}`, level(cv(150 + i), { max: 9 })]),
      ),
    );
  const told = (count: number, senseless: number, fitting: number, unknown: number) => {
    const cvs = Object.fromEntries([
      ...Array.from({ length: senseless }, (_, i) => [150 + i, 10]),
      ...Array.from({ length: fitting }, (_, i) => [150 + senseless + i, 9]),
      ...Array.from({ length: unknown }, (_, i) => [200 + i, 1]),
    ]);
    return checkSet(CvSet.from(cvs), { decoder: with_(count) })
      .filter(({ rule }) => rule === "other-decoder")
      .map(({ severity, message, cvs }) => `${severity}: ${message} (${cvs.join(" ")})`);
  };
  const numbers = "these look like the numbers of another decoder:";
  // [described, without sense, with sense, not described, what is told]
  test.each<[number, number, number, number, string[]]>([
    // Four numbers without sense, and half as many as those with.
    [12, 4, 8, 0, [`error: ${numbers} 4 of 12 CVs of the maker stand for nothing in Own (150 151 152 153)`]],
    [13, 4, 9, 0, []],
    [4, 3, 0, 0, []],
    // Five that are not described, more than those with sense, of which there are less than a quarter.
    [
      9,
      0,
      2,
      5,
      [`warning: ${numbers} 5 of 7 CVs of the maker stand for nothing in Own (200 201 202 203 204)`],
    ],
    [9, 0, 2, 4, []],
    [8, 0, 2, 5, []],
    [30, 0, 5, 5, []],
    [
      30,
      0,
      5,
      6,
      [`warning: ${numbers} 6 of 11 CVs of the maker stand for nothing in Own (200 201 202 203 204 205)`],
    ],
    [
      9,
      1,
      2,
      5,
      [`error: ${numbers} 6 of 8 CVs of the maker stand for nothing in Own (150 200 201 202 203 204)`],
    ],
  ])("%d described; %d without sense, %d with, %d more", (count, senseless, fitting, unknown, expected) => {
    expect(told(count, senseless, fitting, unknown)).toEqual(expected);
  });
});

test("a description of nothing but CVs on an index page describes CVs of the maker", () => {
  const paged = define({ own: level(page(0, 3).cv(257)) });
  expect(checkSet(CvSet.from({ 150: 1 }), { decoder: paged }).map(({ message }) => message)).toEqual([
    "CV 150 is not in the description of Own",
  ]);
  // One of CVs of the standard does not.
  expect(checkSet(CvSet.from({ 150: 1 }), { decoder: define({ start: level(cv(2)) }) })).toEqual([]);
});

describe("settings that share a CV", () => {
  const shared = define({
    bell: record({ tone: level(cv(150).bits(0, 3), { max: 9 }), volume: level(cv(151)) }),
    whistle: record({ tone: level(cv(150).bits(4, 7), { max: 9 }), volume: level(cv(152)) }),
  });
  const check = (cvs: Record<number, number>) =>
    checkSet(CvSet.from(cvs), { decoder: shared }).map(({ rule, message }) => [rule, message]);

  test("are absent, not incomplete, where the set has only the CV that they share", () => {
    expect(check({ 150: 0x11 })).toEqual([]);
    expect(check({ 150: 0x11, 151: 5 })).toEqual([]);
    expect(check({ 151: 5 })).toEqual([
      ["setting-incomplete", "part of bell cannot be read, because these CVs are not in the set: 150"],
    ]);
  });

  test("are complained of all the same where a number in that CV is out of range", () => {
    expect(check({ 150: 0xa1, 151: 5 })).toEqual([
      [
        "setting-out-of-range",
        "whistle.tone: CV 150 bits 4-7: the stored number 10 is out of range; allowed is 0 to 9",
      ],
    ]);
  });
});

test("a rule sees what could be read in full and in part, and what could not", () => {
  const seen: unknown[] = [];
  const look: Rule = {
    ...rule,
    find: ({ settings, partial, issues, forWriting, stopping }) => {
      seen.push(
        settings,
        [...partial],
        issues.map(({ path, code }) => [path, code]),
        forWriting,
        stopping,
      );
      return [];
    },
  };
  const one = define({
    bell: record({ tone: level(cv(150), { max: 9 }), volume: level(cv(151)) }),
    whistle: level(cv(152)),
    lamp: level(cv(153), { max: 5 }),
    absent: level(cv(160)),
  });
  const stopping = { withinMm: 5, topSpeedMmPerS: 6 };
  checkSet(CvSet.from({ 150: 10, 151: 3, 152: 4, 153: 6 }), {
    decoder: one,
    rules: [look],
    forWriting: true,
    stopping,
  });
  expect(seen).toEqual([
    { bell: { volume: 3 }, whistle: 4 },
    ["bell", "lamp"],
    [
      ["bell.tone", "stored-range"],
      ["lamp", "stored-range"],
    ],
    true,
    stopping,
  ]);
});

describe("findings", () => {
  const at = (...cvs: string[]): Found => ({
    message: `about ${cvs.join(" ")}`,
    places: cvs.map((cv) => ({ cv, mask: 255 })),
  });
  const finding = (found: Found[], options: object = {}) =>
    checkSet(CvSet.empty, { rules: [{ ...rule, find: () => found }], ...options });

  test("are in the order of their first CV; those about none come first", () => {
    expect(
      finding([at("300@16.0"), at("20", "1"), at("3"), at(), at("3", "4"), at("1024")]).map(
        ({ message }) => message,
      ),
    ).toEqual(["about ", "about 3", "about 3 4", "about 20 1", "about 1024", "about 300@16.0"]);
  });

  test("name each CV once, and have the place of the first that is found in the file", () => {
    const locate = (cv: string | number) => (cv === "4" ? { line: 7, column: 3 } : undefined);
    expect(finding([at("3", "4", "3", "5")], { locate, file: "a.txt" })).toStrictEqual([
      {
        file: "a.txt",
        rule: "club/one",
        severity: "note",
        message: "about 3 4 3 5",
        cvs: ["3", "4", "5"],
        source: "club rules",
        fix: "Mend it.",
        line: 7,
        column: 3,
      },
    ]);
    expect(finding([at("3")], { locate }).map((one) => "line" in one)).toEqual([false]);
  });

  test("are gathered only where function, severity and way to fix it are the same", () => {
    const gathered = (cvs: readonly string[]) => `all of ${cvs.join(" ")}`;
    const other = (cvs: readonly string[]) => `others: ${cvs.join(" ")}`;
    const found: Found[] = [
      { ...at("1"), gathered },
      { ...at("2"), gathered, severity: "error" },
      { ...at("3"), gathered: other },
      { ...at("4"), gathered, fix: "Otherwise." },
      { ...at("5") },
      { ...at("6") },
      { ...at("7", "1"), gathered },
      { ...at("8"), gathered: other },
      { ...at("3"), gathered: other },
    ];
    expect(finding(found).map(({ message, severity, fix, cvs }) => [message, severity, fix, ...cvs])).toEqual(
      [
        ["all of 1 7", "note", "Mend it.", "1", "7"],
        ["about 2", "error", "Mend it.", "2"],
        ["others: 3 8", "note", "Mend it.", "3", "8"],
        ["about 4", "note", "Otherwise.", "4"],
        ["about 5", "note", "Mend it.", "5"],
        ["about 6", "note", "Mend it.", "6"],
      ],
    );
  });

  test("of a rule that fails tell whom to ask, and are errors about no CV", () => {
    const fails = (find: () => never) => checkSet(CvSet.from({ 1: 3 }), { rules: [{ ...rule, find }] });
    const failed = {
      file: "CV set",
      rule: "club/one",
      severity: "error",
      cvs: [],
      source: "club rules",
      fix: "Report this to the author of the rule.",
    };
    expect(
      fails(() => {
        throw "oh\nno";
      }),
    ).toEqual([{ ...failed, message: "the rule failed: oh\\u000ano" }]);
    for (const what of [[null], [5], [{ message: 5, places: [] }], [{ message: "oh", places: {} }], 5]) {
      expect(fails(() => what as never)).toEqual([
        { ...failed, message: `the rule gives what is no list of findings: ${JSON.stringify(what)}` },
      ]);
    }
  });
});

test("an entry of silence that cannot be read is an error; those before it are kept", () => {
  const entry = {
    get rule(): string {
      throw new Error("the disk went away");
    },
    reason: "x",
  };
  const silence = [{ rule: "decoder-lock", reason: "known" }, entry];
  const { name, severity, source, fix } = silenceRules.unusable;
  const [unusable, lock, ...more] = checkSet(CvSet.from({ 15: 1, 16: 2 }), { silence, file: "a.txt" });
  expect(unusable).toEqual({
    file: "a.txt",
    rule: name,
    severity,
    message: "silence: the input cannot be read: the disk went away",
    cvs: [],
    source,
    fix,
  });
  expect([lock?.rule, lock?.silenced, more]).toEqual(["decoder-lock", "known", []]);
});

test("CVs in words: three in a row are a run, two are not; of more than twelve pieces the rest is counted", () => {
  expect(cvsText(["5"])).toBe("CV 5");
  expect(cvsText(["5", "6", "8", "9", "10", "300@16.0", "301@16.0"])).toBe(
    "CV 5, 6, 8-10, 300@16.0, 301@16.0",
  );
  const every = (step: number, count: number) =>
    Array.from({ length: count }, (_, i) => String(1 + step * i));
  expect(cvsText(every(2, 12))).toBe("CV 1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23");
  expect(cvsText(every(2, 15))).toBe("CV 1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23 and 3 more");
  expect(cvsText(every(1, 1024))).toBe("CV 1-1024");
});

describe("input that cannot be read", () => {
  const kinds: readonly [keyof typeof readingRules, Partial<Issue> & { severity?: "error" | "note" }][] = [
    ["cv", { code: "cv" }],
    ["byte", { code: "byte" }],
    ["byte", { code: "list-value" }],
    ["byte", { code: "list-bits" }],
    ["byte", { code: "list-bits-value" }],
    ["byte", { code: "ambiguous-value" }],
    ["byte", { code: "value-spelling" }],
    ["byte", { code: "value-quoted" }],
    ["file", { code: "anything-else" }],
    ["file", { code: "anything-else", severity: "error" }],
    ["note", { code: "anything-else", severity: "note" }],
    ["note", { code: "byte", severity: "note" }],
  ];
  const issue = (more: object) =>
    ({ code: "x", path: "a", text: "it is wrong", params: {}, ...more }) as Issue;

  test.each(kinds)("is a finding of the rule %s where the issue is %j", (kind, more) => {
    const { name, severity, source, fix } = readingRules[kind];
    const finding = { file: "in.txt", rule: name, severity, message: "a: it is wrong", cvs: [], source, fix };
    expect(readingFindings([issue(more)], "in.txt")).toStrictEqual([finding]);
    expect(readingFindings([issue(more)], "in.txt", "file")).toStrictEqual([finding]);
  });

  test("is a setting that cannot be used where settings are judged, unless it is a note", () => {
    const rules = (more: object) => readingFindings([issue(more)], "in", "settings").map(({ rule }) => rule);
    expect([rules({ code: "byte" }), rules({ code: "cv" }), rules({}), rules({ severity: "note" })]).toEqual([
      ["setting-unusable"],
      ["setting-unusable"],
      ["setting-unusable"],
      ["file-note"],
    ]);
  });

  test("has line, column and each CV once, as far as the issue has them", () => {
    const places = [
      { cv: "5", mask: 1 },
      { cv: "5", mask: 2 },
      { cv: "6", mask: 255 },
    ];
    const one = readingFindings([issue({ places, line: 4, column: 2 }), issue({ line: 5 })], "in.txt");
    expect(one.map(({ cvs, line, column }) => [cvs, line, column])).toEqual([
      [["5", "6"], 4, 2],
      [[], 5, undefined],
    ]);
    expect("column" in (one[1] as object)).toBe(false);
  });
});

describe("the list of rules", () => {
  test("has the facts of each rule and nothing else: given ones, those of descriptions, fleets, reading, silencing", () => {
    const facts = ({ name, severity, summary, source, fix, kind }: Omit<Rule, "find">) => ({
      ...{ name, severity, summary, source, fix },
      ...(kind && { kind }),
    });
    const others = [fleetRules, readingRules, silenceRules].flatMap((one) =>
      Object.values<Rule>(one as never),
    );
    expect(ruleList()).toStrictEqual([...standardRules, ...others].map(facts));
    const own = ruleList([], new Set([decoder]));
    expect(own.map(({ name }) => name)).toEqual([
      "teal-t4/slabwood-needs-cage",
      "teal-t4/one-steam-effect",
      ...others.map(({ name }) => name),
    ]);
    expect(own[0]).toStrictEqual({
      name: "teal-t4/slabwood-needs-cage",
      severity: "error",
      summary: "Slabwood throws sparks.",
      source: "manual, page 12",
      fix: "Fit the spark cage.",
    });
    expect(ruleList([rule])[0]).toStrictEqual(facts(rule));
  });
});

describe("an argument that is wrong", () => {
  const none = { errors: 0, warnings: 0, notes: 0, silenced: 0 };
  const member: FleetMember = { file: "a", cvs: good };
  const report = { files: [], findings: [] };
  const finding = { file: "a", rule: "b", severity: "note", message: "c", cvs: [], source: "d", fix: "e" };
  const bad = {
    number: 5 as never,
    text: "5" as never,
    object: {} as never,
    null: null as never,
  };
  test("is refused by its name", () => {
    const rows: readonly (readonly [said: string, call: () => unknown])[] = [
      ["options: expected an object, got null", () => checkSet(good, bad.null)],
      [
        "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got {}",
        () => checkSet(good, { decoder: bad.object }),
      ],
      ["forWriting: expected true or false, got 5", () => checkSet(good, { forWriting: bad.number })],
      ["stopping: expected an object, got 5", () => checkSet(good, { stopping: bad.number })],
      [
        "stopping.withinMm: expected a number above 0, got 0 | stopping.topSpeedMmPerS: expected a number above 0, got -1",
        () => checkSet(good, { stopping: { withinMm: 0, topSpeedMmPerS: -1 } }),
      ],
      [
        "stopping.topSpeedMmPerS: expected a number above 0, got undefined",
        () => checkSet(good, { stopping: { withinMm: 5 } as never }),
      ],
      [
        "stopping.withinMm: expected a number above 0, got Infinity",
        () => checkSet(good, { stopping: { withinMm: Number.POSITIVE_INFINITY, topSpeedMmPerS: 1 } }),
      ],
      ["file: expected a text, got 5", () => checkSet(good, { file: bad.number })],
      ["locate: expected a function, got 5", () => checkSet(good, { locate: bad.number })],
      ["rules: expected a list of rules, got {}", () => checkSet(good, { rules: bad.object })],
      ['rules.1: two rules have the name "club/one"', () => checkSet(good, { rules: [rule, rule] })],
      [
        'rules.1: expected a rule, as defineRule makes it, got {"name":5,"severity":"note","source":"club rules","summar...',
        () => checkSet(good, { rules: [rule, { ...rule, name: bad.number }] }),
      ],
      [
        'rules.0: expected a rule, as defineRule makes it, got {"name":"club/one","severity":"note","source":"club rules...',
        () => checkSet(good, { rules: [{ ...rule, find: bad.number }] }),
      ],
      [
        'rules.0: expected a rule, as defineRule makes it, got {"name":"club/one","severity":"fatal","source":"club rule...',
        () => checkSet(good, { rules: [{ ...rule, severity: "fatal" as never }] }),
      ],
      [
        'rules.0: expected a rule, as defineRule makes it, got {"name":"club/one","severity":"note","source":"club rules...',
        () => checkSet(good, { rules: [{ ...rule, summary: bad.number }] }),
      ],
      [
        'rules.0: expected a rule, as defineRule makes it, got {"name":"club/one","severity":"note","source":5,"summary"...',
        () => checkSet(good, { rules: [{ ...rule, source: bad.number }] }),
      ],
      [
        'rules.0: expected a rule, as defineRule makes it, got {"name":"club/one","severity":"note","source":"club rules...',
        () => checkSet(good, { rules: [{ ...rule, fix: bad.number }] }),
      ],
      ["rule: expected an object, got null", () => defineRule(bad.null)],
      ["name: expected a text, got 5", () => defineRule({ ...rule, name: bad.number })],
      [
        'name: expected a name such as "name" or "owner/name", in small letters, digits and single hyphens, got "Club One"',
        () => defineRule({ ...rule, name: "Club One" }),
      ],
      [
        'severity: expected "error", "warning" or "note", got "fatal"',
        () => defineRule({ ...rule, severity: "fatal" as never }),
      ],
      [
        'kind: "5" is not an option; the options are "multifunction", "accessory"',
        () => defineRule({ ...rule, kind: bad.text }),
      ],
      ["last: expected true or false, got 5", () => defineRule({ ...rule, last: bad.number })],
      ["find: expected a function, got 5", () => defineRule({ ...rule, find: bad.number })],
      ['summary: expected a sentence, got ""', () => defineRule({ ...rule, summary: "" })],
      ['source: expected a sentence, got " "', () => defineRule({ ...rule, source: " " })],
      ["fix: expected a sentence, got 5", () => defineRule({ ...rule, fix: bad.number })],
      ["findings: expected what can be iterated over, got 5", () => countFindings(bad.number)],
      [
        'findings.0.severity: "fatal" is not an option; the options are "error", "warning", "note"',
        () => countFindings([{ ...finding, severity: "fatal" } as never]),
      ],
      ["findings.0.file: expected a text, got 5", () => countFindings([{ ...finding, file: 5 } as never])],
      ["findings.0.rule: expected a text, got 5", () => countFindings([{ ...finding, rule: 5 } as never])],
      [
        "findings.0.message: expected a text, got 5",
        () => countFindings([{ ...finding, message: 5 } as never]),
      ],
      ["findings.0.cvs.0: expected a text, got 5", () => countFindings([{ ...finding, cvs: [5] } as never])],
      [
        "findings.0.source: expected a text, got 5",
        () => countFindings([{ ...finding, source: 5 } as never]),
      ],
      ["findings.0.fix: expected a text, got 5", () => countFindings([{ ...finding, fix: 5 } as never])],
      [
        'findings.0.line: expected a number, got "5"',
        () => countFindings([{ ...finding, line: "5" } as never]),
      ],
      [
        'findings.0.column: expected a number, got "5"',
        () => countFindings([{ ...finding, column: "5" } as never]),
      ],
      [
        "findings.0.silenced: expected a text, got 5",
        () => countFindings([{ ...finding, silenced: 5 } as never]),
      ],
      ["counts: expected an object, got null", () => hasFailed(bad.null)],
      ['counts.errors: expected a number, got "5"', () => hasFailed({ ...none, errors: bad.text })],
      ['counts.warnings: expected a number, got "5"', () => hasFailed({ ...none, warnings: bad.text })],
      ['counts.notes: expected a number, got "5"', () => hasFailed({ ...none, notes: bad.text })],
      ['counts.silenced: expected a number, got "5"', () => hasFailed({ ...none, silenced: bad.text })],
      ["options: expected an object, got null", () => hasFailed(none, bad.null)],
      ["strict: expected true or false, got 5", () => hasFailed(none, { strict: bad.number })],
      ["issues: expected a list, got {}", () => readingFindings(bad.object, "a")],
      [
        "issues.0: expected an issue, an object with code, text and params, got {}",
        () => readingFindings([bad.object], "a"),
      ],
      ["file: expected a text, got 5", () => readingFindings([], bad.number)],
      [
        'of: "other" is not an option; the options are "file", "settings"',
        () => readingFindings([], "a", "other" as never),
      ],
      ["rules: expected a list, got {}", () => ruleList(bad.object)],
      ["rules.0: expected an object, got null", () => ruleList([bad.null])],
      ["rules.0.name: expected a text, got 5", () => ruleList([{ ...rule, name: bad.number }])],
      ["rules.0.severity: expected a text, got 5", () => ruleList([{ ...rule, severity: bad.number }])],
      ["rules.0.summary: expected a text, got 5", () => ruleList([{ ...rule, summary: bad.number }])],
      ["rules.0.source: expected a text, got 5", () => ruleList([{ ...rule, source: bad.number }])],
      ["rules.0.fix: expected a text, got 5", () => ruleList([{ ...rule, fix: bad.number }])],
      [
        'rules.0.kind: "5" is not an option; the options are "multifunction", "accessory"',
        () => ruleList([{ ...rule, kind: bad.text }]),
      ],
      ["decoders: expected what can be iterated over, got 5", () => ruleList([], bad.number)],
      [
        "decoders.0: expected a decoder, as defineDecoder or decoderFromJson makes it, got {}",
        () => ruleList([], [bad.object]),
      ],
      ...[formatText, formatJson, formatGithub, formatSarif, formatJunit].flatMap(
        (format) =>
          [
            ["report: expected an object, got null", () => format(bad.null)],
            ["report.files.0: expected a text, got 5", () => format({ ...report, files: [bad.number] })],
            [
              "report.findings.0.fix: expected a text, got 5",
              () => format({ ...report, findings: [{ ...finding, fix: 5 } as never] }),
            ],
            ["report.strict: expected true or false, got 5", () => format({ ...report, strict: bad.number })],
            ["report.version: expected a text, got 5", () => format({ ...report, version: bad.number })],
            [
              'report.rules.0.severity: "5" is not an option; the options are "error", "warning", "note"',
              () => format({ ...report, rules: [{ ...rule, severity: bad.text }] }),
            ],
          ] as const,
      ),
      [
        "report.rules.0.name: expected a text, got 5",
        () => formatSarif({ ...report, rules: [{ ...rule, name: bad.number }] }),
      ],
      [
        "report.rules.0.summary: expected a text, got 5",
        () => formatSarif({ ...report, rules: [{ ...rule, summary: bad.number }] }),
      ],
      [
        "report.rules.0.source: expected a text, got 5",
        () => formatSarif({ ...report, rules: [{ ...rule, source: bad.number }] }),
      ],
      [
        "report.rules.0.fix: expected a text, got 5",
        () => formatSarif({ ...report, rules: [{ ...rule, fix: bad.number }] }),
      ],
      ["options: expected an object, got null", () => formatText(report, bad.null)],
      ["paint: expected a function, got 5", () => formatText(report, { paint: bad.number })],
      ["options: expected an object, got null", () => formatJunit(report, bad.null)],
      ["timestamp: expected a text, got 5", () => formatJunit(report, { timestamp: bad.number })],
      ["hostname: expected a text, got 5", () => formatJunit(report, { hostname: bad.number })],
    ];
    expect(rows.map(([, call]) => saidBy(call).join(" | "))).toEqual(rows.map(([said]) => said));
  });

  test("is refused by a fleet too, members of a list at once and those of a stream as they come", async () => {
    const said = async (members: unknown, options: object = {}) => {
      const findings: unknown[] = [];
      try {
        for await (const one of checkFleet(members as never, options)) findings.push(one);
      } catch (error) {
        return (error as Error).message;
      }
      return findings;
    };
    async function* stream(...all: unknown[]) {
      yield* all;
    }
    const rows: [string, unknown, object?][] = [
      ["members: expected what can be iterated over, got 5", 5],
      ["members.1: expected an object, got 5", [member, 5]],
      ["members.0.file: expected a text, got 5", [{ ...member, file: 5 }]],
      ["members.0.cvs: expected an object with CV numbers as keys, got 5", [{ ...member, cvs: 5 }]],
      [
        "members.0.decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got {}",
        [{ ...member, decoder: {} }],
      ],
      ["members.0.name: expected a text, got 5", [{ ...member, name: 5 }]],
      ["members.0.locate: expected a function, got 5", [{ ...member, locate: 5 }]],
      ["members.file: expected a text, got 5", stream(member, { ...member, file: 5 })],
      ["options: expected an object, got null", [], null as never],
      ["forWriting: expected true or false, got 5", [], { forWriting: 5 }],
      ["rules: expected a list of rules, got 5", [], { rules: 5 }],
      [
        "stopping.withinMm: expected a number above 0, got 0",
        [],
        { stopping: { withinMm: 0, topSpeedMmPerS: 1 } },
      ],
    ];
    const all: unknown[] = [];
    for (const [, members, options] of rows) all.push(await said(members, options));
    expect(all).toEqual(rows.map(([text]) => text));
  });
});
