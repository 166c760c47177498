// What XML 1.0 (fifth edition, 2.2) has no way to write, or advises against: control characters, halves of a
// surrogate pair, and two noncharacters.
const unwritable = /[^\P{Cc}\t\n\r]|\p{Cs}|[\uFFFE\uFFFF]/gu;

const entities: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/**
 * A text for XML 1.0 and HTML, for elements and for attributes in quotes: markup is escaped, and characters
 * that XML cannot hold are replaced by U+FFFD.
 * @param text Any text.
 */
export function escapeXml(text: string): string {
  return text.replace(unwritable, "\uFFFD").replace(/[&<>"']/g, (mark) => entities[mark] as string);
}
