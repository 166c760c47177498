import { listOf, need, needIn } from "../cv/argument.js";
import { toCvSet } from "../cv/cvset.js";
import { ofMeaning } from "../meaning/lexicon.js";
import { keyName, keysIn, outputsIn } from "./outputs.js";
import { readingsOf } from "./reading.js";
import { checkAmounts } from "./running.js";
import { addressIn, dateLine, titleOf } from "./set-up-sheet.js";
import {
  aLocomotive,
  ofSheet,
  type Sheet,
  type SheetLocomotive,
  type SheetOptions,
  type SheetSection,
} from "./sheet.js";
import { capital, oneLine } from "./words.js";

/**
 * The roster of a fleet as data: each locomotive's name, address, decoder, keys in use, and what a check found.
 * @param locomotives The locomotives, in the order of the list.
 * @param options The date, terms of your own.
 * @example
 * import { CvSet } from "cvset";
 * import { roster, sheetMarkdown } from "cvset/sheet";
 * import { nmra } from "cvset/standard";
 * const fleet = roster([{ decoder: nmra, cvs: CvSet.from({ 1: 3, 29: 2 }), name: "No. 9" }]);
 * sheetMarkdown([fleet]).includes("| No. 9 | Primary address 3 |"); // true
 */
export function roster(locomotives: readonly SheetLocomotive[], options: SheetOptions = {}): Sheet {
  need(listOf(aLocomotive), locomotives, "locomotives");
  needIn(ofSheet, options, "options");
  needIn(ofMeaning, options, "options");
  for (const locomotive of locomotives) checkAmounts(locomotive, options);
  const rows = locomotives.map((given) => {
    const locomotive = { ...given, cvs: toCvSet(given.cvs) };
    const { cvs, decoder } = locomotive;
    const readings = readingsOf(decoder, cvs, options);
    const keys = keysIn(readings, outputsIn(decoder, readings));
    return [
      titleOf(locomotive),
      capital(addressIn(locomotive)),
      oneLine(decoder.name, 80),
      keyRanges(keys.map(({ number }) => number)) || "\u2013",
      countOf(locomotive),
    ];
  });
  const count = `${locomotives.length} ${locomotives.length === 1 ? "locomotive" : "locomotives"}`;
  const facts = [["Date", options.date === undefined ? dateLine : oneLine(options.date, 40)]] as const;
  const sections: SheetSection[] = [
    { id: "fleet", title: "", blocks: [{ kind: "facts", rows: facts }] },
    {
      id: "locomotives",
      title: "Locomotives",
      wide: true,
      blocks: [{ kind: "table", columns: ["Name", "Address", "Decoder", "Keys in use", "Check"], rows }],
    },
    ...findingSections(locomotives),
  ];
  return { title: "Roster", heading: count, sections };
}

/** Keys in a row: `F0 (FL), F2–F5`. */
function keyRanges(numbers: readonly number[]): string {
  const ranges: [first: number, last: number][] = [];
  for (const number of numbers) {
    const range = ranges.at(-1);
    // F0 stands alone, since it is the light.
    if (range && number > 1 && range[1] === number - 1) range[1] = number;
    else ranges.push([number, number]);
  }
  return ranges
    .map(([first, last]) => (first === last ? keyName(first) : `${keyName(first)}–${keyName(last)}`))
    .join(", ");
}

function countOf({ findings }: SheetLocomotive): string {
  if (!findings) return "\u2013";
  const counts = (["error", "warning", "note"] as const).flatMap((severity) => {
    const count = findings.filter((finding) => finding.severity === severity).length;
    return count ? [`${count} ${severity}${count === 1 ? "" : "s"}`] : [];
  });
  return counts.join(", ") || "nothing found";
}

function findingSections(locomotives: readonly SheetLocomotive[]): SheetSection[] {
  const items = locomotives.flatMap((locomotive) =>
    (locomotive.findings ?? []).map(
      ({ severity, message }) => `${titleOf(locomotive)}: ${severity}: ${oneLine(message, 400)}`,
    ),
  );
  return items.length
    ? [{ id: "findings", title: "Check", wide: true, blocks: [{ kind: "list", items }] }]
    : [];
}
