import { coordinate, escaped, plain } from "./svg.js";

/** The part of a picture that holds one diagram, in the picture's own units. */
export interface Panel {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** An axis: what it measures, and its round values. */
export interface Axis {
  /** With the unit: `Speed (mph)`. */
  readonly label: string;
  readonly ticks: readonly number[];
  /** The value at the left or bottom end. */
  readonly from: number;
  /** The value at the right or top end. */
  readonly to: number;
}

/** How a line is drawn; each look differs in its dashes too, so that it survives a black-and-white print. */
export type Look = "wished" | "forward" | "reverse" | "table" | "mark";

export const width = 640;

// Colours that people with any colour vision tell apart, once for paper and once for a dark screen. Plain
// class rules, as not every program that shows SVG knows CSS variables. A print is always dark on white.
const light = { paper: "#ffffff", ink: "#1b1f24", faint: "#d4d8dd", soft: "#57606a" };
const dark = { paper: "#14181d", ink: "#e8ebee", faint: "#39414a", soft: "#a8b1bb" };
const lines = {
  light: { wished: "#57606a", forward: "#0068a8", reverse: "#b94700", table: "#2f7d5b", mark: "#1b1f24" },
  dark: { wished: "#a8b1bb", forward: "#5cb8f2", reverse: "#f0a03c", table: "#6cc79c", mark: "#e8ebee" },
};

function colours(base: typeof light, of: typeof lines.light): string {
  const rules = [
    `.cvset-paper{fill:${base.paper}}`,
    `.cvset-text{fill:${base.ink}}`,
    `.cvset-soft{fill:${base.soft}}`,
    `.cvset-grid{stroke:${base.faint}}`,
    `.cvset-axis{stroke:${base.soft}}`,
    ...Object.entries(of).map(([look, colour]) => `.cvset-${look}{stroke:${colour}}`),
    ...Object.entries(of).map(([look, colour]) => `.cvset-${look}-fill{fill:${colour}}`),
  ];
  return rules.join("");
}

function styles(): string {
  const shapes = [
    ".cvset-picture text{font-family:system-ui,'DejaVu Sans',sans-serif;font-size:12px}",
    ".cvset-picture .cvset-title{font-size:15px;font-weight:600}",
    ".cvset-grid,.cvset-axis{stroke-width:1;fill:none}",
    ".cvset-line{fill:none;stroke-width:2;stroke-linejoin:round;stroke-linecap:round}",
    ".cvset-wished{stroke-dasharray:1 5;stroke-width:3}",
    ".cvset-reverse{stroke-dasharray:9 4}",
    ".cvset-mark{stroke-dasharray:4 3;stroke-width:1.5}",
  ];
  const night = `@media (prefers-color-scheme:dark){${colours(dark, lines.dark)}}`;
  const paper = `@media print{${colours(light, lines.light)}}`;
  return `${shapes.join("")}${colours(light, lines.light)}${night}${paper}`;
}

/** A whole picture: its frame, title, text alternative and look, around the parts. */
export function picture(
  title: string,
  description: string,
  height: number,
  parts: readonly string[],
): string {
  const size = `width="${width}" height="${height}" viewBox="0 0 ${width} ${height}"`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" class="cvset-picture" role="img" ${size}>`,
    `<title>${escaped(title)}</title>`,
    `<desc>${escaped(description)}</desc>`,
    `<style>${styles()}</style>`,
    `<rect class="cvset-paper" width="${width}" height="${height}"/>`,
    label(20, 28, fitted(title, 66), "cvset-text cvset-title"),
    ...parts,
    "</svg>\n",
  ].join("\n");
}

/** A line of text. */
export function label(
  x: number,
  y: number,
  text: string,
  look = "cvset-text",
  anchor: "start" | "middle" | "end" = "start",
): string {
  const at = `x="${coordinate(x)}" y="${coordinate(y)}"`;
  const end = anchor === "start" ? "" : ` text-anchor="${anchor}"`;
  return `<text class="${look}" ${at}${end}>${escaped(text)}</text>`;
}

/** A text cut to what fits on one line; the whole of it stays in the text alternative. */
function fitted(text: string, length: number): string {
  const letters = Array.from(text);
  return letters.length <= length ? text : `${letters.slice(0, length - 1).join("")}\u2026`;
}

/** Where a value lies between the ends of an axis. */
export function across(panel: Panel, axis: Axis, value: number): number {
  return panel.left + ((value - axis.from) / (axis.to - axis.from)) * (panel.right - panel.left);
}

/** The height of a value. */
export function up(panel: Panel, axis: Axis, value: number): number {
  return panel.bottom - ((value - axis.from) / (axis.to - axis.from)) * (panel.bottom - panel.top);
}

/** Grid, axes, their numbers and names. */
export function axes(panel: Panel, x: Axis, y: Axis): string {
  const { left, right, top, bottom } = panel;
  const out: string[] = [];
  for (const value of y.ticks) {
    const at = coordinate(up(panel, y, value));
    out.push(`<path class="cvset-grid" d="M${left} ${at}H${right}"/>`);
    out.push(label(left - 8, up(panel, y, value) + 4, plain(value, 6), "cvset-soft", "end"));
  }
  for (const value of x.ticks) {
    const at = coordinate(across(panel, x, value));
    out.push(`<path class="cvset-axis" d="M${at} ${bottom}v5"/>`);
    out.push(label(across(panel, x, value), bottom + 18, plain(value, 6), "cvset-soft", "middle"));
  }
  out.push(`<path class="cvset-axis" d="M${left} ${top}V${bottom}H${right}"/>`);
  out.push(label(left - 40, top - 10, y.label));
  out.push(label((left + right) / 2, bottom + 36, x.label, "cvset-text", "middle"));
  return out.join("\n");
}

/** A line through points in the picture's own units. */
export function line(points: readonly (readonly [x: number, y: number])[], look: Look): string {
  const path = points.map(([x, y]) => `${coordinate(x)} ${coordinate(y)}`).join("L");
  return `<path class="cvset-line cvset-${look}" d="M${path}"/>`;
}

/** One entry of the key: a sample of the line and its name. */
export interface KeyEntry {
  readonly look: Look;
  readonly text: string;
  /** What stands for it in the diagram, when that is not a line. */
  readonly sign?: "bar" | "cross";
}

/** The key under the title, in as many rows as it needs, and the height of the rows after the first. */
export function key(entries: readonly KeyEntry[]): { readonly drawn: string; readonly more: number } {
  let x = 20;
  let y = 54;
  const out: string[] = [];
  for (const { look, text, sign } of entries) {
    // The width of a letter is a guess on the safe side: the font is the reader's.
    const wide = 34 + 7 * Array.from(text).length;
    if (x > 20 && x + wide > width - 20) {
      x = 20;
      y += 20;
    }
    if (sign === "bar")
      out.push(`<rect class="cvset-${look}-fill" x="${x}" y="${y - 9}" width="26" height="9"/>`);
    else if (sign === "cross") out.push(cross(x + 13, y - 4));
    else {
      const ends = [x, x + 26].map((end) => [end, y - 4] as const);
      out.push(line(ends, look));
    }
    out.push(label(x + 34, y, text));
    x += wide + 16;
  }
  return { drawn: out.join("\n"), more: y - 54 };
}

/** The sign for a value that is not reached. */
export function cross(x: number, y: number): string {
  const [at, high] = [coordinate(x - 4), coordinate(y - 4)];
  return `<path class="cvset-line cvset-reverse" style="stroke-dasharray:none" d="M${at} ${high}l8 8m0-8l-8 8"/>`;
}
