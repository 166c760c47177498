import { CvSet } from "../cv/cvset.js";
import { CvError, type Issue } from "../cv/issue.js";
import { table3 } from "./table3.js";

/** How far an alias is above its CV. */
const distance = 512;

/** The alias of an accessory decoder's CV, or null when it has none. */
export function aliasOf(number: number): number | null {
  const row = table3.find(({ cvs: [first, last] }) => first <= number && number <= last);
  return row?.alias === undefined ? null : number + distance;
}

/** The CV of an accessory decoder that a number is the alias of, or null when it is none. */
export function originalOf(number: number): number | null {
  const original = number - distance;
  return aliasOf(original) === number ? original : null;
}

/**
 * The CVs of an accessory decoder without its aliases: what stands in CV 513-521, 540 or 541 is moved
 * to CV 1-9, 28 or 29. Everything else stays.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @param cvs The decoder's CVs.
 * @throws `CvError` with every alias whose value is not that of its CV, if the set holds both: then
 *   the two are not the same byte.
 * @example
 * import { CvSet } from "cvset";
 * import { withoutAliases } from "cvset/standard";
 * withoutAliases(CvSet.from({ 513: 5, 521: 1, 541: 128 })).toJSON(); // { "1": 5, "9": 1, "29": 128 }
 */
export function withoutAliases(cvs: CvSet): CvSet {
  const plain: Record<string, number> = {};
  const moved: [alias: string, original: string, value: number][] = [];
  for (const [cv, value] of cvs) {
    const original = originalOf(Number(cv));
    if (original === null) plain[cv] = value;
    else moved.push([cv, String(original), value]);
  }
  const issues: Issue[] = [];
  for (const [alias, original, value] of moved) {
    const other = plain[original];
    if (other !== undefined && other !== value) {
      issues.push({
        code: "content",
        path: "",
        places: [{ cv: alias, mask: 255 }],
        expected: `${other} is expected, as in CV ${original}, of which it is an alias`,
        found: value,
        clause: "S-9.2.2 (July 2012), Table 3",
      });
    } else plain[original] = value;
  }
  if (issues.length) throw new CvError(issues);
  return CvSet.from(plain);
}
