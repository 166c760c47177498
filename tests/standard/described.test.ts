import { readFileSync, writeFileSync } from "node:fs";
import { describe as describeDecoder } from "cvset";
import { nmra, nmraAccessory } from "cvset/standard";
import { expect, test } from "vitest";
import { root } from "../support/tree.js";

// The two decoders of the standard as they are described: every feature with its place, range, names, label, meaning
// and clause, in a file beside this one, so that a change of any of them shows in review. CVSET_UPDATE=1 writes it.

const file = `${root}tests/standard/described.txt`;

/** One feature a line. */
function written(decoder: Parameters<typeof describeDecoder>[0]): string {
  const { features, ...rest } = describeDecoder(decoder);
  const lines = Object.entries(features).map(([name, json]) => `  ${name}: ${JSON.stringify(json)}\n`);
  return `${JSON.stringify(rest)}\n${lines.join("")}`;
}

test("the decoders of the standard are described as in the file", () => {
  const text = [nmra, nmraAccessory].map(written).join("\n");
  if (process.env["CVSET_UPDATE"] === "1") writeFileSync(file, text);
  expect(text.split("\n")).toEqual(readFileSync(file, "utf8").split("\n"));
});
