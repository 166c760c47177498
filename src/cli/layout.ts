/**
 * Rows in columns. The last column but one is broken over lines when it would be too wide.
 * @param rows Three cells each.
 * @param width How wide a line may be.
 */
export function columns(rows: readonly (readonly [string, string, string])[], width: number): string[] {
  const first = widest(rows.map(([a]) => a));
  const last = Math.min(widest(rows.map(([, , c]) => c)), 40);
  const room = Math.max(20, width - first - last - 6);
  const middle = Math.min(widest(rows.map(([, b]) => b)), room);
  const lines: string[] = [];
  for (const [a, b, c] of rows) {
    const [head = "", ...more] = wrap(b, middle);
    lines.push(`  ${a.padEnd(first)}  ${head.padEnd(middle)}  ${c}`.trimEnd());
    for (const line of more) lines.push(`  ${" ".repeat(first)}  ${line}`);
  }
  return lines;
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
