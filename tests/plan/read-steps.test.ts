import { CvError } from "cvset";
import { readSteps } from "cvset/plan";
import { describe, expect, test } from "vitest";

describe("reading several CVs", () => {
  const text = (steps: ReturnType<typeof readSteps>): string[] =>
    steps.map((step) => ("read" in step ? `read ${step.read}` : `${step.write.cv}=${step.write.value}`));

  test("page by page, and the index is put back", () => {
    const steps = readSteps("direct", ["300@16.1", 29, "300@16.0", "301@16.1", 1], {
      index: { high: 16, low: 1 },
    });
    expect(text(steps)).toEqual([
      "read 1",
      "read 29",
      "read 300@16.1",
      "read 301@16.1",
      "32=0",
      "read 300@16.0",
      "32=1",
    ]);
  });

  test("page 0 is a page like any other", () => {
    const index = { high: 1, low: 1 };
    expect(text(readSteps("direct", ["300@0.0", "301@0.0", 300], { index }))).toEqual([
      "read 300",
      ...["31=0", "32=0", "read 300@0.0", "read 301@0.0"],
      ...["31=1", "32=1"],
    ]);
  });

  test("where the index is not known, it is not put back", () => {
    expect(text(readSteps("paged", ["300@16.1"]))).toEqual(["31=16", "32=1", "read 300@16.1"]);
    expect(text(readSteps("direct", [1, 2]))).toEqual(["read 1", "read 2"]);
  });

  test("a CV out of reach is refused", () => {
    expect(() => readSteps("register", ["300@16.0"])).toThrow(CvError);
    expect(() => readSteps("register", [5])).toThrow("CV 5: register mode does not reach");
  });
});
