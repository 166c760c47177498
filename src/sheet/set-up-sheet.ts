import { needIn } from "../cv/argument.js";
import { type CvSet, toCvSet } from "../cv/cvset.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { ofMeaning } from "../meaning/lexicon.js";
import { listsOutputs } from "../meaning/output-map.js";
import {
  accessoryAddressInUse,
  addressInUse,
  addressText,
  consistInUse,
} from "../standard/address-in-use.js";
import { cautions } from "./cautions.js";
import { cvSection, differences } from "./cv-list.js";
import { keySection, keysIn, outputsIn, wireSection } from "./outputs.js";
import { nameOfReading, type Reading, readingsOf, subjectOf } from "./reading.js";
import { checkAmounts, isRunning, runningSection } from "./running.js";
import {
  aLocomotive,
  ofSheet,
  type Sheet,
  type SheetLocomotive,
  type SheetOptions,
  type SheetSection,
} from "./sheet.js";
import { isSound, primeSection, soundSection } from "./sounds.js";
import { capital, oneLine } from "./words.js";

/**
 * The set-up sheet of a locomotive as data: what it is, what each key and each wire does, its sounds, how it runs,
 * and every CV in words.
 * @param locomotive Its CVs and decoder; its name, its full speed, what a check found.
 * @param options The date, the scale, terms of your own.
 * @throws `CvError` when the full speed or the ratio is not a number above 0.
 * @example
 * import { choice, cv, CvSet, defineDecoder } from "cvset";
 * import { setUpSheet, sheetMarkdown } from "cvset/sheet";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { whistle: choice(cv(218), { low: { value: 2, label: "Low" } }, { label: "Whistle", means: "whistle" }) },
 * });
 * const sheet = setUpSheet({ decoder, cvs: CvSet.from({ 218: 2 }), name: "No. 9" });
 * sheet.sections.map(({ id }) => id); // ["locomotive", "sounds", "cautions", "cvs"]
 * sheetMarkdown([sheet]).includes("| Whistle | Low |"); // true
 */
export function setUpSheet(locomotive: SheetLocomotive, options: SheetOptions = {}): Sheet {
  needIn(aLocomotive, locomotive, "locomotive");
  needIn(ofSheet, options, "options");
  needIn(ofMeaning, options, "options");
  return sheetOf({ ...locomotive, cvs: toCvSet(locomotive.cvs) }, options);
}

function sheetOf(locomotive: SheetLocomotive & { readonly cvs: CvSet }, options: SheetOptions): Sheet {
  checkAmounts(locomotive, options);
  const { cvs, decoder } = locomotive;
  const title = titleOf(locomotive);
  const readings = readingsOf(decoder, cvs, options);
  const outputs = outputsIn(decoder, readings);
  const keys = keysIn(readings, outputs);
  const sections = [
    locomotiveSection(locomotive, options),
    keySection(keys),
    wireSection(outputs, keys),
    soundSection(readings),
    primeSection(readings),
    runningSection(locomotive, title, readings, options),
    otherSection(decoder, readings),
    findingSection(locomotive),
    cautions,
    cvSection(decoder, cvs),
  ];
  return { title, heading: "Set-up sheet", sections: sections.filter((section) => section !== undefined) };
}

/** Where the date is to be written by hand. */
export const dateLine = "........................";

/** What a locomotive is called on a sheet. */
export function titleOf({ name, decoder }: SheetLocomotive): string {
  return oneLine(name ?? "", 120) || `${oneLine(decoder.name, 80)} without a name`;
}

/** The address that a decoder answers to, in words. */
export function addressIn({ cvs, decoder }: SheetLocomotive): string {
  const address = decoder.kind === "accessory" ? accessoryAddressInUse(cvs) : addressInUse(cvs);
  return address ? addressText(address) : "not in the CV set";
}

function locomotiveSection(
  locomotive: SheetLocomotive & { readonly cvs: CvSet },
  { date }: SheetOptions,
): SheetSection {
  const { cvs, decoder, note } = locomotive;
  const { differ, known } = differences(decoder, cvs);
  const consist = decoder.kind === "accessory" ? undefined : consistInUse(cvs);
  const reversed = (cvs.get(19) ?? 0) & 128 ? ", running reversed" : "";
  const rows: [string, string][] = [
    ["Address", capital(addressIn(locomotive))],
    ...(consist ? [["Consist", `${capital(addressText(consist))}${reversed}`] as [string, string]] : []),
    ["Decoder", `${oneLine(decoder.name, 80)} (${decoder.id})`],
    [
      "CVs",
      `${cvs.size}; ${known ? `${differ} of ${known} differ from the factory's` : "no factory values are known"}`,
    ],
    ["Date", date === undefined ? dateLine : oneLine(date, 40)],
    ...(note ? [["Remark", oneLine(note, 600)] as [string, string]] : []),
  ];
  return { id: "locomotive", title: "", blocks: [{ kind: "facts", rows }] };
}

/** The settings that no other section tells. */
function otherSection(decoder: AnyDecoder, readings: readonly Reading[]): SheetSection | undefined {
  const rows = readings
    .filter((reading) => !isTold(decoder, reading))
    .map((reading) => [nameOfReading(reading), reading.text] as const);
  return rows.length
    ? { id: "other", title: "Other settings", blocks: [{ kind: "facts", rows }] }
    : undefined;
}

function isTold(decoder: AnyDecoder, reading: Reading): boolean {
  const { setting } = reading;
  const names = [...setting.terms, ...setting.within].map(({ name }) => name);
  return (
    isSound(reading) ||
    isRunning(reading, decoder) ||
    listsOutputs(setting) ||
    setting.output !== undefined ||
    subjectOf(reading)?.group === "prime facts" ||
    names.some((name) => name === "address" || name === "consist")
  );
}

function findingSection({ findings }: SheetLocomotive): SheetSection | undefined {
  if (!findings) return undefined;
  const items = findings.map(({ severity, message }) => `${capital(severity)}: ${oneLine(message, 400)}`);
  const blocks = items.length
    ? ([{ kind: "list", items }] as const)
    : ([{ kind: "text", text: "The check found nothing." }] as const);
  return { id: "findings", title: "Check", blocks };
}
