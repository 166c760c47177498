import type { StandardSchemaV1 } from "@standard-schema/spec";
import { defineDecoder } from "cvset";
import { describe, expect, test } from "vitest";
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
    const { record: front, table, flag } = kinds as Required<typeof kinds>;
    const decoder = defineDecoder({
      id: "example-x1",
      name: "Example X1",
      kind: "multifunction",
      features: { front: front!, speeds: table!, flag: flag! },
    });
    const levels = Array.from({ length: 28 }, (_, i) => (i === 3 ? 256 : i));
    expect(
      validate(decoder, { front: { effect: "steady", ledCorection: true }, speeds: levels, flag: 1 }),
    ).toEqual({
      issues: [
        {
          message:
            'front.ledCorection: there is no such setting; nearest: "ledCorrection"; allowed is effect, ledCorrection',
          path: ["front", "ledCorection"],
        },
        { message: "speeds.3: 256 is out of range, allowed is 0 to 255", path: ["speeds", "3"] },
        { message: "flag: 1 is not true or false", path: ["flag"] },
      ],
    });
    expect(validate(decoder, 7)).toMatchObject({ issues: [{ path: [] }] });
    const good = { flag: true };
    const result = validate(decoder, good);
    expect("value" in result && result.value).toBe(good);
    expect(decoder["~standard"].vendor).toBe("cvset");
  });
});
