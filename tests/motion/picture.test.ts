import {
  brakeToMark,
  momentumProfile,
  mph,
  speedCurve,
  speedPicture,
  stoppingPicture,
  wishedSpeeds,
} from "cvset/motion";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { coordinate, plain, stepTicks, ticks } from "../../src/motion/svg.js";
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
    const tag = /^<(\/?)([a-z]+)((?: [a-zA-Z-]+="[^"<]*")*)(\/?)>$/.exec(part);
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
const wished = wishedSpeeds({ start: mph(1), top: mph(45) });
const speeds = Array.from({ length: 28 }, (_, i) => (i + 1) / 2);
const profile = momentumProfile({ speeds, from: 28, momentum: 10 });
const textOf = (svg: string, name: string): string[] =>
  elements(svg)
    .filter((element) => element.name === name)
    .map(({ text }) => text);
const lineOf = (svg: string, look: string): [number, number][] => {
  const all = elements(svg).filter(({ attributes }) => attributes["class"] === `cvset-line cvset-${look}`);
  // The first one is the sample in the key.
  const path = all[1]?.attributes["d"] ?? "";
  return path
    .slice(1)
    .split("L")
    .map((pair) => pair.split(" ").map(Number) as [number, number]);
};

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

  it("has a role, a title, a text alternative, a size, and a look for dark screens and for print", () => {
    for (const svg of [
      speedPicture({ title: "A", levels: table }),
      stoppingPicture({ title: "A", profile }),
    ]) {
      const [root, title, desc, style] = elements(svg);
      expect(root?.attributes["role"]).toBe("img");
      expect(root?.attributes["viewBox"]).toBe(
        `0 0 ${root?.attributes["width"]} ${root?.attributes["height"]}`,
      );
      expect([title?.name, desc?.name, style?.name]).toEqual(["title", "desc", "style"]);
      expect(desc?.text.length).toBeGreaterThan(20);
      expect(style?.text).toContain("@media (prefers-color-scheme:dark){");
      expect(style?.text).toContain("@media print{");
      expect(svg).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it("has colours that can be told from the paper: text 4.5 to 1, lines 3 to 1 (WCAG 2.1, 1.4.3 and 1.4.11)", () => {
    const style = elements(speedPicture({ title: "A", levels: table }))[3]?.text ?? "";
    const [day = "", night = ""] = style.split("@media (prefers-color-scheme:dark)");
    for (const rules of [day, night.split("@media print")[0] ?? ""]) {
      const colours = [...rules.matchAll(/\.cvset-([a-z-]+)\{(?:fill|stroke):(#[0-9a-f]{6})\}/g)];
      const paper = colours.find(([, name]) => name === "paper")?.[2] ?? "";
      const others = colours.filter(([, name]) => name !== "paper" && name !== "grid");
      expect(others.length).toBe(13);
      for (const [, name = "", colour = ""] of others) {
        expect(contrast(paper, colour)).toBeGreaterThanOrEqual(["text", "soft"].includes(name) ? 4.5 : 3);
      }
    }
  });

  it("cuts a title that is too long, but keeps it whole for readers of the text", () => {
    const title = "x".repeat(200);
    const svg = speedPicture({ title, levels: table });
    expect(textOf(svg, "title")).toEqual([title]);
    expect(textOf(svg, "text")[0]).toHaveLength(66);
  });
});

describe("the picture of a speed curve", () => {
  it("draws speeds and levels to scale", () => {
    const svg = speedPicture({
      title: "A",
      wished,
      forward: wished.map((speed) => speed / 2),
      levels: table,
    });
    const drawn = lineOf(svg, "wished");
    const half = lineOf(svg, "forward");
    expect(drawn).toHaveLength(28);
    // The axis ends at 50 mph; the panel is 220 high and 552 wide, with half a step at each side.
    const bottom = 316;
    drawn.forEach(([x, y], i) => {
      expect(x).toBeCloseTo(64 + (552 * (i + 0.5)) / 28, 1);
      expect(bottom - y).toBeCloseTo((220 * (1 + (44 * i) / 27)) / 50, 1);
      expect(bottom - (half[i]?.[1] ?? 0)).toBeCloseTo((bottom - y) / 2, 1);
    });
    const bars = elements(svg).find(
      ({ attributes, name }) => name === "path" && attributes["class"] === "cvset-table-fill",
    );
    const heights = [...(bars?.attributes["d"] ?? "").matchAll(/v-([\d.]+)/g)].map(([, high]) =>
      Number(high),
    );
    heights.forEach((high, i) => {
      expect(high).toBeCloseTo((140 * (table[i] as number)) / 255, 1);
    });
    expect(heights).toHaveLength(28);
  });

  it("names units, and what the lines are", () => {
    const words = textOf(
      speedPicture({ title: "A", wished, reverse: wished, levels: table, unit: "km/h" }),
      "text",
    );
    for (const word of [
      "Scale speed (km/h)",
      "Drive level (0-255)",
      "Speed step",
      "wished",
      "predicted, reverse",
      "table",
    ]) {
      expect(words).toContain(word);
    }
    expect(words).not.toContain("predicted, forward");
  });

  it("tells in words what it shows", () => {
    const [text] = textOf(speedPicture({ title: "A", wished, levels: table, unreached: [28, 3, 3] }), "desc");
    expect(text).toBe(
      "Wished scale speed: 1 mph at step 1, 22.2 mph at step 14, 45 mph at step 28. " +
        "Drive level of the table, 0 to 255: 4 at step 1, 125 at step 14, 255 at step 28. Not reached: step 28, 3.",
    );
  });

  it("marks steps that are not reached, on the wished line", () => {
    const svg = speedPicture({ title: "A", wished, unreached: [3, 28, 3] });
    // Two crosses, and one in the key.
    expect(svg.match(/l8 8m0-8l-8 8/g)).toHaveLength(3);
    expect(textOf(svg, "text")).toContain("not reached");
    const points = lineOf(svg, "wished");
    const marks = [...svg.matchAll(/d="M([\d.]+) ([\d.]+)l8 8m0-8l-8 8"/g)].slice(1);
    [3, 28].forEach((step, i) => {
      const [x = 0, y = 0] = points[step - 1] ?? [];
      expect(Number(marks[i]?.[1]) + 4).toBeCloseTo(x, 1);
      expect(Number(marks[i]?.[2]) + 4).toBeCloseTo(y, 1);
    });
    expect(speedPicture({ title: "A", levels: table, unreached: [3] })).not.toContain("l8 8m0-8l-8 8");
  });

  it.each([14, 28, 126])("shows %i steps, and a locomotive that stands", (count) => {
    const flat = Array.from({ length: count }, () => 0);
    const svg = speedPicture({ title: "A", wished: flat, levels: flat });
    expect(elements(svg).length).toBeGreaterThan(20);
    expect(svg).not.toMatch(/NaN|Infinity/);
  });

  const bad: [string, unknown, string[]][] = [
    ["nothing to show", { title: "A" }, ["levels"]],
    ["lists of different lengths", { title: "A", wished, levels: [1, 2] }, ["levels"]],
    ["steps of two modes", { title: "A", wished, levels: Array.from({ length: 14 }, () => 1) }, ["levels"]],
    [
      "numbers that are none",
      { title: "A", wished: steps.map((s) => (s === 2 ? Number.NaN : s)) },
      ["wished.1"],
    ],
    ["a title and a unit that are none", { title: 3, levels: table, unit: "knots" }, ["title", "unit"]],
    ["steps that are none", { title: "A", levels: table, unreached: [0, 29, 1.5] }, [0, 1, 2].map((i) => `unreached.${i}`)], // biome-ignore format: one row
  ];
  it.each(bad)("rejects %s", (_, content, paths) => {
    expect(pathsOf(() => speedPicture(content as Parameters<typeof speedPicture>[0]))).toEqual(paths);
  });
});

describe("the picture of a stop", () => {
  it("draws the speed over the distance, from the run-on to the stop", () => {
    const { braking, runOn } = brakeToMark({ speeds, from: 28, momentum: 10, distance: 100 });
    const svg = stoppingPicture({ title: "A", profile: braking, runOn, mark: 100, unit: "km/h" });
    const way = lineOf(svg, "forward");
    // The axes end at 100 m and 60 km/h; the panel is 220 high and 552 wide, from (64, 316).
    const at = (metres: number, kmh: number): [number, number] => [
      64 + (552 * metres) / 100,
      316 - (220 * kmh) / 60,
    ];
    const ends = [at(0, 50.4), at(runOn, 50.4), at(100, 0)];
    [way[0], way[1], way.at(-1)].forEach((point, i) => {
      expect(point?.[0]).toBeCloseTo(ends[i]?.[0] ?? 0, 1);
      expect(point?.[1]).toBeCloseTo(ends[i]?.[1] ?? 0, 1);
    });
    // Even braking: the square of the speed falls evenly over the distance.
    for (const [x, y] of way.slice(1)) {
      const metres = ((x - 64) * 100) / 552;
      const kmh = ((316 - y) * 60) / 220;
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
        expect(dx).toBeCloseTo(each === up ? 8 : -8, 1);
        expect(attributes["text-anchor"]).toBe(each === up ? undefined : "end");
        expect([15, -6]).toContain(Math.round(dy));
        expect(Number(attributes["y"])).toBeLessThan(316);
        // Even braking: the speed at a marked time.
        const seconds = Number.parseFloat(text);
        const part = each === up ? seconds / 8.96 : 1 - seconds / 8.96;
        const speed = (316 - Number(dots[i]?.attributes["cy"])) * (40 / 220);
        expect(Math.abs(speed - (14 / 0.44704) * part)).toBeLessThan(0.2);
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
