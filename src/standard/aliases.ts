import { CvSet, type CvsLike, toCvSet } from "../cv/cvset.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { table3 } from "./table3.js";

const aliasDiffers = /* @__PURE__ */ fault(
  "alias-differs",
  "expected {expected}, as in CV {original:text}, of which it is an alias; got {found}",
);

/** How far an alias is above its CV. */
const distance = 512;

/** The alias of an accessory decoder's CV; undefined when it has none. */
export function aliasOf(number: number): number | undefined {
  const row = table3.find(({ cvs: [first, last] }) => first <= number && number <= last);
  return row?.alias === undefined ? undefined : number + distance;
}

/** The CV of an accessory decoder whose alias has this number; undefined when it is no alias. */
export function originalOf(number: number): number | undefined {
  const original = number - distance;
  return aliasOf(original) === number ? original : undefined;
}

/**
 * The CVs of an accessory decoder without its aliases: the bytes of CV 513-521, 540 and 541 are moved to
 * CV 1-9, 28 and 29. All other CVs are kept.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @param cvs The decoder's CVs.
 * @throws `CvError` with every alias whose byte differs from that of its CV, where the set has both.
 * @example
 * import { CvSet } from "cvset";
 * import { withoutAliases } from "cvset/standard";
 * withoutAliases(CvSet.from({ 513: 5, 521: 1, 541: 128 })).toJSON(); // { "1": 5, "9": 1, "29": 128 }
 */
export function withoutAliases(cvs: CvsLike): CvSet {
  const plain: Record<string, number> = {};
  const moved: [alias: string, original: string, value: number][] = [];
  for (const [cv, value] of toCvSet(cvs)) {
    const original = originalOf(Number(cv));
    if (original === undefined) plain[cv] = value;
    else moved.push([cv, String(original), value]);
  }
  const issues: Issue[] = [];
  for (const [cv, original, found] of moved) {
    const expected = plain[original];
    if (expected === undefined || expected === found) plain[original] = found;
    else {
      const where = { places: [{ cv, mask: 255 }], source: "S-9.2.2 (July 2012), Table 3" };
      issues.push(aliasDiffers({ expected, original, found }, where));
    }
  }
  if (issues.length) throw new CvError(issues);
  return CvSet.from(plain);
}
