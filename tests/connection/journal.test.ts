import { CvSet } from "cvset";
import { carryOut, simulatedConnection, takeUp } from "cvset/connection";
import { plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import { describe, expect, test } from "vitest";
import { Knowledge } from "../../src/connection/knowledge.js";

const factory = CvSet.from({ 1: 3, 3: 5, 4: 5, 19: 7, 29: 38, 31: 16, 32: 0, "300@16.0": 1, "300@16.1": 1 });
const model = { kind: "multifunction" as const, factory };

/** The lines of a run that was broken off, and the decoder as it is then. */
async function brokenOff(): Promise<{ readonly lines: string[]; readonly decoder: SimulatedDecoder }> {
  const decoder = new SimulatedDecoder(model);
  const lines: string[] = [];
  const cut = simulatedConnection(decoder, { powerCutAt: 4 });
  const made = plan(factory, CvSet.from({ 3: 8, 4: 6 }));
  const { done } = await carryOut(made, cut, { journal: (line) => void lines.push(line), pause: 0 });
  expect(done).toBe("stopped");
  return { lines, decoder };
}

describe("a journal whose last line was cut off in the middle", () => {
  test.each([
    ["as lines", (lines: string[]) => lines],
    ["as one text", (lines: string[]) => lines.join("\n")],
    ["as one text with line ends behind", (lines: string[]) => `${lines.join("\n")}\n\n`],
  ])("is taken up, %s", async (_, asGiven) => {
    const { lines, decoder } = await brokenOff();
    const cutOff = [...lines.slice(0, -1), (lines.at(-1) as string).slice(0, 5)];
    const { done } = await takeUp(asGiven(cutOff), simulatedConnection(decoder));
    expect([done, decoder.cvs.get(3), decoder.cvs.get(4)]).toEqual(["proved", 8, 6]);
  });

  test("is refused where something comes after that line", async () => {
    const { lines, decoder } = await brokenOff();
    const broken = [...lines.slice(0, 2), "{ half", ...lines.slice(2)];
    const before = decoder.cvs;
    await expect(takeUp(broken, simulatedConnection(decoder))).rejects.toThrow(/line 3\b/);
    expect(decoder.cvs.equals(before)).toBe(true);
  });

  test("is none without a beginning", async () => {
    const { lines, decoder } = await brokenOff();
    for (const none of [[], [""], lines.slice(1)])
      await expect(takeUp(none, simulatedConnection(decoder))).rejects.toThrow(/journal/);
  });
});

describe("what a journal leaves known", () => {
  const begun = (): Knowledge => {
    const knowledge = new Knowledge("multifunction");
    const holds = { 1: 3, 19: 7, 29: 38, 31: 16, 32: 0, 300: 1, "300@16.0": 1 };
    knowledge.apply({ begin: "carry-out", plan: { steps: [] }, holds, reset: false });
    return knowledge;
  };
  const step = (cv: string, value: number, mask = 255) => ({ step: 0, attempt: 1, cv, value, mask });

  test.each(["31", "32"])("once CV %s may have moved, a CV without its page is not known", (cv) => {
    const knowledge = begun();
    expect([knowledge.indexMoved, knowledge.holdsNow.get(300)]).toEqual([false, 1]);
    knowledge.apply(step(cv, 9));
    expect([knowledge.indexMoved, knowledge.holdsNow.get(300), knowledge.holdsNow.get(cv)]).toEqual([
      true,
      undefined,
      undefined,
    ]);
    expect(knowledge.holdsNow.get("300@16.0")).toBe(1);
  });

  test("a write of what is there moves nothing", () => {
    const knowledge = begun();
    knowledge.apply(step("31", 16));
    knowledge.apply(step("32", 0));
    expect([knowledge.indexMoved, knowledge.holdsNow.get(300)]).toEqual([false, 1]);
  });

  // S-9.2.3 (July 2012), section E: writing CV 1 clears CV 19 and bit 5 of CV 29.
  test("a write of CV 1 leaves open what it clears, where that is not empty", () => {
    const knowledge = begun();
    knowledge.apply(step("1", 9));
    expect(["1", "19", "29"].map((cv) => knowledge.holds.get(cv))).toEqual([undefined, undefined, undefined]);
    const empty = new Knowledge("multifunction");
    const holds = { 1: 3, 19: 0, 29: 6 };
    empty.apply({ begin: "carry-out", plan: { steps: [] }, holds, reset: false });
    empty.apply(step("1", 9));
    expect(empty.holds.toJSON()).toEqual({ 19: 0, 29: 6 });
    const accessory = new Knowledge("accessory");
    accessory.apply({ begin: "carry-out", plan: { steps: [] }, holds: { ...holds, 19: 7 }, reset: false });
    accessory.apply(step("1", 9));
    expect(accessory.holds.toJSON()).toEqual({ 19: 7, 29: 6 });
  });

  test("the addresses at which it may answer, the likeliest first", () => {
    const knowledge = new Knowledge("multifunction");
    const [three, four, long] = [
      { kind: "primary", number: 3 },
      { kind: "primary", number: 4 },
      { kind: "extended", number: 3 },
    ] as const;
    knowledge.apply({ begin: "carry-out", plan: { steps: [] }, holds: {}, reset: false, address: three });
    expect(knowledge.addresses).toEqual([three]);
    knowledge.apply({ ...step("1", 4), to: three, becomes: four });
    knowledge.apply({ ...step("1", 4), to: three, becomes: four });
    expect(knowledge.addresses).toEqual([four, three]);
    knowledge.apply({ ...step("29", 34), to: four, becomes: long });
    expect(knowledge.addresses).toEqual([long, four, three]);
    knowledge.apply({ ...step("29", 34), to: four, becomes: null });
    expect(knowledge.addresses).toEqual([long, four, three]);
    knowledge.apply({ answers: four });
    expect(knowledge.addresses).toEqual([four]);
    knowledge.apply({ begin: "read-out", cvs: [] });
    expect(knowledge.addresses).toEqual([four]);
    knowledge.apply({ begin: "carry-out", plan: { steps: [] }, holds: {}, reset: false });
    expect(knowledge.addresses).toEqual([]);
  });

  test("a reset is pending until it is proved, and leaves nothing known", () => {
    const knowledge = new Knowledge("multifunction");
    knowledge.apply({ begin: "carry-out", plan: { steps: [] }, holds: { 3: 5 }, reset: true });
    knowledge.apply({ sent: "open" });
    expect([knowledge.resetPending, knowledge.holds.toJSON()]).toEqual([true, { 3: 5 }]);
    knowledge.apply({ sent: "reset" });
    knowledge.apply({ holds: { 8: 13 } });
    expect([knowledge.resetPending, knowledge.holds.toJSON()]).toEqual([true, { 8: 13 }]);
    knowledge.apply({ reset: "done" });
    knowledge.apply({ end: "proved" });
    expect([knowledge.resetPending, knowledge.holds.toJSON()]).toEqual([false, { 8: 13 }]);
  });
});
