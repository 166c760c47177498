import {
  brakeToMark,
  estimateResponse,
  matchReport,
  matchSpeeds,
  momentumProfile,
  mph,
  type SpeedResponse,
  speedCurve,
  speedPicture,
  stoppingPicture,
  targetSpeeds,
} from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { coordinate, plain, stepTicks, ticks, width } from "../../src/motion/chart.js";
import { pathsOf, steps } from "./helpers.js";

/** The elements of an XML text in order; it throws where the text is not well formed. */
function elements(xml: string): { name: string; attributes: Record<string, string>; text: string }[] {
  const found: { name: string; attributes: Record<string, string>; text: string }[] = [];
  const open: (typeof found)[number][] = [];
  const unescaped = (text: string): string => {
    if (/[<>]|&(?!(amp|lt|gt|quot|#39);)/.test(text)) throw new Error(`not escaped: ${text}`);
    const marks: Record<string, string> = { amp: "&", lt: "<", gt: ">", quot: '"', "#39": "'" };
    return text.replace(/&(amp|lt|gt|quot|#39);/g, (_, name: string) => marks[name] ?? "");
  };
  for (const part of xml.trim().split(/(<[^>]*>)/)) {
    const tag = /^<(\/?)([a-z][a-z0-9]*)((?: [a-zA-Z-]+="[^"<]*")*)(\/?)>$/.exec(part);
    if (!tag) {
      if (part.startsWith("<")) throw new Error(`no tag: ${part}`);
      const inner = open.at(-1);
      if (inner) inner.text += unescaped(part);
      else if (part.trim()) throw new Error(`text outside: ${part}`);
      continue;
    }
    const [, closing, name = "", list = "", empty] = tag;
    if (closing) {
      if (open.pop()?.name !== name) throw new Error(`${name} closes nothing`);
      continue;
    }
    const attributes: Record<string, string> = {};
    for (const [, key = "", value = ""] of list.matchAll(/ ([a-zA-Z-]+)="([^"]*)"/g))
      attributes[key] = unescaped(value);
    const element = { name, attributes, text: "" };
    found.push(element);
    if (!empty) open.push(element);
  }
  if (open.length) throw new Error(`${open.at(-1)?.name} is not closed`);
  return found;
}

/** Char of XML 1.0 (fifth edition), 2.2, without the control characters of C1, which it advises against. */
function xmlHolds(letter: string): boolean {
  const code = letter.codePointAt(0) ?? 0;
  if (code < 0x20) return code === 0x9 || code === 0xa || code === 0xd;
  if (code >= 0x7f && code <= 0x9f) return false;
  return !(code >= 0xd800 && code <= 0xdfff) && code !== 0xfffe && code !== 0xffff;
}

/** Contrast ratio of two colours (WCAG 2.1, definition of contrast ratio). */
function contrast(a: string, b: string): number {
  const [low = 0, high = 0] = [a, b]
    .map((colour) => {
      const [red = 0, green = 0, blue = 0] = [1, 3, 5].map((at) => {
        const part = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
        return part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    })
    .sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

const table = speedCurve({ start: 4, top: 255 }).levels;
const target = targetSpeeds({ start: mph(1), top: mph(45) });
/** A response with some noise; one run of it is a slip. */
const response = (top: number, slip = false): SpeedResponse =>
  estimateResponse([
    { level: 9, speed: 0 },
    ...[10, 40, 80, 130, 190, 250].flatMap((level, i) =>
      [0.99, 1, 1.02].map((part, k) => ({
        level,
        speed: mph((top * (level - 5) * part) / 245) * (slip && i === 3 && k === 1 ? 10 : 1),
        seconds: 20 - 3 * i,
      })),
    ),
  ]);
const measured = [
  { name: "No. 9", forward: response(50), reverse: response(44, true) },
  { name: "No. 10 & <son>", forward: response(40) },
];
const match = matchSpeeds({ target, locomotives: measured });
const shown = match.locomotives.map((matched, i) => ({
  matched,
  measured: measured[i] as (typeof measured)[0],
}));
const [alone, other] = shown as [(typeof shown)[0], (typeof shown)[0]];
const speeds = Array.from({ length: 28 }, (_, i) => (i + 1) / 2);
const profile = momentumProfile({ speeds, from: 28, momentum: 10 });
const textOf = (svg: string, name: string): string[] =>
  elements(svg)
    .filter((element) => element.name === name)
    .map(({ text }) => text);
/** The lines of a look in the diagrams; the first one is the sample in the key. */
const linesOf = (svg: string, look: string): [number, number][][] =>
  elements(svg)
    .filter(({ attributes }) => attributes["class"] === `cvset-line cvset-${look}`)
    .slice(1)
    .map(({ attributes }) =>
      (attributes["d"] ?? "")
        .slice(1)
        .split("L")
        .map((pair) => pair.split(" ").map(Number) as [number, number]),
    );
const all = (): string[] => [
  speedPicture({ title: "A", levels: table }),
  speedPicture({ title: "A", target }),
  speedPicture({ title: "A", target, locomotives: [alone] }),
  speedPicture({ title: "A", target, locomotives: shown, unit: "km/h" }),
  speedPicture({ title: "A", locomotives: [{ matched: other.matched }] }),
  stoppingPicture({ title: "A", profile, length: "cm", scale: "O", mark: 30, runOn: 4 }),
];

describe("a picture", () => {
  it("is well-formed XML whatever its title, which it holds", () => {
    const title = fc.oneof(
      fc.array(fc.integer({ min: 0, max: 0xffff })).map((units) => String.fromCharCode(...units)),
      fc.string({ unit: fc.constantFrom("<", ">", "&", '"', "'", "]]>", "\u0000", "\uD800", "\uFFFF", "é") }),
    );
    fc.assert(
      fc.property(title, (text) => {
        for (const svg of [
          speedPicture({ title: text, levels: table }),
          stoppingPicture({ title: text, profile }),
        ]) {
          const [found] = textOf(svg, "title");
          const wanted = Array.from(text, (letter) => (xmlHolds(letter) ? letter : "\uFFFD")).join("");
          expect(found).toBe(wanted);
        }
      }),
      { numRuns: 60 },
    );
  });

  it("has a role, a title, a text alternative, a look for dark screens and for print, and no size in pixels", () => {
    for (const svg of all()) {
      const [root, title, desc, style] = elements(svg);
      expect(root?.attributes["role"]).toBe("img");
      expect(root?.attributes["viewBox"]).toMatch(new RegExp(`^0 0 ${width} \\d+$`));
      for (const size of ["width", "height"]) expect(Object.keys(root?.attributes ?? {})).not.toContain(size);
      expect([title?.name, desc?.name, style?.name]).toEqual(["title", "desc", "style"]);
      expect(desc?.text.length).toBeGreaterThan(20);
      expect(style?.text).toContain("@media (prefers-color-scheme:dark){");
      expect(style?.text).toContain("@media print{");
      expect(svg).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it("can be read 320 px wide: no letter is smaller than 8.5 px there", () => {
    const svg = speedPicture({ title: "A", levels: table });
    const sizes = [...svg.matchAll(/font-size="(\d+)"/g)].map(([, size]) => Number(size));
    expect(new Set(sizes)).toEqual(new Set([10, 11, 13]));
    expect((Math.min(...sizes) * 320) / width).toBeGreaterThan(8.5);
  });

  it("has no label on top of another, nor one that leaves the picture", () => {
    for (const svg of all()) {
      const boxes = elements(svg).flatMap(({ name, attributes, text }) => {
        if (name !== "text") return [];
        const [x, y] = [Number(attributes["x"]), Number(attributes["y"])];
        const small = attributes["class"] === "cvset-soft";
        // The letters of common fonts are about half as wide as they are high.
        const long = Array.from(text).length * (small ? 10 : 11) * 0.55;
        const from = { middle: x - long / 2, end: x - long }[attributes["text-anchor"] ?? ""] ?? x;
        return [{ text, left: from, right: from + long, top: y - (small ? 8 : 9), bottom: y + 1 }];
      });
      expect(boxes.length).toBeGreaterThan(5);
      for (const [i, a] of boxes.entries()) {
        expect(a.left, a.text).toBeGreaterThanOrEqual(0);
        expect(a.right, a.text).toBeLessThanOrEqual(width);
        for (const b of boxes.slice(i + 1)) {
          const apart = a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
          expect(apart, `${a.text} and ${b.text}`).toBe(true);
        }
      }
    }
  });

  it("has colours that can be told from the paper: text 4.5 to 1, lines 3 to 1 (WCAG 2.1, 1.4.3 and 1.4.11)", () => {
    const style = elements(speedPicture({ title: "A", levels: table }))[3]?.text ?? "";
    const [, night = "", day = ""] = style.split(/@media (?:\(prefers-color-scheme:dark\)|print)/);
    for (const rules of [day, night]) {
      const colours = [...rules.matchAll(/\.cvset-([a-z0-9-]+)\{(?:fill|stroke):(#[0-9a-f]{6})\}/g)];
      const paper = colours.find(([, name]) => name === "paper")?.[2] ?? "";
      const others = colours.filter(([, name]) => name !== "paper" && name !== "grid");
      expect(others.length).toBe(21);
      for (const [, name = "", colour = ""] of others) {
        expect(contrast(paper, colour)).toBeGreaterThanOrEqual(["text", "soft"].includes(name) ? 4.5 : 3);
      }
    }
  });

  it("tells series apart by dashes and marks too, and what is out of reach by shape and direction", () => {
    const svg = speedPicture({ title: "A", target, locomotives: shown });
    const dashes = [0, 1, 2].map(
      (i) =>
        elements(svg).find(({ attributes }) => attributes["class"] === `cvset-line cvset-s${i}`)?.attributes[
          "stroke-dasharray"
        ],
    );
    expect(dashes).not.toContain(undefined);
    expect(new Set(dashes).size).toBe(3);
    const marks = elements(svg).flatMap(({ attributes }) =>
      /^cvset-s\d-fill$/.test(attributes["class"] ?? "")
        ? [`${attributes["class"]} ${(attributes["d"] ?? "").replace(/^M[\d.]+ [\d.]+/, "")}`]
        : [],
    );
    expect(new Set(marks).size).toBe(3);
    expect(new Set(marks.map((mark) => mark.slice(13))).size).toBe(3);
    // Faster than it runs points up, slower points down.
    expect(textOf(svg, "text")).toContain("out of reach: faster than it runs");
    expect(svg).toContain("m0 -5l4.4 7.4h-8.8z");
    const slow = targetSpeeds({ start: mph(0.2), top: mph(20) });
    const [low] = matchSpeeds({
      target: slow,
      locomotives: [{ name: "A", forward: response(50) }],
    }).locomotives;
    expect(low && speedPicture({ title: "A", target: slow, locomotives: [{ matched: low }] })).toContain(
      "m0 5l4.4 -7.4h-8.8z",
    );
  });

  it("cuts a title that is too long, but keeps it whole for readers of the text", () => {
    const title = "x".repeat(200);
    const svg = speedPicture({ title, levels: table });
    expect(textOf(svg, "title")).toEqual([title]);
    expect(textOf(svg, "text")[0]).toHaveLength(44);
  });
});

describe("the picture of a speed curve", () => {
  it("draws the levels of a table to scale", () => {
    const svg = speedPicture({ title: "A", levels: table });
    const bars = elements(svg).find(
      ({ attributes, name }) => name === "path" && attributes["class"] === "cvset-table-fill",
    );
    const heights = [...(bars?.attributes["d"] ?? "").matchAll(/v-([\d.]+)/g)].map(([, high]) =>
      Number(high),
    );
    expect(heights).toHaveLength(28);
    heights.forEach((high, i) => {
      expect(high).toBeCloseTo((100 * (table[i] as number)) / 255, 1);
    });
  });

  it("draws speeds over steps to scale: what is asked for and what is expected", () => {
    const svg = speedPicture({ title: "A", target, locomotives: [{ matched: alone.matched }] });
    const [drawn = []] = linesOf(svg, "target");
    const [expected = []] = linesOf(svg, "s0");
    expect([drawn.length, expected.length]).toEqual([28, 28]);
    // The axis ends at 50 mph; the panel is 160 high and 304 wide, with half a step at each side.
    const bottom = Math.max(...drawn.map(([, y]) => y)) + (160 * 1) / 50;
    drawn.forEach(([x, y], i) => {
      expect(x).toBeCloseTo(44 + (304 * (i + 0.5)) / 28, 1);
      expect(bottom - y).toBeCloseTo((160 * (1 + (44 * i) / 27)) / 50, 1);
      const speed = alone.matched.steps[i]?.forward?.speed ?? 0;
      expect(bottom - (expected[i]?.[1] ?? 0)).toBeCloseTo((160 * speed) / mph(50), 1);
    });
  });

  it("draws speed over level beside it on the same axis, with points, their spread, and what was left out", () => {
    const svg = speedPicture({ title: "A", target, locomotives: [alone] });
    const [curve = [], steps28 = []] = linesOf(svg, "s0");
    expect(steps28).toHaveLength(28);
    expect(Math.max(...curve.map(([x]) => x))).toBeLessThan(Math.min(...steps28.map(([x]) => x)));
    // The same speed is at the same height.
    const speed = alone.matched.steps[20]?.forward?.speed ?? 0;
    const height = steps28[20]?.[1] ?? 0;
    const near = curve.reduce((a, b) => (Math.abs(b[1] - height) < Math.abs(a[1] - height) ? b : a));
    const level = 255 * ((near[0] - 44) / ((44 + width - 12) / 2 - 6 - 44));
    expect(alone.measured.forward?.speedAt(level) ?? 0).toBeCloseTo(speed, 0);
    expect(svg).toContain("cvset-band cvset-s0-fill");
    expect(textOf(svg, "text")).toContain("run left out");
    expect(svg).toContain("m-3 -3l6 6m0 -6l-6 6");
    // Spread: an upright line through the mark of a level whose runs differ.
    expect(svg).toMatch(/<path class="cvset-sign cvset-s0" [^>]*d="M[\d.]+ [\d.]+V[\d.]+"\/>/);
  });

  it("has a panel of errors with their uncertainty, and all locomotives of a run in one picture", () => {
    const svg = speedPicture({ title: "A", target, locomotives: shown, unit: "km/h" });
    const words = textOf(svg, "text");
    for (const word of [
      "Scale speed (km/h)",
      "Error of the speed (km/h), with its uncertainty",
      "Speed step",
      "Drive level",
      "target",
      "No. 9, forward",
      "No. 9, reverse",
      "No. 10 & <son>",
    ]) {
      expect(words).toContain(word);
    }
    expect(words).not.toContain("table");
    expect(textOf(speedPicture({ title: "A", target, locomotives: [alone] }), "text")).toContain("table");
  });

  it("tells in words what it shows", () => {
    const [text] = textOf(speedPicture({ title: "A", target, levels: table }), "desc");
    expect(text).toBe(
      "Target: 1 mph at step 1, 22.2 mph at step 14, 45 mph at step 28. " +
        "Drive level of the table, 0 to 255: 4 at step 1, 125 at step 14, 255 at step 28.",
    );
    const [whole = ""] = textOf(speedPicture({ title: "A", target, locomotives: [other] }), "desc");
    expect(whole).toContain("No. 10 & <son>, forward: ");
    expect(whole).toContain("at every step that it reaches, 19 times in 20.");
    expect(whole).toMatch(/Out of reach: step .*28 \(too fast\)\./);
  });

  it.each([14, 28, 126])("shows %i steps, and a locomotive that stands", (count) => {
    const flat = Array.from({ length: count }, () => 0);
    const svg = speedPicture({ title: "A", levels: flat });
    const bars = elements(svg).find(
      ({ attributes, name }) => name === "path" && attributes["class"] === "cvset-table-fill",
    );
    expect(bars?.attributes["d"]?.match(/M/g)).toHaveLength(count);
    expect(svg).not.toMatch(/NaN|Infinity/);
  });

  const bad: [string, unknown, string[]][] = [
    ["nothing to show", { title: "A" }, ["levels"]],
    ["a list of a wrong length", { title: "A", levels: [1, 2] }, ["levels"]],
    [
      "numbers that are none",
      { title: "A", target: steps.map((s) => (s === 2 ? Number.NaN : s)) },
      ["target.1"],
    ],
    ["a title and a unit that are none", { title: 3, levels: table, unit: "knots" }, ["title", "unit"]],
  ];
  it.each(bad)("rejects %s", (_, content, paths) => {
    expect(pathsOf(() => speedPicture(content as Parameters<typeof speedPicture>[0]))).toEqual(paths);
  });
});

describe("the report of a match", () => {
  const page = matchReport({
    title: "Runs of <May>",
    ...match,
    measured,
    warnings: ['runs.csv:5: warning: "A" & level 80'],
    unit: "mph",
  });
  it("is one page without script, with pictures, tables, warnings, CVs and cautions", () => {
    expect(page.startsWith("<!doctype html>\n")).toBe(true);
    expect(page).not.toMatch(/<script|javascript:|<link|<img|https?:(?!\/\/www\.w3\.org\/2000\/svg)/i);
    expect(page.match(/<svg/g)).toHaveLength(3);
    expect(page).toContain("<h1>Runs of &lt;May&gt;</h1>");
    expect(page).toContain("<h2>No. 10 &amp; &lt;son&gt;</h2>");
    expect(page).toContain("runs.csv:5: warning: &quot;A&quot; &amp; level 80");
    for (const { table: levels } of match.locomotives) expect(page).toContain(`CV94 = ${levels[27]}`);
    expect(page).toContain("CV29 bit 4 = 1");
    expect(page.match(/<tr>/g)).toHaveLength(2 * 29);
    for (const words of ["250 mA", "smoke unit", "manuals", 'lang="en"']) expect(page).toContain(words);
  });
  it("is well formed apart from what HTML leaves open", () => {
    const closed = page
      .replace("<!doctype html>\n", "")
      .replace(/<meta [^>]*>/g, "")
      .replaceAll("\u00b1", "+-");
    expect(elements(closed.replace(/ xmlns="[^"]*"/g, "")).length).toBeGreaterThan(300);
  });
  it("rejects what it cannot show", () => {
    const broken: unknown = { title: 3, target, locomotives: 4, unit: "knots" };
    expect(pathsOf(() => matchReport(broken as Parameters<typeof matchReport>[0]))).toEqual([
      "title",
      "unit",
      "locomotives",
    ]);
  });
});

describe("the picture of a stop", () => {
  it("draws the speed over the distance, from the run-on to the stop", () => {
    const { braking, runOn } = brakeToMark({ speeds, from: 28, momentum: 10, distance: 100 });
    const svg = stoppingPicture({ title: "A", profile: braking, runOn, mark: 100, unit: "km/h" });
    const [way = []] = linesOf(svg, "s0");
    // The axes end at 100 m and 60 km/h; the panel is 170 high and 300 wide, from (44, 242).
    const at = (metres: number, kmh: number): [number, number] => [
      44 + (300 * metres) / 100,
      242 - (170 * kmh) / 60,
    ];
    const ends = [at(0, 50.4), at(runOn, 50.4), at(100, 0)];
    [way[0], way[1], way.at(-1)].forEach((point, i) => {
      expect(point?.[0]).toBeCloseTo(ends[i]?.[0] ?? 0, 1);
      expect(point?.[1]).toBeCloseTo(ends[i]?.[1] ?? 0, 1);
    });
    // Even braking: the square of the speed falls evenly over the distance.
    for (const [x, y] of way.slice(1)) {
      const metres = ((x - 44) * 100) / 300;
      const kmh = ((242 - y) * 60) / 170;
      const part = (metres - runOn) / braking.distance;
      expect(kmh ** 2 / 50.4 ** 2).toBeCloseTo(1 - part, 2);
    }
  });

  it("tells in words what it shows, on the track where that is asked for", () => {
    const content = { title: "A", profile, runOn: 4.8, mark: 67.5, length: "cm", scale: "O" } as const;
    const svg = stoppingPicture(content);
    expect(textOf(svg, "desc")).toEqual([
      "From 31.3 mph to a stop in 9 s over 130.7 cm of track. Before that it runs on for 10 cm of track. " +
        "The mark is at 140.6 cm of track; the end of the way at 140.7 cm of track.",
    ]);
    for (const word of ["Distance on the track (cm)", "Scale speed (mph)", "mark", "0 s", "2 s", "9 s"]) {
      expect(textOf(svg, "text")).toContain(word);
    }
    expect(textOf(stoppingPicture({ title: "A", profile, length: "ft" }), "desc")[0]).toContain("205.8 ft.");
  });

  it("writes the time beside its point, inside the picture", () => {
    const up = momentumProfile({ speeds, from: 0, to: 28, momentum: 10 });
    for (const each of [profile, up]) {
      const all = elements(stoppingPicture({ title: "A", profile: each }));
      const words = all.filter(({ name, text }) => name === "text" && / s$/.test(text));
      const dots = all.filter(({ name }) => name === "circle");
      expect(words.length).toBe(dots.length);
      words.forEach(({ attributes, text }, i) => {
        const [dx, dy] = [
          Number(attributes["x"]) - Number(dots[i]?.attributes["cx"]),
          Number(attributes["y"]) - Number(dots[i]?.attributes["cy"]),
        ];
        // Left of the way when braking, right when starting: the other side of the line is inside the bend.
        // At the left edge there is room on the right only.
        const side = each === up || Number(dots[i]?.attributes["cx"]) < 80 ? 1 : -1;
        expect(dx).toBeCloseTo(6 * side, 1);
        expect(attributes["text-anchor"]).toBe(side > 0 ? undefined : "end");
        expect([13, -6]).toContain(Math.round(dy));
        expect(Number(attributes["y"])).toBeLessThan(242);
        // Even braking: the speed at a marked time.
        const seconds = Number.parseFloat(text);
        const part = each === up ? seconds / 8.96 : 1 - seconds / 8.96;
        const speed = (242 - Number(dots[i]?.attributes["cy"])) * (40 / 170);
        expect(Math.abs(speed - (14 / 0.44704) * part)).toBeLessThan(0.25);
      });
    }
  });

  it("writes each time once, also when the end is a round one", () => {
    const round = momentumProfile({ speeds, from: 5, momentum: 125 });
    const words = textOf(stoppingPicture({ title: "A", profile: round }), "text").filter((text) =>
      / s$/.test(text),
    );
    expect(words.at(-1)).toBe("20 s");
    expect(new Set(words).size).toBe(words.length);
  });

  it("shows starting too, and a stop without momentum", () => {
    const up = momentumProfile({ speeds, from: 0, to: 28, momentum: 10 });
    expect(textOf(stoppingPicture({ title: "A", profile: up }), "desc")[0]).toBe(
      "From 0 mph to 31.3 mph in 9 s over 62.7 m.",
    );
    const dead = momentumProfile({ speeds, from: 28, momentum: 0 });
    expect(stoppingPicture({ title: "A", profile: dead })).not.toMatch(/NaN|Infinity/);
    const still = momentumProfile({ speeds, from: 0, momentum: 9 });
    expect(stoppingPicture({ title: "A", profile: still })).not.toMatch(/NaN|Infinity/);
  });

  const bad: [string, unknown, string[]][] = [
    ["no profile", { title: "A" }, ["profile"]],
    ["an empty one", { title: "A", profile: { points: [] } }, ["profile"]],
    ["a broken one", { title: "A", profile: { points: [{ seconds: 1, distance: Number.NaN }] } }, ["profile.points.0.distance", "profile.points.0.speed"]], // biome-ignore format: one row
    ["the track without a scale", { title: "A", profile, length: "in" }, ["scale"]],
    ["a scale that is none", { title: "A", profile, scale: "Q" }, ["scale"]],
    ["the rest", { title: null, profile, unit: "c", length: "mi", runOn: -1, mark: "x" }, ["title", "runOn", "mark", "unit", "length"]], // biome-ignore format: one row
  ];
  it.each(bad)("rejects %s", (_, content, paths) => {
    expect(pathsOf(() => stoppingPicture(content as Parameters<typeof stoppingPicture>[0]))).toEqual(paths);
  });
});

describe("axes", () => {
  it("have round values that reach the largest, not many more", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-3, max: 1e6, noNaN: true }),
        fc.integer({ min: 3, max: 8 }),
        (max, count) => {
          const marks = ticks(max, count);
          const step = (marks[1] ?? 0) - (marks[0] ?? 0);
          expect(marks[0]).toBe(0);
          expect(marks.at(-1)).toBeGreaterThanOrEqual(max * (1 - 1e-9));
          expect(marks.at(-2)).toBeLessThan(max);
          expect(marks.length).toBeLessThanOrEqual(count + 2);
          expect([1, 2, 5]).toContain(
            Number((step / 10 ** Math.floor(Math.log10(step * 1.0001))).toFixed(6)),
          );
        },
      ),
    );
    expect(ticks(46, 5)).toEqual([0, 10, 20, 30, 40, 50]);
    expect(ticks(0, 5)).toEqual([0, 1]);
    expect(stepTicks(28)).toEqual([1, 7, 14, 21, 28]);
  });
  it("write numbers short", () => {
    expect([1, 1.5, 1.256, -0.001, 100].map(coordinate)).toEqual(["1", "1.5", "1.26", "0", "100"]);
    expect([plain(1.04), plain(1.25, 2), plain(30)]).toEqual(["1", "1.25", "30"]);
  });
});
