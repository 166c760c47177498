import type { Issue } from "cvset";
import { expectTypeOf, test } from "vitest";
import { type Fault, fault, type ParamsOf } from "../../src/cv/issue.js";

test("the parameters of a fault are those in its sentence, whatever their form", () => {
  type Params =
    ParamsOf<"{found} is out of range; allowed is {min} to {max}{unit:text} of {all:list}, {x:value}">;
  expectTypeOf<keyof Params>().toEqualTypeOf<"found" | "min" | "max" | "unit" | "all" | "x" | "nearest">();
  expectTypeOf<keyof ParamsOf<"no parameter at all">>().toEqualTypeOf<"nearest" | "found">();
  expectTypeOf<Params["nearest"]>().toEqualTypeOf<readonly string[] | undefined>();

  const tooSteep = fault("too-steep", "{found} is too steep for {line:text}");
  expectTypeOf(tooSteep).toEqualTypeOf<Fault<"{found} is too steep for {line:text}">>();
  expectTypeOf(tooSteep({ found: 1, line: "A", nearest: ["B"] }, { path: "a" })).toEqualTypeOf<Issue>();
  // @ts-expect-error: line is missing
  tooSteep({ found: 1 });
  // @ts-expect-error: misspelt
  tooSteep({ found: 1, lines: "A" });
  // @ts-expect-error: one more than the sentence has
  tooSteep({ found: 1, line: "A", unit: "s" });
  // @ts-expect-error: nearest is a list of names
  tooSteep({ found: 1, line: "A", nearest: "B" });
  // @ts-expect-error: parameters are needed
  tooSteep();
  // @ts-expect-error: there is no such thing about a place
  tooSteep({ found: 1, line: "A" }, { clause: "Rulebook" });

  const missing = fault("missing", "a value is needed");
  expectTypeOf(missing({})).toEqualTypeOf<Issue>();
  expectTypeOf(missing({ found: undefined, nearest: [] })).toEqualTypeOf<Issue>();
  // @ts-expect-error: the sentence has no parameter
  missing({ min: 1 });
});

test("an issue cannot be changed", () => {
  const change = (issue: Issue) => {
    // @ts-expect-error: readonly
    issue.path = "a";
    // @ts-expect-error: readonly
    issue.params["found"] = 1;
    // @ts-expect-error: readonly
    issue.places?.push({ cv: "1", mask: 1 });
  };
  expectTypeOf(change).toBeFunction();
});
