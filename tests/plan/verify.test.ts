import { CvPatch, CvSet, choice, cv, defineDecoder, flag } from "cvset";
import { outcome, plan, tryPlanFromJson, verify } from "cvset/plan";
import { describe, expect, test } from "vitest";

describe("verify", () => {
  test("what differs, and what was not read", () => {
    const result = verify(CvSet.from({ 2: 1, 3: 2, 4: 3 }), CvSet.from({ 2: 1, 3: 6, 99: 1 }));
    expect(result).toEqual({
      ok: false,
      mismatches: [
        {
          cv: "3",
          expected: 2,
          found: 6,
          bits: 4,
          message: "CV 3 should hold 2 and holds 6 (bit 2 differs)",
        },
      ],
      unread: ["4"],
      settings: [],
    });
    expect(verify(CvSet.from({ 2: 1 }), CvSet.from({ 2: 1 })).ok).toBe(true);
    // What was not read is not proven.
    expect(verify(CvSet.from({ 2: 1 }), CvSet.empty).ok).toBe(false);
  });

  test("only the bits of a patch count", () => {
    const patch = CvPatch.from({ bits: [{ cv: "29", mask: 33, value: 32 }] });
    expect(verify(patch, CvSet.from({ 29: 38 })).ok).toBe(true);
    expect(verify(patch, CvSet.from({ 29: 7 })).mismatches).toEqual([
      {
        cv: "29",
        expected: 38,
        found: 7,
        bits: 33,
        message: "CV 29 should hold 38 and holds 7 (bits 0, 5 differ)",
      },
    ]);
  });

  test("a plan, or its JSON: what it leaves behind, not what it passes through", () => {
    const made = plan(CvSet.from({ 15: 1, 16: 2, 31: 0, 32: 0 }), CvSet.from({ 2: 5, "300@16.0": 7 }));
    expect(outcome(made).toJSON().cvs).toEqual({ "2": 5, "15": 1, "31": 0, "300@16.0": 7 });
    const after = CvSet.from({ 2: 5, 15: 1, 16: 2, 31: 0, 32: 0, "300@16.0": 7 });
    expect(verify(made, after).ok).toBe(true);
    expect(
      verify(JSON.parse(JSON.stringify(made)), after.with(2, 6)).mismatches.map((each) => each.cv),
    ).toEqual(["2"]);
    const reset = plan(CvSet.empty, CvSet.from({ 2: 5 }), { factoryReset: true });
    expect(outcome(reset).toJSON().cvs).toEqual({ "2": 5 });
  });

  test("pages: CV 300 read while CV 31 and 32 select 16.0 is CV 300@16.0", () => {
    const wanted = CvSet.from({ "300@16.0": 7 });
    expect(verify(wanted, CvSet.from({ 31: 16, 32: 0, 300: 7 })).ok).toBe(true);
    expect(verify(wanted, CvSet.from({ 31: 16, 32: 1, 300: 7 })).unread).toEqual(["300@16.0"]);
    expect(verify(CvSet.from({ 300: 7 }), CvSet.from({ 31: 16, 32: 1, 300: 7 })).ok).toBe(true);
  });

  test("in words, with the decoder's description", () => {
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: {
        whistle: choice(cv(218), { low: 2, high: 5 }),
        lamp: flag(cv(216).bit(7)),
        reversed: flag(cv(29).bit(0)),
      },
    });
    const wanted = CvSet.from({ 29: 0, 218: 2, 216: 128 });
    const settings = verify(wanted, CvSet.from({ 29: 0, 218: 5, 216: 0 }), { decoder }).settings;
    expect(settings).toEqual([
      { path: "whistle", expected: "low", found: "high" },
      { path: "lamp", expected: "yes", found: "no" },
    ]);
    const nonsense = verify(wanted, CvSet.from({ 29: 0, 218: 9, 216: 128 }), { decoder }).settings;
    expect(nonsense).toEqual([{ path: "whistle", expected: "low", found: "no valid setting" }]);
  });
});

describe("a plan from untrusted JSON", () => {
  test("everything that is wrong with it is told", () => {
    const result = tryPlanFromJson({
      mode: "dircet",
      kind: "boat",
      steps: [
        { cv: "29", value: 34 },
        { cv: "1025", value: 0 },
        { cv: 29, value: 1 },
        { cv: "3", value: 256 },
        { cv: "3", value: 3, mask: 2 },
        { cv: "3", value: 0, mask: 0 },
        "step",
        null,
      ],
    });
    expect(result.ok || result.issues.map(({ path, code }) => `${path} ${code}`)).toEqual([
      "steps.1.cv cv",
      "steps.2.cv cv",
      "steps.3.value byte",
      "steps.4.mask step-mask",
      "steps.5.mask step-mask",
      "steps.6 expected-object",
      "steps.7 expected-object",
      "mode option",
      "kind option",
    ]);
    for (const bad of [null, 5, "x", [], {}, { steps: {} }]) expect(tryPlanFromJson(bad).ok).toBe(false);
  });

  test("a plan's own JSON is taken", () => {
    const json = JSON.parse(JSON.stringify(plan(CvSet.empty, CvSet.from({ 3: 8 }), { mode: "paged" })));
    const result = tryPlanFromJson(json);
    expect(result.ok && result.value).toEqual({
      mode: "paged",
      kind: "multifunction",
      steps: [{ cv: "3", value: 8, mask: 255 }],
    });
  });
});
