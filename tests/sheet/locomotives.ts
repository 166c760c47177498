import { readFileSync } from "node:fs";
import { CvSet } from "cvset";
import type { SheetLocomotive } from "cvset/sheet";
import { dunlin } from "../../src/demo/dunlin-m6.js";
import { quillback } from "../../src/demo/quillback-s8.js";

const file = new URL("../../docs/examples/no9.cvs.json", import.meta.url);
const no9Cvs = CvSet.from((JSON.parse(readFileSync(file, "utf8")) as { cvs: Record<string, number> }).cvs);

/** The invented 2-8-2 of the examples. */
export const no9: SheetLocomotive = {
  name: "No. 9",
  note: "Lumber line 2-8-2, coal-fired.",
  decoder: quillback,
  cvs: no9Cvs,
  fullSpeed: 11,
  findings: [
    { severity: "warning", message: "CV 66, CV 95: forward and reverse are trimmed apart by 8 %" },
    { severity: "note", message: "output 8 has a key and no lamp" },
  ],
};

/** A second one, as the factory left it. */
export const no11: SheetLocomotive = { name: "No. 11", decoder: dunlin, cvs: dunlin.defaults() };
