import { messageOf } from "cvset";
import { tryPlanFromJson } from "cvset/plan";
import { describe, expect, test } from "vitest";
import { hostile, oddThrows } from "../support/hostile.js";

// Plans that are no JSON: objects of a caller that throw, lie, or never end.

const holes: readonly (readonly [where: string, put: (value: unknown) => unknown])[] = [
  ["in its place", (value) => value],
  ["as steps", (value) => ({ steps: value })],
  ["as a step", (value) => ({ steps: [value] })],
  ["as a CV", (value) => ({ steps: [{ cv: value, value: 3 }] })],
  ["as a value", (value) => ({ steps: [{ cv: "1", value }] })],
  ["as a mask", (value) => ({ steps: [{ cv: "1", value: 3, mask: value }] })],
  ["as a mode", (value) => ({ steps: [], mode: value })],
];

describe.each(holes)("tryPlanFromJson does not throw, and says why it refuses: %s", (_, put) => {
  test.each(hostile)("%s", (__, make) => {
    const result = tryPlanFromJson(put(make()));
    const issues = result.ok ? [] : result.issues;
    expect(issues.length > 0).toBe(!result.ok);
    for (const issue of issues) expect(messageOf(issue)).toMatch(/^[\p{L}\p{M}\p{N}\p{P}\p{S} ]+$/u);
  });

  test.each(oddThrows)("a proxy that throws %s", (__, thrown) => {
    const trap = (): never => {
      throw thrown;
    };
    for (const target of [{}, []]) {
      const result = tryPlanFromJson(put(new Proxy(target, { get: trap, getPrototypeOf: trap })));
      expect(result.ok ? [] : result.issues).not.toEqual([]);
    }
  });
});

test("a step that is not there is not passed over", () => {
  const steps = [{ cv: "1", value: 3 }];
  steps[2 ** 31] = { cv: "2", value: 3 };
  const result = tryPlanFromJson({ steps });
  expect(result.ok || result.issues.map(({ path, code }) => [path, code])).toEqual([
    ["steps.1", "expected-object"],
  ]);
});
