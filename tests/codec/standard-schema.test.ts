import type { StandardSchemaV1 } from "@standard-schema/spec";
import { CvError, choice, cv, defineDecoder, flag, record } from "cvset";
import { describe, expect, test } from "vitest";
import { rootOf } from "../../src/decoder/decoder.js";
import { kinds } from "./kinds.js";

/** A caller that knows nothing but the standard. */
function validate<S extends StandardSchemaV1>(
  schema: S,
  value: unknown,
): StandardSchemaV1.Result<StandardSchemaV1.InferOutput<S>> {
  const result = schema["~standard"].validate(value);
  if (result instanceof Promise) throw new TypeError("it should be synchronous");
  return result;
}

describe("Standard Schema version 1", () => {
  test.each(Object.entries(kinds))("%s", (_, codec) => {
    const schema = codec["~standard"];
    expect([schema.version, schema.vendor, typeof schema.validate]).toEqual([1, "cvset", "function"]);
    for (const value of [undefined, null, Number.NaN, "nothing", { nothing: { deep: 1 } }, [9999]]) {
      const result = validate(codec, value);
      const own = codec.tryEncode(value);
      if (own.ok) {
        expect(result).toEqual({ value });
        expect(result.issues).toBeUndefined();
        continue;
      }
      expect(result.issues?.length).toBe(own.issues.length);
      result.issues?.forEach((issue, i) => {
        expect(typeof issue.message).toBe("string");
        expect(Array.isArray(issue.path)).toBe(true);
        expect(issue.path?.join(".")).toBe(own.issues[i]?.path);
      });
    }
  });

  test("a decoder: the path is a list, and a good value is given back as it is", () => {
    const { record: front, table, flag: lamp } = kinds as Required<typeof kinds>;
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: { front: front!, speeds: table!, flag: lamp! },
    });
    const levels = Array.from({ length: 28 }, (_, i) => (i === 3 ? 256 : i));
    expect(validate(decoder, { front: { effect: "plain", forLad: true }, speeds: levels, flag: 1 })).toEqual({
      issues: [
        {
          message: 'front.forLad: there is no such name; the names are effect, forLed; nearest: "forLed"',
          path: ["front", "forLad"],
        },
        { message: "speeds.3: 256 is out of range; allowed is 0 to 255", path: ["speeds", "3"] },
        { message: "flag: expected true or false, got 1", path: ["flag"] },
      ],
    });
    expect(validate(decoder, 7)).toMatchObject({ issues: [{ path: [] }] });
    const good = { flag: true };
    const result = validate(decoder, good);
    expect("value" in result && result.value).toBe(good);
    expect(decoder["~standard"].vendor).toBe("cvset");
  });

  test("a value that throws when it is looked at is refused, by whatever asks", () => {
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: {
        lamp: flag(cv(1).bit(0)),
        blow: kinds["variant"]!,
        front: record({ steady: flag(cv(2).bit(0)) }),
      },
      factory: { 1: 0 },
    });
    const boom = (): never => {
      throw new Error("boom");
    };
    const odd: unknown[] = [
      Object.defineProperty({}, "lamp", { get: boom, enumerable: true }),
      { blow: Object.defineProperty({}, "kind", { get: boom, enumerable: true }) },
      { front: new Proxy({}, { ownKeys: boom }) },
    ];
    for (const value of odd) {
      const result = decoder.tryEncode(value);
      expect(result.ok || result.issues.map(({ code }) => code)).toEqual(["custom"]);
      expect(result.ok || result.issues[0]?.params).toMatchObject({ reason: "boom" });
      expect(rootOf(decoder).tryEncode(value)).toEqual(result);
      expect(validate(decoder, value)).toMatchObject({
        issues: [{ message: expect.stringContaining("boom") }],
      });
      expect(() => decoder.encode(value as object)).toThrow(CvError);
    }
  });

  test("a value that changes between two looks is refused too", () => {
    let looks = 0;
    const value = Object.defineProperty({}, "effect", {
      get: () => (looks++ < 1 ? "steady" : "unsteady"),
      enumerable: true,
    });
    const result = record({ effect: choice(cv(1), { steady: 0 }) }).tryEncode(value);
    expect(result.ok || result.issues.map(({ code, path }) => [code, path])).toEqual([["option", "effect"]]);
  });
});
