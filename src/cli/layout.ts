/**
 * Rows in columns. One column is broken over lines when a row would be too wide; a cell that is too long for
 * its column goes on beyond it.
 * @param rows As many cells each; no cell has a line break.
 * @param width How wide a line may be.
 * @param broken Which column is broken; the last but one without it.
 */
export function columns(rows: readonly (readonly string[])[], width: number, broken?: number): string[] {
  return rowLines(rows, width, broken).flat();
}

/** The lines of each row of {@link columns}. */
export function rowLines(rows: readonly (readonly string[])[], width: number, broken?: number): string[][] {
  const count = Math.max(0, ...rows.map((row) => row.length));
  const at = broken ?? count - 2;
  // A single cell of great length must not push the others away.
  const widths = Array.from({ length: count }, (_, i) =>
    Math.min(40, widest(rows.map((row) => row[i] ?? ""))),
  );
  const others = widths.reduce((sum, one, i) => sum + (i === at ? 0 : one + 2), 2);
  widths[at] = Math.min(widest(rows.map((row) => row[at] ?? "")), Math.max(20, width - others - 2));
  return rows.map((row) => {
    const [head = "", ...more] = wrap(row[at] ?? "", widths[at] ?? 0);
    const cells = widths.map((one, i) => (i === at ? head : (row[i] ?? "")).padEnd(one));
    const indent = widths.slice(0, at).reduce((sum, one) => sum + one + 2, 2);
    return [`  ${cells.join("  ")}`.trimEnd(), ...more.map((line) => `${" ".repeat(indent)}${line}`)];
  });
}

/** A text broken at blanks into lines of a width. */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    if (line && line.length + 1 + word.length > width) {
      lines.push(line);
      line = word;
    } else line = line ? `${line} ${word}` : word;
  }
  return [...lines, line];
}

function widest(texts: readonly string[]): number {
  return texts.reduce((most, text) => Math.max(most, text.length), 0);
}
