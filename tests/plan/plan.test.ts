import { CvError, CvPatch, CvSet, messageOf } from "cvset";
import { type DecoderModel, type Plan, type PlanNote, type PlanOptions, plan, resume } from "cvset/plan";
import { describe, expect, test } from "vitest";
import { orderRules, sortGroups } from "../../src/plan/order-rules.js";

const writes = ({ steps }: Plan): string[] => steps.map(({ cv, value }) => `${cv}=${value}`);
const between = (
  from: Record<string, number>,
  to: Record<string, number>,
  options: PlanOptions = {},
): string[] => writes(plan(CvSet.from(from), CvSet.from(to), options));
const noted = ({ code, places = [] }: PlanNote): [code: string, cvs: string[]] => [
  code,
  places.map(({ cv }) => cv),
];
const issuesOf = (make: () => unknown): string[] => {
  try {
    make();
  } catch (error) {
    if (error instanceof CvError) return error.message.split("\n");
    throw error;
  }
  return [];
};

describe("what is written", () => {
  test("only what differs, and what nobody knows", () => {
    expect(between({ 2: 1, 3: 5 }, { 2: 1, 3: 6, 4: 7 })).toEqual(["3=6", "4=7"]);
    expect(between({ 2: 1 }, { 2: 1 })).toEqual([]);
    expect(between({ 50: 9 }, {})).toEqual([]);
  });

  test("everything, on request", () => {
    const cvs = { 2: 1, 15: 1, 16: 1, 17: 192, 18: 3, 29: 2, 31: 16, 32: 0, "300@16.0": 5 };
    expect(between(cvs, cvs, { all: true }).sort()).toEqual(
      Object.entries(cvs)
        .map(([cv, v]) => `${cv}=${v}`)
        .sort(),
    );
  });

  test("never CV 7 and 8, and no volatile CV: the notes say so", () => {
    const result = plan(CvSet.from({ 7: 1, 8: 13 }), CvSet.from({ 3: 1, 7: 2, 8: 8, 880: 1, 894: 5 }));
    expect(writes(result)).toEqual(["3=1"]);
    expect(result.notes.map(noted)).toEqual([
      ["read-only-left-out", ["7", "8"]],
      ["volatile-left-out", ["880", "894"]],
    ]);
    expect(plan(CvSet.from({ 8: 13 }), CvSet.from({ 8: 13 })).notes).toEqual([]);
  });

  test("the description's read-only CVs are left out too", () => {
    const decoder: DecoderModel = {
      kind: "multifunction",
      factory: CvSet.from({ 3: 0, 60: 1 }),
      readOnly: [60],
    };
    const result = plan(CvSet.empty, CvSet.from({ 3: 1, 60: 2 }), { decoder });
    expect([writes(result), result.notes.map((note) => noted(note)[1])]).toEqual([["3=1"], [["60"]]]);
  });

  test("a patch: whole bytes where the rest is known, else single bits", () => {
    const patch = CvPatch.from({ bits: [{ cv: "29", mask: 48, value: 32 }] });
    const known = plan(CvSet.from({ 29: 22 }), patch);
    expect(known.steps.map(({ cv, value, mask }) => [cv, value, mask])).toEqual([["29", 38, 255]]);
    const unknown = plan(CvSet.empty, patch);
    expect(unknown.toJSON().steps).toEqual([
      expect.objectContaining({ cv: "29", value: 32, mask: 48, packets: ["78 1C F4 90", "78 1C FD 99"] }),
    ]);
    expect(plan(CvSet.from({ 29: 34 }), patch).steps).toEqual([]);
  });
});

describe("order", () => {
  test("the standards' hazards, one after the other", () => {
    const from = { 1: 3, 2: 0, 15: 0, 16: 0, 17: 192, 18: 0, 19: 0, 29: 2, 31: 0, 32: 0, "300@16.0": 0 };
    const to = { 1: 9, 2: 5, 15: 1, 16: 1, 17: 196, 18: 210, 19: 32, 29: 34, 31: 0, 32: 0, "300@16.0": 7 };
    const steps = between(from, to);
    const at = (write: string): number => {
      expect(steps).toContain(write);
      return steps.indexOf(write);
    };
    expect(steps.slice(0, 2)).toEqual(["16=1", "15=1"]);
    expect(at("1=9")).toBeLessThan(at("19=32"));
    expect(at("1=9")).toBeLessThan(at("29=34"));
    expect(at("17=196")).toBeLessThan(at("18=210"));
    expect(steps.slice(at("31=16"), at("31=0") + 1)).toEqual(["31=16", "300@16.0=7", "31=0"]);
    expect(steps.at(-1)).toBe("29=34");
  });

  test("every step says why it stands where it stands", () => {
    const from = CvSet.from({ 1: 3, 17: 192, 18: 0, 29: 2, 31: 0, 32: 0 });
    const to = CvSet.from({ 1: 9, 3: 1, 17: 196, 18: 0, 29: 34, "300@16.0": 7 });
    const reasons = plan(from, to).steps.map(({ cv, reason }) => `${cv}: ${reason}`);
    for (const [cv, words] of [
      ["1:", "its value changes; before CV 29: writing CV 1 clears"],
      ["3:", "its present value is not known; no rule of order applies to it"],
      ["17:", "before CV 18: CV 17 and 18 are one address"],
      ["17:", "before CV 29: CV 29 chooses the address"],
      ["18:", "written again with the same value; after CV 17: CV 17 and 18 are one address"],
      ["31:", "selects index page 16.0 for 1 CV; before CV 300@16.0: CV 31 and 32 select the page"],
      ["300@16.0:", "after CV 31: CV 31 and 32 select the page"],
      ["29:", "after CV 1: writing CV 1 clears"],
      ["29:", "after CV 17 and CV 18: CV 29 chooses the address"],
    ] as const) {
      expect(reasons.find((reason) => reason.startsWith(cv))).toContain(words);
    }
    expect(reasons.map((reason) => reason.split(": ")[0])).toEqual(
      ["1", "3", "17", "18", "31", "300@16.0", "31", "29"], // biome-ignore format: one line
    );
    expect(reasons[6]).toMatch(
      /^31: its value changes; after CV 300@16\.0: pages are selected by CV 31 and 32/,
    );
  });

  test("a CV that is known to be 0 is known", () => {
    const [step] = plan(CvSet.from({ 3: 0 }), CvSet.from({ 3: 5 })).steps;
    expect([step?.was, step?.need, step?.reason]).toEqual([
      0,
      "differs",
      "its value changes; no rule of order applies to it",
    ]);
    const [other] = plan(CvSet.from({ 4: 0 }), CvSet.from({ 3: 5 })).steps;
    expect([other?.was, other?.need]).toEqual([undefined, "unknown"]);
    expect(plan(CvSet.from({ 3: 0 }), CvSet.from({ 3: 0 })).steps).toEqual([]);
    // Of bits too: with the rest known, the whole byte is written, in any mode.
    const bits = CvPatch.from({ bits: [{ cv: "50", mask: 6, value: 4 }] });
    const [whole] = plan(CvSet.from({ 50: 0 }), bits, { mode: "paged" }).steps;
    expect([whole?.value, whole?.mask]).toEqual([4, 255]);
  });

  test("CV 18 follows CV 17 even when it stays; CV 18 alone needs no CV 17", () => {
    expect(between({ 17: 192, 18: 5 }, { 17: 193, 18: 5 })).toEqual(["17=193", "18=5"]);
    expect(between({ 17: 192, 18: 5 }, { 17: 192, 18: 6 })).toEqual(["18=6"]);
  });

  test("what writing CV 1 clears is put back, and nothing more", () => {
    expect(between({ 1: 3, 19: 5, 29: 38 }, { 1: 9 })).toEqual(["1=9", "19=5", "29=38"]);
    expect(between({ 1: 3, 19: 0, 29: 6 }, { 1: 9 })).toEqual(["1=9"]);
    const unknown = plan(CvSet.from({ 1: 3 }), CvSet.from({ 1: 9 }));
    expect(unknown.notes.map(noted)).toEqual([["cleared-by-cv-1", ["29", "19"]]]);
    const half = CvPatch.from({ cvs: { 1: 9 }, bits: [{ cv: "29", mask: 1, value: 1 }] });
    expect(plan(CvSet.from({ 19: 0 }), half).notes.map((note) => noted(note)[1])).toEqual([["29"]]);
    const turned = CvPatch.from({ cvs: { 1: 9 }, bits: [{ cv: "19", mask: 128, value: 128 }] });
    expect(plan(CvSet.from({ 29: 6 }), turned).notes.map((note) => noted(note)[1])).toEqual([["19"]]);
    expect(plan(CvSet.from({ 29: 6, 19: 5 }), turned).notes).toEqual([]);
    expect(between({ 1: 3, 9: 0, 19: 5, 29: 166 }, { 1: 9 })).toEqual(["1=9"]);
  });

  test("rules that contradict each other are found out", () => {
    const rule = orderRules.find(({ id }) => id === "pair");
    if (!rule) throw new Error("no such rule");
    const back = { ...rule, first: rule.later, later: rule.first };
    expect(() => sortGroups(["extended-high", "extended-low"], [rule, back])).toThrow("contradict");
  });
});

describe("decoder lock (S-9.2.2, July 2012, CV 15 and 16)", () => {
  test.each([
    // Locked before and after: opened for the work.
    [{ 2: 0, 15: 1, 16: 2 }, { 2: 5 }, ["15=2", "2=5", "15=1"]],
    // To be opened for good.
    [{ 2: 0, 15: 1, 16: 2 }, { 2: 5, 15: 2 }, ["15=2", "2=5"]],
    // To be locked.
    [{ 2: 0, 15: 2, 16: 2 }, { 2: 5, 15: 1 }, ["2=5", "15=1"]],
    // A new number, open at the end: at the beginning.
    [{ 2: 0, 15: 0, 16: 0 }, { 2: 5, 15: 3, 16: 3 }, ["16=3", "15=3", "2=5"]],
    [{ 2: 0, 15: 1, 16: 0 }, { 2: 5, 15: 3, 16: 3 }, ["15=0", "16=3", "15=3", "2=5"]],
    // A new number, locked at the end: at the end.
    [{ 2: 0, 15: 0, 16: 0 }, { 2: 5, 15: 0, 16: 3 }, ["2=5", "16=3"]],
    [{ 2: 0, 15: 0, 16: 0 }, { 2: 5, 15: 1, 16: 3 }, ["2=5", "16=3", "15=1"]],
    // Nothing else to do.
    [{ 15: 1, 16: 2 }, { 15: 0 }, ["15=0"]],
    [{ 15: 1, 16: 2 }, { 15: 1 }, []],
    // Unknown: the number first, so that either an open decoder or one with that number obeys.
    [{}, { 2: 5, 15: 2, 16: 2 }, ["16=2", "15=2", "2=5"]],
    [{}, { 2: 5, 16: 2 }, ["16=2", "15=2", "2=5"]],
  ])("%o to %o", (from, to, expected) => {
    const steps = between(from as Record<string, number>, to);
    expect(steps).toEqual(expected);
  });

  test("what is not known is said", () => {
    const lock = (from: Record<string, number>, to: Record<string, number>) =>
      plan(CvSet.from(from), CvSet.from(to))
        .notes.map(noted)
        .flatMap(([code, cvs]) => (code === "lock-unknown" ? cvs : []));
    expect(lock({}, { 2: 5 })).toEqual([]);
    expect(lock({ 15: 1 }, { 2: 5 })).toEqual(["16"]);
    expect(lock({}, { 2: 5, 16: 1 })).toEqual(["15", "16"]);
    expect(lock({ 15: 1, 16: 1 }, { 2: 5 })).toEqual([]);
  });
});

describe("index pages (S-9.2.2, July 2012, CV 31 and 32)", () => {
  test("each page once, beginning where the index stands, left as the target wants it", () => {
    const from = { 31: 17, 32: 1 };
    const to = { 31: 40, 32: 0, "300@16.1": 1, "301@17.1": 2, "300@17.1": 3, "300@17.5": 4 };
    expect(between(from, to)).toEqual([
      "300@17.1=3",
      "301@17.1=2",
      "32=5",
      "300@17.5=4",
      "31=16",
      "32=1",
      "300@16.1=1",
      "31=40",
      "32=0",
    ]);
  });

  test("left where it was when the target does not care; said when nobody knows", () => {
    expect(between({ 31: 16, 32: 3 }, { "300@16.0": 1 })).toEqual(["32=0", "300@16.0=1", "32=3"]);
    const unknown = plan(CvSet.empty, CvSet.from({ "300@16.0": 1 }));
    expect(writes(unknown)).toEqual(["31=16", "32=0", "300@16.0=1"]);
    expect(unknown.notes.map(noted)).toEqual([["index-left", ["31", "32"]]]);
  });

  test("CV 257-512 without a page belong to the page that the set selects", () => {
    const result = plan(CvSet.from({ 31: 16, 32: 0, 300: 1 }), CvSet.from({ 31: 16, 32: 0, 300: 1, 301: 2 }));
    expect(writes(result)).toEqual(["301@16.0=2"]);
    expect(result.notes.map(noted)).toEqual([["on-selected-page", ["300", "301"]]]);
    expect(between({ 31: 16, 32: 0, "300@16.0": 1 }, { 300: 1, 301: 2 })).toEqual(["301@16.0=2"]);
  });

  test("without any page known they come first, as they are", () => {
    const result = plan(CvSet.empty, CvSet.from({ 2: 1, 300: 5, "300@16.0": 6 }));
    expect(writes(result)).toEqual(["2=1", "300=5", "31=16", "32=0", "300@16.0=6"]);
    expect(result.notes.map(({ code, severity }) => [code, severity])).toContainEqual([
      "page-unknown",
      "warning",
    ]);
  });

  test("the same CV with and without its page must be the same", () => {
    const both = { 31: 16, 32: 0, 300: 5, "300@16.0": 6 };
    expect(issuesOf(() => between({}, both))).toEqual([
      "CV 300@16.0: given with and without its page, with two values: 5 and 6",
    ]);
    const bits = CvPatch.from({
      bits: [
        { cv: "300", mask: 1, value: 1 },
        { cv: "300@16.0", mask: 6, value: 4 },
      ],
    });
    const { steps } = plan(CvSet.from({ 31: 16, 32: 0 }), bits);
    expect(steps.map(({ cv, mask, value }) => [cv, mask, value])).toEqual([["300@16.0", 7, 5]]);
    expect(between({}, { ...both, 300: 6 })).toEqual(["31=16", "32=0", "300@16.0=6"]);
  });
});

describe("on the main (S-9.2.1, July 2012)", () => {
  const main = { mode: "main" } as const;

  test("the packets of the standard's layout", () => {
    const result = plan(CvSet.from({ 29: 38 }), CvSet.from({ 29: 34 }), { ...main, address: 1234 });
    expect(result.steps.map(({ packets }) => packets)).toEqual([["C4 D2 EC 1C 22 C4"]]);
    expect(result.steps[0]?.answersTo).toBeUndefined();
  });

  test("addresses are changed only when asked for, and each is named", () => {
    const from = CvSet.from({ 1: 3, 17: 192, 18: 0, 19: 0, 29: 2 });
    const to = CvSet.from({ 1: 4, 2: 9, 17: 196, 18: 210, 19: 5 });
    const issues = issuesOf(() => plan(from, to, main));
    expect(issues.map((line) => line.slice(0, 30))).toEqual(
      [1, 17, 18, 19].map((cv) => `CV ${cv}: holds an address, which is`.slice(0, 30)),
    );
    const asked = writes(plan(from, to, { ...main, changeAddress: true }));
    expect(asked).toEqual(["2=9", "1=4", "17=196", "18=210", "19=5"]);
  });

  test("the steps say whom to talk to, and when that changes", () => {
    const from = CvSet.from({ 1: 3, 2: 0, 17: 192, 18: 0, 29: 2 });
    const to = CvSet.from({ 1: 9, 2: 1, 17: 196, 18: 210, 29: 34 });
    const result = plan(from, to, { ...main, changeAddress: true });
    const primary = (number: number) => ({ kind: "primary", number });
    expect(result.steps.map(({ cv, address, answersTo }) => [cv, address, answersTo])).toEqual([
      ["2", primary(3), undefined],
      ["1", primary(3), primary(9)],
      ["17", primary(9), undefined],
      ["18", primary(9), undefined],
      ["29", primary(9), { kind: "extended", number: 1234 }],
    ]);
    expect(result.notes.map(noted)).toEqual([
      ["cleared-by-cv-1", ["19"]],
      ["address-changes", ["1", "29"]],
    ]);
    expect(result.notes.map((note) => messageOf(note))[1]).toContain(
      "at the end the decoder answers to extended address 1234",
    );
  });

  describe("S-9.2.3 (July 2012), section E: CV 1, written using any method, clears CV 19 and CV 29 bit 5", () => {
    const change = { ...main, changeAddress: true } as const;
    const sent = ({ steps }: Plan) =>
      steps.map(({ cv, value, mask, need, address }) => [
        `${cv}=${value}${mask === 255 ? "" : `/${mask}`}`,
        need,
        address?.kind === "primary" || address?.kind === "extended" ? address.number : address,
      ]);

    test("both are written again, where they are not empty", () => {
      expect(sent(plan(CvSet.from({ 1: 3, 19: 5, 29: 2 }), CvSet.from({ 1: 4 }), change))).toEqual([
        ["1=4", "differs", 3],
        ["19=5", "again", 4],
      ]);
      expect(sent(plan(CvSet.from({ 1: 3, 19: 0, 29: 2 }), CvSet.from({ 1: 4 }), change))).toEqual([
        ["1=4", "differs", 3],
      ]);
    });

    test("with the extended address in use, to the addresses of both kinds of decoders", () => {
      const from = CvSet.from({ 1: 3, 17: 196, 18: 210, 19: 5, 29: 34 });
      const made = plan(from, CvSet.from({ 1: 4 }), change);
      expect(sent(made)).toEqual([
        ["1=4", "differs", 1234],
        ["19=5", "again", 1234],
        ["19=5", "either", 4],
        ["29=34", "again", 1234],
        ["29=34", "either", 4],
      ]);
      expect(made.steps.at(-1)?.answersTo).toEqual({ kind: "extended", number: 1234 });
      expect(made.notes.map(noted)).toContainEqual(["either-address", ["19", "29"]]);
      expect(made.steps.at(-1)?.reason).toContain("sent to the address that the decoder has if");
      expect(made.estimates.direct?.packets).toBe(20 + 3 * 14);
    });

    test("the address in use shows bit 5 of CV 29, where that is not known", () => {
      const made = plan(CvSet.from({ 19: 0 }), CvSet.from({ 1: 4 }), { ...change, address: 1234 });
      expect(sent(made)).toEqual([
        ["1=4", "unknown", 1234],
        ["29=32/32", "again", 1234],
        ["29=32/32", "either", 4],
      ]);
      const patch = CvPatch.from({ cvs: { 1: 4 }, bits: [{ cv: "29", mask: 1, value: 1 }] });
      expect(sent(plan(CvSet.from({ 19: 0 }), patch, { ...change, address: 1234 })).slice(1)).toEqual([
        ["29=33/33", "unknown", 1234],
        ["29=33/33", "either", 4],
      ]);
      expect(sent(plan(CvSet.from({ 19: 0 }), patch, { ...change, address: 3 })).slice(1)).toEqual([
        ["29=1/1", "unknown", 4],
      ]);
    });

    test("without a primary address to fall back on there is no plan", () => {
      const from = CvSet.from({ 1: 3, 17: 196, 18: 210, 19: 0, 29: 34 });
      expect(issuesOf(() => plan(from, CvSet.from({ 1: 0 }), change))).toEqual([
        "address: the address that the decoder has when CV 29 is to be written cannot be known",
      ]);
    });
  });

  test("bits of CV 1 and of CV 29 that change the address: whole bytes or a refusal", () => {
    const change = { ...main, changeAddress: true } as const;
    const bits = (cv: string, mask: number, value: number) => CvPatch.from({ bits: [{ cv, mask, value }] });
    expect(issuesOf(() => plan(CvSet.empty, bits("1", 15, 5), { ...change, address: 3 }))[0]).toContain(
      "CV 1 bits 4-7: not known",
    );
    expect(writes(plan(CvSet.from({ 1: 3, 19: 0, 29: 2 }), bits("1", 15, 5), change))).toEqual(["1=5"]);
    const accessory = { ...change, kind: "accessory", address: 5 } as const;
    expect(issuesOf(() => plan(CvSet.empty, bits("9", 1, 1), accessory))[0]).toContain("CV 9 bits 1-7");
    // Direct mode reaches the decoder whatever its address is.
    expect(plan(CvSet.empty, bits("1", 15, 5)).steps.length).toBe(1);
    // Of an accessory decoder's CV 29 the bit that changes the address goes last.
    const [step] = plan(CvSet.empty, bits("29", 0b1100_0001, 0b1100_0001), accessory).steps;
    expect(step?.packets.map((packet) => packet.slice(-5, -3))).toEqual(["F8", "FF", "FE"]);
  });

  test("CV 29 bit 5 changes the address, and needs changeAddress as CV 1 does", () => {
    const needed = [expect.stringContaining("CV 29 bit 5: chooses the address in use")];
    const from = CvSet.from({ 1: 3, 17: 196, 18: 210, 29: 2 });
    expect(issuesOf(() => plan(from, CvSet.from({ 29: 34 }), main))).toEqual(needed);
    expect(writes(plan(from, CvSet.from({ 29: 3 }), main))).toEqual(["29=3"]);
    const unknown = (value: number, address: number) =>
      issuesOf(() => plan(CvSet.empty, CvSet.from({ 29: value }), { ...main, address }));
    expect([unknown(34, 3), unknown(2, 1234)]).toEqual([needed, needed]);
    expect([unknown(2, 3), unknown(34, 1234)]).toEqual([[], []]);
    const accessory = CvSet.from({ 1: 5, 9: 2, 29: 128 });
    for (const value of [160, 192, 224]) {
      expect(issuesOf(() => plan(accessory, CvSet.from({ 29: value }), main))).toEqual([
        expect.stringContaining("CV 29 bits 5-6: chooses the address in use"),
      ]);
    }
    expect(writes(plan(accessory, CvSet.from({ 29: 136 }), main))).toEqual(["29=136"]);
  });

  test("accessory: the aliases CV 513-541 are CV 1-29 (S-9.2.2, July 2012, Table 3)", () => {
    const from = CvSet.from({ 513: 5, 515: 0, 521: 2, 541: 128 });
    const onMain = { ...main, kind: "accessory" } as const;
    expect(issuesOf(() => plan(from, CvSet.from({ 513: 6 }), onMain))[0]).toContain(
      "CV 513: holds an address",
    );
    expect(issuesOf(() => plan(from, CvSet.from({ 541: 160 }), onMain))[0]).toContain(
      "CV 541 bits 5-6: chooses",
    );
    const moved = plan(from, CvSet.from({ 513: 6, 515: 1, 521: 1 }), { ...onMain, changeAddress: true });
    expect(moved.steps.map(({ cv, address }) => [cv, address])).toEqual([
      ["515", { kind: "accessory", number: 133 }],
      ["513", { kind: "accessory", number: 133 }],
      ["521", { kind: "accessory", number: 134 }],
    ]);
  });

  test("the accessory broadcast address is not the address of one decoder (S-9.2.1, July 2012)", () => {
    const to = CvSet.from({ 3: 5 });
    const refused = "address: accessory decoder address 511 cannot be the address of one decoder";
    expect(issuesOf(() => plan(CvSet.from({ 1: 63, 9: 7, 29: 128 }), to, main))).toEqual([refused]);
    const given = { ...main, kind: "accessory" } as const;
    expect(issuesOf(() => plan(CvSet.empty, to, { ...given, address: 511 }))).toEqual([refused]);
    for (const address of [
      { kind: "accessory-output", number: 2044 },
      { kind: "extended-accessory", number: 2047 },
      { kind: "broadcast", to: "accessory" },
    ] as const) {
      expect(issuesOf(() => plan(CvSet.empty, to, { ...given, address }))[0]).toContain(
        "cannot be the address",
      );
    }
    const from = CvSet.from({ 1: 5, 9: 7, 29: 128 });
    expect(plan(from, CvSet.from({ 1: 63 })).notes.map(noted)).toEqual([
      ["broadcast-address", ["1", "9", "29"]],
    ]);
    // CV 9 after CV 1 would go to all.
    const both = CvSet.from({ 1: 63, 9: 6 });
    expect(issuesOf(() => plan(from, both, { ...main, changeAddress: true }))).toEqual([
      "address: when CV 9 is to be written, the decoder has accessory decoder address 511, to which all accessory decoders answer",
    ]);
  });

  test("an output address is read in one of two ways, which a note says (S-9.2.2, July 2012, CV 1)", () => {
    const notes = (cvs: Record<number, number>) =>
      plan(CvSet.from(cvs), CvSet.from({ 3: 5 }), main).notes.map(({ code, severity }) => [code, severity]);
    const note = ["output-address-reading", "warning"];
    expect(notes({ 1: 1, 9: 0, 29: 192 })).toEqual([note]);
    expect(notes({ 1: 1, 9: 0, 29: 224 })).toEqual([note]);
    expect([notes({ 1: 1, 9: 0, 29: 128 }), notes({ 1: 1, 9: 0, 29: 160 })]).toEqual([[], []]);
  });

  test("a long address in use changes with CV 18", () => {
    const from = CvSet.from({ 17: 196, 18: 210, 29: 34 });
    const result = plan(from, CvSet.from({ 17: 197, 18: 210 }), { ...main, changeAddress: true });
    expect(result.steps.map(({ answersTo }) => answersTo)).toEqual([
      undefined,
      { kind: "extended", number: 1490 },
    ]);
  });

  test("an address is needed, must be valid, and not the consist's", () => {
    const to = CvSet.from({ 2: 1 });
    expect(issuesOf(() => plan(CvSet.empty, to, main))).toEqual([
      "address: the decoder's address is needed on the main, and CV 1, 17, 18, 29 do not give it",
    ]);
    for (const address of [0, 10240, 1.5]) {
      expect(issuesOf(() => plan(CvSet.empty, to, { ...main, address }))[0]).toContain(
        address === 1.5 ? "expected a whole number from 1 to 10239" : "allowed is 1 to 10239",
      );
    }
    expect(
      issuesOf(() => plan(CvSet.from({ 1: 3, 19: 160, 29: 2 }), to, { ...main, address: 32 }))[0],
    ).toContain("address: 32 is the address of the decoder's consist, where it obeys no CV access");
    expect(plan(CvSet.from({ 1: 32, 19: 32, 29: 2 }), to, { ...main, address: 32 }).steps.length).toBe(1);
  });

  test("an unknown CV 19 makes no consist address", () => {
    expect(plan(CvSet.empty, CvSet.from({ 2: 1 }), { ...main, address: 127 }).steps.length).toBe(1);
  });

  test("other bits of CV 29 leave the address as it is", () => {
    const patch = CvPatch.from({ bits: [{ cv: "29", mask: 1, value: 1 }] });
    const { steps, notes } = plan(CvSet.empty, patch, { ...main, address: 1234 });
    expect([steps[0]?.packets, steps[0]?.answersTo, notes]).toEqual([["C4 D2 E8 1C F8 1A"], undefined, []]);
  });

  test("an address that contradicts the contents is said", () => {
    const result = plan(CvSet.from({ 1: 3, 29: 2 }), CvSet.from({ 2: 1 }), { ...main, address: 4 });
    expect(result.notes.map((note) => messageOf(note))).toEqual([
      "CV 1, CV 17, CV 18, CV 29: give primary address 3, but the packets go to primary address 4",
    ]);
  });

  test("a step whose address nobody can know is refused", () => {
    const from = CvSet.from({ 1: 3, 15: 1, 16: 2, 29: 2 });
    const to = CvSet.from({ 29: 34 });
    const change = { ...main, changeAddress: true } as const;
    expect(issuesOf(() => plan(from, to, change))).toEqual([
      "address: the address that the decoder has when CV 15 is to be written cannot be known",
    ]);
    expect(plan(CvSet.from({ 1: 3, 29: 2 }), to, change).steps[0]?.answersTo).toBe("unknown");
  });

  test("accessory decoders: two address bytes, CV 1 and 9 only when asked for", () => {
    const from = CvSet.from({ 1: 5, 3: 0, 9: 2, 29: 128 });
    const result = plan(from, CvSet.from({ 3: 5 }), main);
    expect(result.kind).toBe("accessory");
    expect(result.steps[0]?.packets).toEqual(["85 D0 EC 02 05 BE"]);
    expect(issuesOf(() => plan(from, CvSet.from({ 1: 6, 9: 1 }), main)).length).toBe(2);
    const moved = plan(from, CvSet.from({ 1: 6, 3: 1, 9: 1 }), { ...main, changeAddress: true });
    expect(moved.steps.map(({ cv, address, answersTo }) => [cv, address, answersTo])).toEqual([
      ["3", { kind: "accessory", number: 133 }, undefined],
      ["1", { kind: "accessory", number: 133 }, { kind: "accessory", number: 134 }],
      ["9", { kind: "accessory", number: 134 }, { kind: "accessory", number: 70 }],
    ]);
    const given = plan(CvSet.empty, CvSet.from({ 3: 5 }), { ...main, kind: "accessory", address: 133 });
    expect(given.steps[0]?.packets).toEqual(["85 D0 EC 02 05 BE"]);
  });
});

describe("factory reset (S-9.2.3, July 2012, section E)", () => {
  const decoder: DecoderModel = { kind: "multifunction", factory: CvSet.from({ 1: 3, 2: 10, 8: 13, 29: 6 }) };

  test("a step of its own, with its warning and its pause, before all others", () => {
    const result = plan(CvSet.from({ 2: 50 }), CvSet.from({ 1: 3, 2: 50 }), { decoder, factoryReset: true });
    expect(writes(result)).toEqual(["8=8", "2=50"]);
    expect(result.steps[0]?.packets).toEqual(["7F 08 77"]);
    expect(result.steps[0]?.pause).toMatchObject({ powerCycle: true, seconds: 2 });
    expect(result.steps[0]?.pause?.warning).toContain("factory value");
    // CV 8 holds 255 until all CVs are back.
    expect(result.toJSON().steps[0]?.pause?.busy).toEqual({ operation: "verify", cv: 8, value: 255 });
  });

  test("without a description everything that is wanted is written after it", () => {
    expect(between({ 2: 50, 3: 1 }, { 2: 50, 3: 1 }, { factoryReset: true })).toEqual(["8=8", "2=50", "3=1"]);
  });

  test("a decoder that is locked may not hear of it, which is said", () => {
    const notes = (from: Record<number, number>, kind: "multifunction" | "accessory" = "multifunction") =>
      plan(CvSet.from(from), CvSet.from({ 3: 1 }), { factoryReset: true, kind }).notes.map((note) =>
        messageOf(note),
      );
    expect(notes({ 15: 1, 16: 2 })).toEqual([
      "CV 15, CV 16: the decoder is locked, and may ignore the factory reset; write CV 15 = 2 before (S-9.2.2 (July 2012), CV 15 and 16)",
    ]);
    expect(notes({ 15: 2, 16: 2 })).toEqual([]);
    expect(notes({ 16: 2 })).toEqual([]);
    expect(notes({ 15: 1, 16: 2 }, "accessory")).toEqual([]);
  });

  test("not on the main, and not by chance", () => {
    const options = { mode: "main", address: 3, factoryReset: true } as const;
    expect(issuesOf(() => between({}, { 2: 1 }, options))[0]).toContain("service mode");
    expect(between({ 8: 13 }, { 8: 8 }, { all: true })).toEqual([]);
  });
});

describe("what stands in the way is told all at once, before any packet", () => {
  test("a CV that the mode cannot reach", () => {
    expect(issuesOf(() => between({}, { 1: 3, 5: 1, "300@16.0": 2 }, { mode: "register" }))).toEqual([
      "CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      "CV 300@16.0: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
    ]);
    expect(issuesOf(() => between({ 1: 3, 29: 34, 19: 0 }, { 1: 4 }, { mode: "address-only" }))).toEqual([
      "CV 29: address-only mode does not reach this CV, only CV 1; use direct or paged mode (S-9.2.3 (July 2012), section E)",
    ]);
    expect(issuesOf(() => between({ 2: 0, 15: 1, 16: 2 }, { 2: 4 }, { mode: "register" }))[0]).toContain(
      "CV 15: register mode does not reach this CV",
    );
  });

  test("a CV that the decoder does not have", () => {
    const decoder: DecoderModel = { kind: "multifunction", factory: CvSet.from({ 3: 0, "300@16.0": 1 }) };
    expect(issuesOf(() => between({}, { 3: 1, 99: 1, "301@16.0": 2 }, { decoder }))).toEqual([
      "CV 99: this decoder does not have this CV",
      "CV 301@16.0: this decoder does not have this CV",
    ]);
    expect(between({ 99: 1 }, { 3: 1, 99: 1 }, { decoder })).toEqual(["3=1"]);
  });

  test("CVs outside the description: refused, left out, or written all the same", () => {
    const decoder: DecoderModel = { kind: "multifunction", factory: CvSet.from({ 3: 0 }) };
    const to = CvSet.from({ 3: 1, 99: 1 });
    const made = (undescribed: NonNullable<PlanOptions["undescribed"]>) =>
      plan(CvSet.empty, to, { decoder, undescribed });
    expect(issuesOf(() => made("refuse"))).toEqual(["CV 99: this decoder does not have this CV"]);
    expect([writes(made("leave-out")), made("leave-out").notes.map((note) => messageOf(note))]).toEqual([
      ["3=1"],
      ["CV 99: not in the description of the decoder, and not written"],
    ]);
    expect([
      writes(made("write")),
      made("write").notes.map(({ code, severity }) => [code, severity]),
    ]).toEqual([["3=1", "99=1"], [["undescribed-written", "warning"]]]);
    expect(issuesOf(() => made("pass" as "write"))[0]).toContain('undescribed: "pass" is not an option');
  });

  test("a decoder with index pages has CV 31 and 32, named or not: its own plan can be resumed", () => {
    const decoder: DecoderModel = { kind: "multifunction", factory: CvSet.from({ 3: 0, "300@16.0": 1 }) };
    const made = plan(CvSet.empty, CvSet.from({ 3: 1, "300@16.0": 2 }), { decoder });
    expect(writes(made)).toEqual(["3=1", "31=16", "32=0", "300@16.0=2"]);
    const rest = resume(made, CvSet.from({ 3: 1, 31: 16, 32: 0 }), { decoder });
    expect(writes(rest)).toEqual(["300@16.0=2"]);
    expect(between({}, { 31: 16, 32: 0 }, { decoder })).toEqual(["31=16", "32=0"]);
  });

  test("bits of CV 15, 16, 31 and 32 are written, as whole bytes", () => {
    const bits = (cv: string, mask: number, value: number) => CvPatch.from({ bits: [{ cv, mask, value }] });
    expect(writes(plan(CvSet.from({ 31: 0 }), bits("31", 1, 1)))).toEqual(["31=1"]);
    expect(writes(plan(CvSet.from({ 32: 8 }), bits("32", 1, 1)))).toEqual(["32=9"]);
    expect(writes(plan(CvSet.from({ 15: 2, 16: 2 }), bits("15", 1, 1)))).toEqual(["15=3"]);
    expect(writes(plan(CvSet.from({ 15: 2, 16: 2 }), bits("16", 1, 1)))).toEqual(["16=3"]);
    expect(writes(plan(CvSet.from({ 31: 1 }), bits("31", 1, 1)))).toEqual([]);
    expect(writes(plan(CvSet.from({ 31: 1 }), bits("31", 1, 1), { all: true }))).toEqual(["31=1"]);
    for (const cv of ["15", "16", "31", "32"]) {
      expect(issuesOf(() => plan(CvSet.empty, bits(cv, 1, 1)))[0]).toContain(`CV ${cv} bits 1-7: not known`);
    }
  });

  test("bits that nobody knows, where single bits cannot be written", () => {
    const patch = CvPatch.from({ bits: [{ cv: "60", mask: 1, value: 1 }] });
    for (const mode of ["paged", "register", "address-only"] as const) {
      expect(issuesOf(() => plan(CvSet.empty, patch, { mode })).at(-1)).toContain(
        "CV 60 bits 1-7: not known",
      );
    }
    const lock = CvPatch.from({ bits: [{ cv: "16", mask: 1, value: 1 }] });
    expect(issuesOf(() => plan(CvSet.empty, lock))[0]).toContain("CV 16 bits 1-7: not known");
  });

  test("addresses out of range", () => {
    expect(issuesOf(() => between({}, { 1: 128, 17: 191, 18: 0 }))).toEqual([
      "CV 1: 128 is out of range; allowed is 0 to 127 (S-9.2.2 (July 2012), CV 1)",
      "CV 17: 191 is out of range; allowed is 192 to 231 (S-9.2.2 (July 2012), CV 17 and 18)",
    ]);
    expect(between({ 9: 0, 29: 128 }, { 1: 200 })).toEqual(["1=200"]);
  });

  test("an address that address-only mode has no room for", () => {
    const options = { mode: "address-only", kind: "accessory" } as const;
    expect(issuesOf(() => between({}, { 1: 200 }, options))).toEqual([
      "CV 1: 200 is out of range; allowed is 0 to 127 (S-9.2.3 (July 2012), section E)",
    ]);
    expect(between({}, { 1: 127 }, options)).toEqual(["1=127"]);
  });

  test("half an address", () => {
    expect(issuesOf(() => between({}, { 17: 196 }))[0]).toContain("CV 18: not known, but to be written");
  });

  test("a mode that is none, or that the decoder does not know", () => {
    const decoder: DecoderModel = { kind: "multifunction", factory: CvSet.from({ 3: 0 }), modes: ["paged"] };
    expect(issuesOf(() => between({}, { 3: 1 }, { decoder }))[0]).toContain(
      'mode: "direct" is not an option; the options are "paged"',
    );
    const options = JSON.parse('{ "mode": "dircet" }') as PlanOptions;
    expect(issuesOf(() => between({}, { 3: 1 }, options))[0]).toContain('"dircet" is not an option');
  });
});

describe("a plan is JSON", () => {
  test("with the keys that other programs rely on", () => {
    const json = JSON.parse(JSON.stringify(plan(CvSet.from({ 17: 192, 18: 210 }), CvSet.from({ 17: 196 }))));
    expect(json.steps[0]).toEqual({
      cv: "17",
      value: 196,
      was: 192,
      reason: expect.stringMatching(/^its value changes; before CV 18: CV 17 and 18 are one address, /),
      packets: ["7C 10 C4 A8"],
    });
    expect(Object.keys(json)).toEqual(["mode", "kind", "steps", "notes", "estimates"]);
  });

  test("from it, and from what was read back, the rest is planned after an interruption", () => {
    const from = CvSet.from({ 1: 3, 2: 0, 17: 192, 18: 0, 29: 2, 31: 0, 32: 0, "300@16.0": 0 });
    const to = CvSet.from({ 2: 5, 17: 196, 18: 210, 29: 34, "300@16.0": 7 });
    const whole = JSON.parse(JSON.stringify(plan(from, to)));
    const readBack = from.with(2, 5).with(31, 16);
    const rest = resume(whole, readBack);
    expect(writes(rest)).toEqual(["17=196", "18=210", "300@16.0=7", "31=0", "29=34"]);
    expect(writes(resume(whole, CvSet.from({ ...from.toJSON(), ...to.toJSON() })))).toEqual([]);
    // What was not read is written again.
    expect(writes(resume(whole, readBack.without(2)))).toContain("2=5");
    const reset = plan(CvSet.empty, CvSet.from({ 2: 5 }), { factoryReset: true, mode: "paged" });
    const again = resume(reset, CvSet.from({ 2: 6 }));
    expect([again.mode, writes(again)]).toEqual(["paged", ["2=5"]]);
    // A factory reset is not repeated, whatever the options say.
    expect(writes(resume(reset, CvSet.from({ 2: 6 }), { factoryReset: true }))).toEqual(["2=5"]);
  });
});
