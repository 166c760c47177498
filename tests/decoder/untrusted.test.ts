import { messageOf, type Result, tryDecoderFromJson } from "cvset";
import { locomotive } from "cvset/standard";
import { describe, expect, test } from "vitest";
import { boom, hostile, oddThrows, revoked } from "../support/hostile.js";

// Descriptions that are no JSON: objects of a caller that throw, lie, or never end.

const description = (features: unknown, more: object = {}): unknown => ({
  id: "x",
  name: "X",
  kind: "multifunction",
  features,
  ...more,
});

function expectReasons(result: Result<unknown>): void {
  if (result.ok) return;
  expect(result.issues).not.toEqual([]);
  for (const issue of result.issues) expect(messageOf(issue)).toMatch(/^[\p{L}\p{M}\p{N}\p{P}\p{S} ]+$/u);
}

function expectIssues(result: Result<unknown>): void {
  expect(result.ok).toBe(false);
  expectReasons(result);
}

/** Where a value may stand in a description. */
const holes: readonly (readonly [where: string, put: (value: unknown) => unknown])[] = [
  ["in its place", (value) => value],
  ["as features", (value) => description(value)],
  ["as a feature", (value) => description({ a: value })],
  ["as a place", (value) => description({ a: { codec: "flag", place: value } })],
  ["as a bit", (value) => description({ a: { codec: "flag", place: { cv: 29, bit: value } } })],
  [
    "as bits",
    (value) => description({ a: { codec: "choice", place: { cv: 29, bits: value }, options: {} } }),
  ],
  ["as options", (value) => description({ a: { codec: "choice", place: 29, options: value } })],
  ["as an option", (value) => description({ a: { codec: "choice", place: 29, options: { a: value } } })],
  ["as names", (value) => description({ a: { codec: "flags", place: 29, names: value } })],
  ["as fields", (value) => description({ a: { codec: "record", fields: value } })],
  [
    "as pairs",
    (value) => description({ a: { codec: "converted", item: { codec: "flag", place: 29 }, pairs: value } }),
  ],
  ["as a label", (value) => description({ a: { codec: "flag", place: { cv: 29, bit: 0 }, label: value } })],
  ["as parts", (value) => description({}, { parts: value })],
  ["as factory values", (value) => description({}, { factory: value })],
  ["as rules", (value) => description({}, { rules: value })],
  ["as a rule", (value) => description({}, { rules: [value] })],
  [
    "as a condition",
    (value) =>
      description({}, { rules: [{ rule: "needs", name: "r", when: value, needs: { path: "a", is: 1 } }] }),
  ],
  ["as outputs", (value) => description({}, { rules: [{ rule: "outputs", outputs: value }] })],
  ["as an id", (value) => ({ ...(description({}) as object), id: value })],
];

describe.each(holes)("tryDecoderFromJson does not throw, and says why it refuses: %s", (_, put) => {
  test.each(hostile)("%s", (__, make) => {
    // Some of them are, where no key is looked at, an object without keys.
    expectReasons(tryDecoderFromJson(put(make()), { parts: { locomotive } }));
  });

  test.each(oddThrows)("a proxy that throws %s", (__, thrown) => {
    const trap = (): never => {
      throw thrown;
    };
    expectIssues(tryDecoderFromJson(put(new Proxy({}, { get: trap, ownKeys: trap, getPrototypeOf: trap }))));
    expectIssues(tryDecoderFromJson(put(new Proxy([], { get: trap, ownKeys: trap, getPrototypeOf: trap }))));
  });
});

test("the path leads to the part that throws", () => {
  const result = tryDecoderFromJson(
    description({ fine: { codec: "flag", place: { cv: 29, bit: 0 } }, bad: revoked({}) }),
  );
  expect(result.ok || result.issues.map(({ path, code }) => [path, code])).toEqual([
    ["features.bad", "unreadable"],
  ]);
});

test("a hole in a list is a value that is missing, however long the list is", () => {
  const names = ["a"];
  names[2 ** 31] = "b";
  const result = tryDecoderFromJson(description({ a: { codec: "flags", place: 29, names } }));
  expect(result.ok || result.issues.map(({ path, code }) => [path, code])).toEqual([
    ["features.a.names.1", "missing-value"],
  ]);
});

test("a description within itself", () => {
  const loop: Record<string, unknown> = { codec: "record" };
  loop["fields"] = { again: loop };
  expectIssues(tryDecoderFromJson(description({ loop })));
});

test("a getter is read once: what was checked is what is used", () => {
  let reads = 0;
  const feature = {
    codec: "flag",
    get place() {
      return reads++ === 0 ? { cv: 29, bit: 0 } : boom();
    },
  };
  const result = tryDecoderFromJson(description({ a: feature }));
  expect(result.ok && result.value.bits).toEqual([{ cv: "29", mask: 1 }]);
});
