// Words by which people name the columns of a list of CVs [common practice]: English, German, French, Dutch,
// Spanish and Italian. Capitals, accents, blanks and marks do not count.

const cvHeading =
  /^(?:cvs?|cv(?:no|num|number|nr|nummer|numero)|(?:no|n|nr|num|number|nummer|numero)(?:de|dela|della|di)?cv)$/;
const looseCvHeading = /^(?:n|no|nr|num|number|nummer|numero)$/;
const valueHeading =
  /^(?:(?:cv)?(?:val|value|wert|valeur|waarde|valor|valore)|(?:value|valeur|valor|valore)(?:de|dela|della|di)?cv)$/;
const looseValueHeading = /^(?:(?:value)?(?:dec|decimal)|dez|dezimal|decimale|decimaal)$/;

/** A heading as it is compared: without capitals, accents, blanks and marks; empty with a digit in it. */
function bare(text: string): string {
  // No heading is that long, but the first line of any text is looked at here.
  const beginning = text.slice(0, 80);
  if (/\d/.test(beginning)) return "";
  return beginning
    .normalize("NFD")
    .toLowerCase()
    .replace(/[^a-z]/g, "");
}

/** Which columns have the CVs and the values, from 0. */
export interface Columns {
  readonly cv: number;
  readonly value: number;
}

/** The columns of a table of CVs, by their headings; undefined when it is not one. */
export function columnsOf(headings: readonly string[]): Columns | undefined {
  const cv = columnOf(headings, cvHeading, looseCvHeading);
  const value = columnOf(headings, valueHeading, looseValueHeading);
  return cv >= 0 && value >= 0 ? { cv, value } : undefined;
}

/** The first column with a certain heading, else with a looser one; -1 when there is none. */
function columnOf(headings: readonly string[], strict: RegExp, loose: RegExp): number {
  const column = headings.findIndex((heading) => strict.test(bare(heading)));
  return column >= 0 ? column : headings.findIndex((heading) => loose.test(bare(heading)));
}

/** Whether a column with this heading has CVs or values beyond doubt. */
export function isHeading(heading: string): boolean {
  const word = bare(heading);
  return cvHeading.test(word) || valueHeading.test(word);
}

/** Whether a line is only a heading, such as `CV Value` or `CV-Nr. = Wert`. */
export function isHeadingLine(line: string): boolean {
  if (line.length > 80 || /\d/.test(line)) return false;
  const words = line.split(/[\s=:,;|]+/).filter(Boolean);
  return words.some((_, i) => columnsOf([words.slice(0, i).join(), words.slice(i).join()])?.value === 1);
}

/** Whether headings are those of timed runs, which `cvset/motion` reads. */
export function areOfRuns(headings: readonly string[]): boolean {
  const names = new Set(headings.map((heading) => heading.slice(0, 80).trim().toLowerCase()));
  const has = (...some: string[]): boolean => some.some((name) => names.has(name));
  return has("level", "step") && has("seconds", "mph", "kmh", "km/h");
}
