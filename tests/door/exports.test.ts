import { beforeAll, describe, expect, test } from "vitest";
import { calls, entries, prepare } from "./calls.js";
import { outcomesOf } from "./walk.js";

// Every export with arguments of every wrong kind: it is taken, or refused in words that name the argument; an error of
// JavaScript itself never leaves the package.

/** Values that are called: functions and classes. Everything else is data, or a codec as any other. */
const called = Object.entries(entries).flatMap(([entry, module]) =>
  Object.entries(module)
    .filter(([, value]) => typeof value === "function")
    .map(([name]) => `${entry}.${name}`),
);

beforeAll(prepare);

test("each export is there", () => {
  const names = Object.keys(calls);
  const missing = called.filter(
    (one) =>
      !names.some(
        (name) =>
          name
            .split(/[ #(.]/)
            .slice(0, 2)
            .join(".") === one,
      ),
  );
  expect(missing).toEqual([]);
  expect(called.length).toBeGreaterThan(110);
});

describe.each(Object.entries(calls))("%s", (_, call) => {
  test("takes what is right, and refuses anything else in words", async () => {
    const outcomes = await outcomesOf(call);
    expect(outcomes.filter(({ wrong }) => wrong)).toEqual([]);
    expect(outcomes.length).toBeGreaterThan(call.parameters ? 10 : -1);
  });
});
