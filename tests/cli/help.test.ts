import { expect, test } from "vitest";
import { helpOf } from "../../src/cli/help.js";
import { defineVerb } from "../../src/cli/verb.js";

const verb = defineVerb({
  summary: "Weighs a wagon",
  arguments: [
    { name: "WAGON", what: "a wagon", kind: "text" },
    { name: "MORE", what: "others", kind: "text", optional: true, many: true },
  ],
  usage: "[--tare N]",
  about: "A wagon is put on the scales\nand taken off again; it takes a while.",
  options: {
    tare: { kind: "number", short: "t", value: "KILOGRAMS", help: "what it weighs when it is empty" },
    axles: { kind: "words", words: ["two", "four"], help: "how many axles it has" },
    "brake-at-the-end-of-itt": { kind: "flag", help: "stop at the end of the scales, with the brake" },
    "brake-at-the-end-of-it": { kind: "flag", help: "as above" },
  },
  examples: ["cvset weigh 9", "cvset weigh 9 10"],
  run: async () => 0,
});

test("the help of a verb in columns: an option of 28 characters and more has its words below", () => {
  expect(helpOf("weigh", verb, 60).join("\n")).toBe(`Usage: cvset weigh WAGON [MORE...] [--tare N]

Weighs a wagon.

A wagon is put on the scales and taken off again; it takes a
while.

Options:
  -t, --tare KILOGRAMS        what it weighs when it is
                              empty
      --axles two|four        how many axles it has
      --brake-at-the-end-of-itt
                              stop at the end of the scales,
                              with the brake
      --brake-at-the-end-of-it
                              as above
  -o, --output FILE           write to this file, or into
                              this folder (a name with / at
                              its end); it is replaced only
                              when all went well
  -h, --help                  show this

Examples:
  cvset weigh 9
  cvset weigh 9 10`);
});

test("on a narrow terminal lines are never shorter than 24 and 40 characters", () => {
  const { examples: _, about: __, ...rest } = verb;
  const lines = helpOf("weigh", { ...rest, about: verb.about ?? "", examples: ["cvset weigh 9"] }, 10);
  expect(lines.slice(4, 6)).toEqual([
    "A wagon is put on the scales and taken",
    "off again; it takes a while.",
  ]);
  expect(lines.slice(8, 10)).toEqual([
    "  -t, --tare KILOGRAMS        what it weighs when it",
    "                              is empty",
  ]);
  expect(lines.slice(-2)).toEqual(["Example:", "  cvset weigh 9"]);
});
