import { readFileSync } from "node:fs";
import { dirname, posix } from "node:path";
import ts from "typescript";
import { expect, test } from "vitest";
import { filesBelow, root } from "./support/tree.js";

const src = `${root}src/`;

// What each folder may import from, besides itself.
const above: Readonly<Record<string, readonly string[]>> = {
  cv: [],
  codec: ["cv"],
  decoder: ["cv", "codec"],
  index: ["cv", "codec", "decoder"],
  standard: ["cv", "codec", "decoder"],
  motion: ["cv", "codec", "decoder", "standard"],
  check: ["cv", "codec", "decoder", "standard"],
  packets: ["cv", "codec", "decoder", "standard"],
  plan: ["cv", "codec", "decoder", "standard", "packets"],
  simulator: ["cv", "codec", "decoder", "standard", "packets"],
  connection: ["cv", "codec", "decoder", "standard", "packets", "plan", "simulator"],
  meaning: ["cv", "codec", "decoder", "standard"],
  sheet: ["cv", "codec", "decoder", "standard", "motion", "meaning"],
  files: ["cv", "codec", "decoder", "standard"],
  testing: ["cv", "codec", "decoder", "standard"],
  demo: ["cv", "codec", "decoder", "index", "standard"],
  cli: [
    "cv",
    "codec",
    "decoder",
    "standard",
    "motion",
    "check",
    "packets",
    "plan",
    "meaning",
    "sheet",
    "simulator",
    "files",
    "demo",
  ],
};

const layerOf = (path: string): string => path.split("/")[0]?.replace(/\.[tj]s$/, "") ?? "";

const imports = filesBelow("src", ".ts").flatMap((file) =>
  ts
    .preProcessFile(readFileSync(src + file, "utf8"))
    .importedFiles.map(({ fileName: target }) => ({ file, target })),
);

test("every folder of src has its layer", () => {
  expect([...new Set(imports.map(({ file }) => layerOf(file)))].sort()).toEqual(Object.keys(above).sort());
});

test("imports point one way", () => {
  // No layer may import one that may import it.
  const circles = Object.keys(above).filter((layer) =>
    above[layer]?.some((other) => above[other]?.includes(layer)),
  );
  expect(circles).toEqual([]);
  const wrong = imports
    .filter(({ target }) => target.startsWith("."))
    .map(({ file, target }) => ({
      file,
      from: layerOf(file),
      to: layerOf(posix.normalize(posix.join(dirname(file), target))),
    }))
    // The demo's settings file is data beside the docs.
    .filter(({ from, to }) => to !== ".." && from !== to && !above[from]?.includes(to));
  expect(wrong).toEqual([]);
});

test("only the command uses Node, and nothing else is imported but fast-check for tests", () => {
  const foreign = imports
    .filter(({ target }) => !target.startsWith("."))
    .filter(({ file, target }) => {
      if (target.startsWith("node:")) return layerOf(file) !== "cli";
      return !(target === "fast-check" && layerOf(file) === "testing");
    });
  expect(foreign).toEqual([]);
});
