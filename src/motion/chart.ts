import { escapeXml } from "../cv/text/escape-xml.js";

/** The part of a picture that holds one diagram, in the units of the picture. */
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

/** A point in the units of the picture. */
export type Point = readonly [x: number, y: number];

/** How many series have a look of their own; later ones repeat the looks. */
const looks = 6;
/** The look of a line: `"target"`, `"mark"`, `"table"`, or a series by number. */
export type Look = "target" | "mark" | "table" | number;

// A picture is narrow, so that its letters can be read at the width of a telephone (320 px), and has no size in
// pixels: it is as wide as the page gives it.
export const width = 360;
const margin = 10;
const font = "system-ui,'DejaVu Sans',sans-serif";
/** The greatest width at which a picture alone in a window is shown. */
const widest = "44rem";

// Colours that people with any colour vision tell apart, once for paper and once for a dark screen. Those for paper are
// attributes of what is drawn: a page whose policy forbids styles within it (`style-src 'self'`) shows the picture all
// the same. The dark ones need a style; plain class rules, as not every program that shows SVG knows CSS variables. A
// print is always dark on white.
const light = { paper: "#ffffff", ink: "#1b1f24", faint: "#d4d8dd", soft: "#57606a" };
const dark = { paper: "#14181d", ink: "#e8ebee", faint: "#39414a", soft: "#a8b1bb" };
const lines = {
  light: ["#0068a8", "#b94700", "#2f7d5b", "#7d4aa5", "#a3184f", "#5f6b00"],
  dark: ["#5cb8f2", "#f0a03c", "#6cc79c", "#c39be8", "#ff8fb0", "#c5cc5a"],
};
const others = {
  light: { target: "#57606a", table: "#2f7d5b", mark: "#1b1f24" },
  dark: { target: "#a8b1bb", table: "#6cc79c", mark: "#e8ebee" },
};
/** Each look differs in its dashes and its marks too, so that it survives a black-and-white print. */
const dashes = ["none", "7 3", "2 2.5", "8 2.5 2 2.5", "11 4", "4 2"];

type Attributes = Readonly<Record<string, string | number>>;

/** What each class paints, and with which colour. */
function paints(
  base: typeof light,
  named: typeof others.light,
  series: readonly string[],
): [name: string, Attributes][] {
  const all = [...Object.entries(named), ...series.map((colour, i): [string, string] => [`s${i}`, colour])];
  return [
    ["cvset-paper", { fill: base.paper }],
    ["cvset-text", { fill: base.ink }],
    ["cvset-soft", { fill: base.soft }],
    ["cvset-grid", { stroke: base.faint }],
    ["cvset-axis", { stroke: base.soft }],
    ...all.map(([look, colour]): [string, Attributes] => [`cvset-${look}`, { stroke: colour }]),
    ...all.map(([look, colour]): [string, Attributes] => [`cvset-${look}-fill`, { fill: colour }]),
  ];
}

/** The shape of each class, without its colour; of two classes together under both names. */
function shapesOfLooks(): Readonly<Record<string, Attributes>> {
  const thin = { "stroke-width": 1, fill: "none" };
  return {
    "cvset-soft": { "font-size": 10 },
    "cvset-title": { "font-size": 13, "font-weight": 600 },
    "cvset-grid": thin,
    "cvset-axis": thin,
    "cvset-line": { fill: "none", "stroke-width": 1.6, "stroke-linejoin": "round" },
    "cvset-sign": { fill: "none", "stroke-width": 1.4 },
    "cvset-band": { opacity: 0.2 },
    "cvset-line cvset-target": {
      "stroke-dasharray": "1 3.5",
      "stroke-width": 2.4,
      "stroke-linecap": "round",
    },
    "cvset-line cvset-mark": { "stroke-dasharray": "4 3", "stroke-width": 1.2 },
    ...Object.fromEntries(dashes.map((dash, i) => [`cvset-line cvset-s${i}`, { "stroke-dasharray": dash }])),
  };
}

/** The looks that were asked for so far; there are only some dozens. */
const known = /* @__PURE__ */ new Map<string, string>();

/** Classes, which a dark screen colours, and the attributes of their look on paper. */
export function dressed(...classes: readonly string[]): string {
  const names = classes.join(" ");
  let look = known.get(names);
  if (look === undefined) known.set(names, (look = `class="${names}"${attributesOf(names, classes)}`));
  return look;
}

function attributesOf(names: string, classes: readonly string[]): string {
  const shapes = shapesOfLooks();
  const colours = Object.fromEntries(paints(light, others.light, lines.light));
  const attributes = { ...shapes[names] };
  for (const name of [...classes].reverse()) {
    for (const [key, value] of Object.entries({ ...shapes[name], ...colours[name] }))
      attributes[key] ??= value;
  }
  return Object.entries(attributes)
    .map(([key, value]) => ` ${key}="${value}"`)
    .join("");
}

function styles(): string {
  const rules = (colours: [string, Attributes][]): string =>
    colours
      .flatMap(([name, paint]) => Object.entries(paint).map(([key, colour]) => `.${name}{${key}:${colour}}`))
      .join("");
  const night = rules(paints(dark, others.dark, lines.dark));
  const paper = rules(paints(light, others.light, lines.light));
  return [
    `.cvset-picture{max-width:${widest}}`,
    `@media (prefers-color-scheme:dark){${night}}`,
    `@media print{${paper}}`,
  ].join("");
}

/** The class of a look. */
export function classOf(look: Look): string {
  return `cvset-${typeof look === "number" ? `s${look % looks}` : look}`;
}

/** A whole picture: its frame, title, text alternative and look, around the parts. */
export function picture(
  title: string,
  description: string,
  height: number,
  parts: readonly string[],
): string {
  const high = Math.ceil(height);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" class="cvset-picture" role="img" viewBox="0 0 ${width} ${high}" font-family="${font}" font-size="11">`,
    `<title>${escapeXml(title)}</title>`,
    `<desc>${escapeXml(description)}</desc>`,
    `<style>${styles()}</style>`,
    `<rect ${dressed("cvset-paper")} width="${width}" height="${high}"/>`,
    label(margin, 20, fitted(title, 44), ["cvset-text", "cvset-title"]),
    ...parts,
    "</svg>\n",
  ].join("\n");
}

/** A line of text. */
export function label(
  x: number,
  y: number,
  text: string,
  look: string | readonly string[] = "cvset-text",
  anchor: "start" | "middle" | "end" = "start",
): string {
  const at = `x="${coordinate(x)}" y="${coordinate(y)}"`;
  const end = anchor === "start" ? "" : ` text-anchor="${anchor}"`;
  return `<text ${dressed(...[look].flat())} ${at}${end}>${escapeXml(text)}</text>`;
}

/** A text cut to what fits on one line; the whole of it stays in the text alternative. */
export function fitted(text: string, length: number): string {
  const letters = Array.from(text);
  return letters.length <= length ? text : `${letters.slice(0, length - 1).join("")}\u2026`;
}

/** Where a value lies between the ends of an axis; values outside lie at its ends. */
export function across(panel: Panel, axis: Axis, value: number): number {
  return panel.left + share(axis, value) * (panel.right - panel.left);
}

/** The height of a value; values outside lie at the ends of the axis. */
export function up(panel: Panel, axis: Axis, value: number): number {
  return panel.bottom - share(axis, value) * (panel.bottom - panel.top);
}

function share({ from, to }: Axis, value: number): number {
  return Math.min(1, Math.max(0, (value - from) / (to - from)));
}

/** Grid, axes, their numbers and names. The numbers of the upright axis are left out where a panel shares them. */
export function axes(panel: Panel, x: Axis, y: Axis, sharesNumbers = false): string {
  const { left, right, top, bottom } = panel;
  const out: string[] = [];
  for (const value of y.ticks) {
    const at = up(panel, y, value);
    out.push(`<path ${dressed("cvset-grid")} d="M${left} ${coordinate(at)}H${right}"/>`);
    if (!sharesNumbers) out.push(label(left - 5, at + 3.5, plain(value, 6), "cvset-soft", "end"));
  }
  for (const value of x.ticks) {
    const at = across(panel, x, value);
    out.push(`<path ${dressed("cvset-axis")} d="M${coordinate(at)} ${bottom}v4"/>`);
    out.push(label(at, bottom + 14, plain(value, 6), "cvset-soft", "middle"));
  }
  out.push(`<path ${dressed("cvset-axis")} d="M${left} ${top}V${bottom}H${right}"/>`);
  if (!sharesNumbers) out.push(label(margin, top - 8, y.label));
  out.push(label((left + right) / 2, bottom + 28, x.label, "cvset-text", "middle"));
  return out.join("\n");
}

/** A line through points. */
export function line(points: readonly Point[], look: Look): string {
  return `<path ${dressed("cvset-line", classOf(look))} d="M${path(points)}"/>`;
}

/** An area between two lines. */
export function band(lower: readonly Point[], upper: readonly Point[], look: Look): string {
  return `<path ${dressed("cvset-band", `${classOf(look)}-fill`)} d="M${path([...upper, ...[...lower].reverse()])}z"/>`;
}

function path(points: readonly Point[]): string {
  return points.map(([x, y]) => `${coordinate(x)} ${coordinate(y)}`).join("L");
}

/** The mark of a measured point; each series has a shape of its own. */
export function point(x: number, y: number, series: number): string {
  const at = `${coordinate(x)} ${coordinate(y)}`;
  const shapes = [
    `M${at}m-2.6 0a2.6 2.6 0 1 0 5.2 0a2.6 2.6 0 1 0 -5.2 0z`,
    `M${at}m-2.4 -2.4h4.8v4.8h-4.8z`,
    `M${at}m0 -3.2l3.2 5.6h-6.4z`,
    `M${at}m0 -3.4l3.4 3.4l-3.4 3.4l-3.4 -3.4z`,
    `M${at}m-3.2 -1h2.2v-2.2h2v2.2h2.2v2h-2.2v2.2h-2v-2.2h-2.2z`,
    `M${at}m0 3.2l3.2 -5.6h-6.4z`,
  ];
  return `<path ${dressed(`${classOf(series)}-fill`)} d="${shapes[series % looks]}"/>`;
}

/** What an open sign says: `"over"` and `"under"`, a target beyond what can be run; `"between"`, one that neither direction meets; `"out"`, a run that was left out. */
export type Sign = "over" | "under" | "between" | "out";

const signs: Readonly<Record<Sign, string>> = {
  over: "m0 -5l4.4 7.4h-8.8z",
  under: "m0 5l4.4 -7.4h-8.8z",
  between: "m0 -4.6l4.6 4.6l-4.6 4.6l-4.6 -4.6z",
  out: "m-3 -3l6 6m0 -6l-6 6",
};

/** An open sign. */
export function sign(x: number, y: number, kind: Sign, look: Look = "mark"): string {
  return `<path ${dressed("cvset-sign", classOf(look))} d="M${coordinate(x)} ${coordinate(y)}${signs[kind]}"/>`;
}

/** One entry of the key: what stands in the diagram, and what it is. */
export interface KeyEntry {
  readonly text: string;
  /** A line with this look, with the mark of its series where it has one. */
  readonly line?: Look;
  readonly marked?: boolean;
  readonly sign?: Sign;
  readonly bar?: Look;
}

/** The key under the title, in as many rows as it needs, and where it ends. */
export function key(entries: readonly KeyEntry[]): { readonly drawn: string; readonly bottom: number } {
  const top = 40;
  let x = margin;
  let y = top;
  const out: string[] = [];
  for (const entry of entries) {
    const text = fitted(entry.text, 50);
    // The width of a letter is a guess on the safe side: the font is the reader's.
    const wide = 26 + 6.1 * Array.from(text).length;
    if (x > margin && x + wide > width - margin) {
      x = margin;
      y += 16;
    }
    const at = y - 3.5;
    if (entry.bar !== undefined)
      out.push(
        `<rect ${dressed(`${classOf(entry.bar)}-fill`)} x="${coordinate(x)}" y="${at - 4}" width="20" height="8"/>`,
      );
    if (entry.line !== undefined) out.push(line([[x, at], [x + 20, at]], entry.line)); // biome-ignore format: one line
    if (entry.marked && typeof entry.line === "number") out.push(point(x + 10, at, entry.line));
    if (entry.sign) out.push(sign(x + 10, at, entry.sign));
    out.push(label(x + 25, y, text));
    x += wide + 10;
  }
  return { drawn: out.join("\n"), bottom: entries.length ? y + 6 : top - 14 };
}

/** A coordinate: two decimals are far below what an eye can see. */
export function coordinate(value: number): string {
  const text = value.toFixed(2);
  return text.includes(".") ? text.replace(/\.?0+$/, "").replace(/^-0$/, "0") : text;
}

/** A number for people, with at most `decimals` decimals. */
export function plain(value: number, decimals = 1): string {
  return String(Number(value.toFixed(decimals)));
}

/** Round values from 0 to at least `max`, about `count` of them. */
export function ticks(max: number, count: number): number[] {
  if (!(max > 0)) return [0, 1];
  const rough = max / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((times) => times * power >= rough * 0.999) ?? 10);
  const last = Math.ceil(max / step - 1e-9);
  return Array.from({ length: last + 1 }, (_, i) => Number((i * step).toPrecision(12)));
}

/** The steps that an axis of speed steps names: both ends, and three or one between. */
export function stepTicks(count: number, few = false): number[] {
  if (few) return [1, Math.round(count / 2), count];
  return [1, Math.round(count / 4), Math.round(count / 2), Math.round((3 * count) / 4), count];
}
