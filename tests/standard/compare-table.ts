import type { DecoderKind } from "cvset";
import { describeCv, nmra, nmraAccessory } from "cvset/standard";
import { describe, expect, test } from "vitest";
import { contentsOf } from "../../src/standard/contents.js";
import { rowsOf } from "../../src/standard/tables.js";

/** A table of the standard, typed from the document row by row. */
interface Table {
  readonly document: string;
  readonly rows: readonly {
    readonly first: number;
    readonly last: number;
    readonly firstAlias?: number | null;
    readonly title: string;
    readonly need: string | null;
    readonly factory: number | null;
    readonly flags: readonly string[];
    readonly use: string;
  }[];
}

const need: Readonly<Record<string, string>> = { M: "mandatory", R: "recommended", O: "optional" };

/** Where the meaning of a CV is laid down: its paragraph, or where it has none its table alone. */
function cited(number: number, kind: DecoderKind): string {
  if (kind === "accessory") {
    if (number === 7 || number === 8) return `Table 3; CV ${number}`;
    if (number > 29) return "Table 3 for CV 31-32; which is the high byte: CV 31 and 32";
    return `Table 3; accessory CV ${number}`;
  }
  if (number === 8) return "CV 8; Table 1, CV 107-108, for 238";
  return (number >= 105 && number <= 108) || number === 893 || number >= 896 ? "Table 1" : `CV ${number}`;
}

/**
 * Compares the rows, and the help for each CV, with a table.
 * @param own The names of CVs that share a row.
 * @param factory The factory values that stand in the text and not in the table.
 */
export function compareTable(
  kind: DecoderKind,
  table: Table,
  own: Readonly<Record<number, string>>,
  factory: Readonly<Record<number, number>>,
): void {
  describe(table.document, () => {
    test("every row has what the table has", () => {
      expect(
        rowsOf(kind).map((row) => ({
          first: row.cvs[0],
          last: row.cvs[1],
          alias: row.alias ?? null,
          title: row.name,
          need: row.requirement ?? null,
          factory: row.factory ?? null,
          flags: ["readOnly", "uniform", "volatile"].filter((flag) => flag in row),
          use: row.status,
        })),
      ).toEqual(
        table.rows.map((row) => ({
          first: row.first,
          last: row.last,
          alias: row.firstAlias ?? null,
          title: row.title,
          need: row.need === null ? null : need[row.need],
          factory: row.factory,
          flags: row.flags,
          use: row.use,
        })),
      );
    });

    test("the built-in decoder of this kind has the factory values of the table and the text", () => {
      const values = table.rows.flatMap((row) => (row.factory === null ? [] : [[row.first, row.factory]]));
      const decoder = kind === "accessory" ? nmraAccessory : nmra;
      expect(decoder.kind).toBe(kind);
      expect(decoder.defaults().toJSON()).toEqual({ ...Object.fromEntries(values), ...factory });
    });

    test("all 1,024 CVs are in it once, and have help in words", () => {
      let next = 1;
      for (const row of table.rows) {
        expect(row.first).toBe(next);
        for (; next <= row.last; next++) {
          const help = describeCv(next, kind);
          if (help.aliasOf !== undefined) continue;
          expect(help, `CV ${next}`).toMatchObject({
            cv: String(next),
            number: next,
            kind,
            readOnly: row.flags.includes("readOnly"),
            uniform: row.flags.includes("uniform"),
            volatile: row.flags.includes("volatile"),
            status: row.use,
            name: own[next] ?? (row.title || "Reserved"),
          });
          expect(help.requirement, `CV ${next}`).toBe(row.need === null ? undefined : need[row.need]);
          expect(help.factory, `CV ${next}`).toBe(row.factory ?? factory[next]);
          expect(help.text, `CV ${next}`).not.toBe("");
          const source =
            row.use === "defined" || (kind === "multifunction" && (next === 107 || next === 108))
              ? cited(next, kind)
              : undefined;
          const title = table.document.slice(table.document.indexOf("Table"));
          expect(help.source, `CV ${next}`).toBe(`S-9.2.2 (July 2012), ${source ?? title}`);
        }
      }
      expect(next).toBe(1025);
    });

    test("where bits have a meaning, each of the eight has exactly one", () => {
      let seen = 0;
      for (let number = 1; number <= 1024; number++) {
        const bits = contentsOf(number, kind)?.bits;
        if (!bits) continue;
        seen++;
        const listed = bits.flatMap(({ bits: [low, high] }) =>
          Array.from({ length: high - low + 1 }, (_, i) => low + i),
        );
        expect(listed, `CV ${number}`).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
        for (const { text } of bits) expect(text).not.toBe("");
      }
      expect(seen).toBe(kind === "accessory" ? 2 : 28);
    });
  });
}
