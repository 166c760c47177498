import { readFileSync, writeFileSync } from "node:fs";
import { type DecoderKind, describe as describeDecoder } from "cvset";
import { describeCv, nmra, nmraAccessory } from "cvset/standard";
import { expect, test } from "vitest";
import { root } from "../support/tree.js";

// What the standard's part of the library says, in a file beside this one, so that a change of any of it shows in review:
// every feature of the two decoders with its place, range, names, label, meaning and clause, and the facts of every CV.
// CVSET_UPDATE=1 writes it.

const file = `${root}tests/standard/described.txt`;

/** One feature a line. */
function written(decoder: Parameters<typeof describeDecoder>[0]): string {
  const { features, ...rest } = describeDecoder(decoder);
  const lines = Object.entries(features).map(([name, json]) => `  ${name}: ${JSON.stringify(json)}\n`);
  return `${JSON.stringify(rest)}\n${lines.join("")}`;
}

/** The facts of every CV; of CVs in a row that differ in their numbers only, one line. */
function factsOf(kind: DecoderKind): string {
  const rows: { first: string; last: string; facts: string }[] = [];
  const pages = ["257@0.0", "512@0.255", "257@15.255", "257@16.0", "512@255.255"];
  for (const name of [...Array.from({ length: 1024 }, (_, i) => `${i + 1}`), ...pages]) {
    const { cv, number, kind: _, ...rest } = describeCv(name, kind);
    expect(cv).toBe(name);
    expect(number).toBe(Number.parseInt(name, 10));
    const facts = JSON.stringify(rest);
    const before = rows.at(-1);
    if (before?.facts === facts && !name.includes("@")) before.last = name;
    else rows.push({ first: name, last: name, facts });
  }
  return rows
    .map(({ first, last, facts }) => `  CV ${first === last ? first : `${first}-${last}`}: ${facts}\n`)
    .join("");
}

test("the decoders and the CVs of the standard are described as in the file", () => {
  const text = [nmra, nmraAccessory].map((decoder) => written(decoder) + factsOf(decoder.kind)).join("\n");
  if (process.env["CVSET_UPDATE"] === "1") writeFileSync(file, text);
  expect(text.split("\n")).toEqual(readFileSync(file, "utf8").split("\n"));
});
