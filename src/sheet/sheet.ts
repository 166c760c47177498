import { aBoolean, aNumber, aText, listOf, objectOf, oneIn, type Wanted } from "../cv/argument.js";
import { type CvsLike, someCvs } from "../cv/cvset.js";
import { type AnyDecoder, aDecoder } from "../decoder/decoder.js";
import type { MeaningOptions } from "../meaning/settings.js";

/** A locomotive whose sheet is made. */
export interface SheetLocomotive {
  /** Its CVs, whole or in part. */
  readonly cvs: CvsLike;
  /** The decoder whose CVs they are. */
  readonly decoder: AnyDecoder;
  /** Its name or number. */
  readonly name?: string;
  /** A remark for people. */
  readonly note?: string;
  /** Its speed at the top step at full size, m/s; with it, momentum is also given in metres. */
  readonly fullSpeed?: number;
  /** What a check found, as `cvset/check` gives it. */
  readonly findings?: readonly {
    readonly severity: "error" | "warning" | "note";
    readonly message: string;
  }[];
}

/** Options of {@link setUpSheet} and {@link roster}. */
export interface SheetOptions extends MeaningOptions {
  /** The date in the form in which it is to be shown; without it, a line to write it on. */
  readonly date?: string;
  /** The ratio of the scale, such as 87.1: distances are given on the track too. */
  readonly ratio?: number;
}

/** A document as data; {@link sheetHtml}, {@link sheetMarkdown} and {@link sheetCsv} write it. */
export interface Sheet {
  /** What it is about: the name of the locomotive. */
  readonly title: string;
  /** What kind of document it is: `"Set-up sheet"`. */
  readonly heading: string;
  /** The parts, in the order of reading. */
  readonly sections: readonly SheetSection[];
}

/** A part of a sheet. */
export interface SheetSection {
  /** Its name for programs: `"keys"`. */
  readonly id: string;
  /** Its title; empty for the facts at the top. */
  readonly title: string;
  /** It takes the whole width of a page; others may stand side by side. */
  readonly wide?: boolean;
  /** What is in it. */
  readonly blocks: readonly SheetBlock[];
}

/** A piece of a section. Texts are free of control characters; they are not escaped yet. */
export type SheetBlock =
  /** Names with their values. */
  | { readonly kind: "facts"; readonly rows: readonly (readonly [name: string, value: string])[] }
  /** A table; the first cell of a row names it. */
  | {
      readonly kind: "table";
      readonly columns: readonly string[];
      readonly rows: readonly (readonly string[])[];
      /** The rows that stand out, by their place from 0: CVs that differ from the factory's. */
      readonly marked?: readonly number[];
      /** Many short rows, which may be set small and in columns. */
      readonly dense?: boolean;
    }
  | { readonly kind: "list"; readonly items: readonly string[] }
  | { readonly kind: "text"; readonly text: string }
  /** A picture as SVG text, and what it shows in words. */
  | { readonly kind: "picture"; readonly svg: string; readonly text: string };

const texts = /* @__PURE__ */ listOf(aText);
const blocks: Readonly<Record<string, Wanted>> = {
  facts: /* @__PURE__ */ objectOf({ rows: /* @__PURE__ */ listOf(texts) }),
  table: /* @__PURE__ */ objectOf({
    columns: texts,
    rows: /* @__PURE__ */ listOf(texts),
    "marked?": /* @__PURE__ */ listOf(aNumber),
    "dense?": aBoolean,
  }),
  list: /* @__PURE__ */ objectOf({ items: texts }),
  text: /* @__PURE__ */ objectOf({ text: aText }),
  picture: /* @__PURE__ */ objectOf({ svg: aText, text: aText }),
};
const aBlock: Wanted = (value, path, report) => {
  const kind: unknown = (value as { readonly kind?: unknown } | null | undefined)?.kind;
  const shape = typeof kind === "string" && Object.hasOwn(blocks, kind) ? blocks[kind] : undefined;
  (shape ?? objectOf({ kind: oneIn(Object.keys(blocks)) }))(value, path, report);
};

/** Sheets, as JSON gives them back too. */
export const someSheets: Wanted = /* @__PURE__ */ listOf(
  /* @__PURE__ */ objectOf({
    title: aText,
    heading: aText,
    sections: /* @__PURE__ */ listOf(
      /* @__PURE__ */ objectOf({
        id: aText,
        title: aText,
        "wide?": aBoolean,
        blocks: /* @__PURE__ */ listOf(aBlock),
      }),
    ),
  }),
);

/** A locomotive for a sheet; its amounts are looked at where they are used. */
export const aLocomotive: Wanted = /* @__PURE__ */ objectOf({
  cvs: someCvs,
  decoder: aDecoder,
  "name?": aText,
  "note?": aText,
  "findings?": /* @__PURE__ */ listOf(/* @__PURE__ */ objectOf({ severity: aText, message: aText })),
});

/** Options of a sheet. */
export const ofSheet: Wanted = /* @__PURE__ */ objectOf({ "date?": aText });
