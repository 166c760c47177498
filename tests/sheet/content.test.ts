import {
  type AnyDecoder,
  CvSet,
  choice,
  cv,
  defineDecoder,
  explain,
  flag,
  flags,
  level,
  linesOf,
  type Place,
  record,
  switched,
  text,
} from "cvset";
import { roster, type Sheet, type SheetLocomotive, setUpSheet } from "cvset/sheet";
import { factoryDefaults, locomotive, nmraAccessory } from "cvset/standard";
import { decoders, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { toCvSet } from "../../src/cv/cvset.js";
import { quillback } from "../../src/demo/quillback-s8.js";
import { no9, no11 } from "./locomotives.js";

function tableOf(sheet: Sheet, id: string): readonly (readonly string[])[] {
  const section = sheet.sections.find((one) => one.id === id);
  return (section?.blocks ?? []).flatMap((block) => (block.kind === "table" ? block.rows : []));
}

function factsOf(sheet: Sheet, id: string): Record<string, string> {
  const section = sheet.sections.find((one) => one.id === id);
  return Object.fromEntries(
    (section?.blocks ?? []).flatMap((block) => (block.kind === "facts" ? block.rows : [])),
  );
}

function everyText({ sections }: Sheet): string {
  return JSON.stringify(sections.map(({ title, blocks }) => [title, blocks]));
}

/** A decoder of the standard's CVs and some more, with everything set to 0 that is not given. */
const of = (
  features: Parameters<typeof defineDecoder>[0]["features"],
  cvs: Readonly<Record<string, number>>,
): SheetLocomotive => ({
  decoder: defineDecoder({ id: "example-x1", name: "Example X1", kind: "multifunction", features }),
  cvs: CvSet.from(cvs),
  name: "No. 1",
});

describe("the list of CVs", () => {
  test("has every CV once, its number in three forms, and the factory's where it differs", () => {
    const sheet = setUpSheet(no9);
    const rows = tableOf(sheet, "cvs");
    expect(rows.map(([name]) => name)).toEqual([...toCvSet(no9.cvs)].map(([name]) => name));
    for (const [name = "", decimal, hex = "", bits = "", factory] of rows) {
      const value = toCvSet(no9.cvs).get(name) as number;
      const standard = quillback.defaults().get(name);
      expect([Number(decimal), Number.parseInt(hex, 16), Number.parseInt(bits, 2)]).toEqual([
        value,
        value,
        value,
      ]);
      expect([hex.length, bits.length]).toEqual([2, 8]);
      expect(factory).toBe(standard === undefined || standard === value ? "" : String(standard));
    }
    const [table] = sheet.sections.find(({ id }) => id === "cvs")?.blocks ?? [];
    const marked = table?.kind === "table" ? table.marked : [];
    expect(marked?.length).toBe(rows.filter((row) => row[4] !== "").length);
    expect(factsOf(sheet, "locomotive")["CVs"]).toBe(
      `${rows.length}; ${marked?.length} of ${rows.length} differ from the factory's`,
    );
  });

  test("has the words of every short line of the explanation beside each of its CVs", () => {
    let compared = 0;
    fc.assert(
      fc.property(
        decoders().chain((decoder) => valuesOf(decoder).map((settings) => [decoder, settings] as const)),
        ([decoder, settings]: readonly [AnyDecoder, object]) => {
          let base = CvSet.empty;
          for (const { cv: name } of decoder.bits) base = base.with(name, 0);
          const cvs = decoder.encode(settings as never, base);
          const words = new Map(
            tableOf(setUpSheet({ decoder, cvs }), "cvs").map(([name = "", ...cells]) => [
              name,
              cells.at(-1) ?? "",
            ]),
          );
          expect([...words.keys()].sort()).toEqual([...cvs].map(([name]) => name).sort());
          for (const [feature, codec] of Object.entries(decoder.features)) {
            for (const { text: said, places } of linesOf(codec, cvs, feature)) {
              // Long texts are cut, and a list is told value by value.
              if (said.length > 60 || said.includes(", ")) continue;
              const [first = { cv: "" }] = places;
              const wanted = said.replace(/\s+/g, " ").trim();
              for (const { cv: name } of places) {
                compared++;
                // The words stand beside the first CV, and the others name it.
                if (name === first.cv) expect(words.get(name)).toContain(wanted);
                else expect(words.get(name)).toContain(`, with CV ${first.cv}`);
              }
            }
          }
          for (const said of words.values()) expect(said).not.toBe("");
        },
      ),
      { numRuns: 100 },
    );
    expect(compared).toBeGreaterThan(100);
  });

  test("tells of a speed table, a pair, a text, what is not in use and what is not described", () => {
    const words = Object.fromEntries(
      tableOf(setUpSheet({ ...no9, cvs: toCvSet(no9.cvs).with(250, 1).with(20, 0) }), "cvs").map((row) => [
        row[0],
        row[5],
      ]),
    );
    expect(words).toMatchObject({
      "1": "Primary Address, not in use",
      "2": "Vstart, not in use",
      "17": "Extended address: 1234",
      "18": "Extended address, with CV 17",
      "70": "Speed table, step 4: 18",
      "221": "Cylinders: Two; Knock of the rods: 3",
      "216": "Front lamp: Shows: forward; Effect: Brightens slowly",
      "250": "not in the description",
      "426@112.5": 'Tender plate: "No. 9"',
      "427@112.5": "Tender plate, with CV 426@112.5",
      "20": "reserved in the standard",
    });
  });
});

describe("keys and wires", () => {
  const lamp = (number: number, place: number, means: string) =>
    record(
      {
        effect: choice(
          cv(place).bits(0, 2),
          { steady: { value: 1, label: "Steady" }, strobe: { value: 2, label: "Strobe" } },
          { label: "Effect", means: "lamp effect" },
        ),
        lit: choice(
          cv(place).bits(3, 4),
          {
            both: { value: 0, means: "both directions" },
            ahead: { value: 1, means: "forward only" },
            back: { value: 2, means: "reverse only" },
          },
          { means: "lamp direction" },
        ),
        led: flag(cv(place).bit(7), { label: "LED", means: "LED correction" }),
      },
      { means: `${means}, output ${number}` },
    );
  const made = of(
    {
      functionMap: locomotive.functionMap,
      front: lamp(1, 120, "headlight"),
      rear: lamp(2, 121, "rear light"),
      third: lamp(3, 122, "lamp"),
      horn: level(cv(123), { max: 12, names: { none: 15 }, label: "Horn key", means: "horn, key" }),
      mute: level(cv(124), { max: 12, names: { none: 15 }, means: "mute, key" }),
      short: level(cv(125), { max: 12, means: "short whistle, key" }),
    },
    // FL(f): 1 and 3; FL(r): 1 and 2; F1: 2; F2: 3 and 9; F4: 4, which no setting describes.
    {
      ...factoryDefaults,
      33: 0b101,
      34: 0b11,
      35: 0b10,
      36: 0b100,
      37: 0,
      38: 1,
      39: 0,
      40: 0,
      41: 0,
      42: 0,
      43: 0b100,
      44: 0,
      45: 0,
      46: 0,
      120: 0x81,
      121: 0b10001,
      122: 0b01010,
      123: 2,
      124: 15,
      125: 0,
    },
  );
  const sheet = setUpSheet(made);

  test("a key does what its outputs do in each direction, and its sounds", () => {
    expect(tableOf(sheet, "keys")).toEqual([
      // The third lamp is lit forward only; the rear lamp in reverse only.
      [
        "F0 (FL)",
        "Headlight on output 1, Lamp on output 3 and Short whistle",
        "Headlight on output 1, Rear light on output 2 and Short whistle",
      ],
      ["F1", "nothing", "Rear light on output 2"],
      ["F2", "Lamp on output 3 and Horn", "Horn"],
      ["F4", "Output 4", "the same"],
      ["F9", "Output 9", "the same"],
    ]);
  });

  test("a wire carries its lamp, with the standard's colour", () => {
    expect(tableOf(sheet, "wires")).toEqual([
      ["Output 1, white", "Headlight", "Steady, LED", "F0 (FL)"],
      ["Output 2, yellow", "Rear light", "Steady, reverse only", "F0 (FL), F1"],
      ["Output 3, green", "Lamp", "Strobe, forward only", "F0 (FL), F2"],
      ["Output 4, violet", "Output 4", "\u2013", "F4"],
      ["Output 9", "Output 9", "\u2013", "F9"],
    ]);
    expect(everyText(sheet)).toContain(
      "Wire colours: NMRA S-9.1.1, section on the colour code (from memory).",
    );
  });

  test("outputs of the rule are listed, used or not", () => {
    const wiresOf = (one: SheetLocomotive) =>
      tableOf(setUpSheet(one), "wires").map(([wire]) => wire?.split(",")[0]);
    const outputs = (count: number) => Array.from({ length: count }, (_, i) => `Output ${i + 1}`);
    expect(wiresOf(no9)).toEqual(outputs(8));
    expect(wiresOf(no11)).toEqual(outputs(6));
  });
});

describe("sounds", () => {
  // -6.02 dB is a half, -12.04 dB a quarter, -20 dB a tenth.
  test.each([
    [{ unit: "%", max: 100 }, 0, "0 %, silent"],
    [{ unit: "%", max: 100 }, 10, "10 %, very quiet (\u221220 dB)"],
    [{ unit: "%", max: 100 }, 25, "25 %, quiet (\u221212 dB)"],
    [{ unit: "%", max: 100 }, 50, "50 %, medium (\u22126 dB)"],
    [{ unit: "%", max: 100 }, 100, "100 %, full (0 dB)"],
    [{ max: 15 }, 5, "33.3 %, medium (\u22129.5 dB)"],
    [{ unit: "dB", min: -40, max: 0, offset: -40 }, 34, "50.1 %, loud (\u22126 dB)"],
    [{ max: 14, names: { silent: 15 } }, 15, "silent"],
  ])("a level in words: %j at %i", (options, stored, words) => {
    const sheet = setUpSheet(
      of({ a: level(cv(120), { ...options, means: "bell, sound level" }) }, { 120: stored }),
    );
    expect(tableOf(sheet, "sounds")).toEqual([["Bell", "\u2013", words, "\u2013"]]);
  });

  test("what belongs to one sound stands in one row", () => {
    const sheet = setUpSheet(
      of(
        {
          drains: switched(
            cv(120).bit(0),
            record({ time: level(cv(121), { unit: "s", label: "Open for", means: "duration" }) }),
            { label: "Drain cocks on starting", means: "drain cocks" },
          ),
          key: level(cv(122), { max: 12, means: "drain cocks, key" }),
          level: level(cv(123), { max: 4, means: "drain cocks, sound level" }),
          slip: level(cv(124), { max: 12, label: "Slip", means: "wheel slip" }),
        },
        { 120: 1, 121: 12, 122: 7, 123: 4, 124: 3 },
      ),
    );
    expect(tableOf(sheet, "sounds")).toEqual([
      ["Drain cocks on starting", "on, open for 12 s", "100 %, full (0 dB)", "F7"],
      ["Slip", "3 of 12", "\u2013", "\u2013"],
    ]);
  });
});

describe("running", () => {
  test("momentum in seconds, and in metres where the speed is known", () => {
    // 25 * 0.896 s = 22.4 s; 18 * 0.896 s = 16.128 s (S-9.2.2 (July 2012), CV 3 and 4).
    expect(factsOf(setUpSheet({ decoder: quillback, cvs: no9.cvs }), "running")).toMatchObject({
      "From stop to full speed": "22.4 s",
      "From full speed to stop": "16.1 s",
    });
    // By hand for a straight line through 0: half of the top speed times the time, 11 m/s * 8.96 s / 2, and a little
    // less time at the steps' ends; the levels are 9, 18, ... 255, so the line is straight to a percent.
    const straight = {
      ...no11,
      decoder: quillback,
      cvs: quillback.defaults().with(29, 16).with(4, 10),
      fullSpeed: 11,
    };
    const { "From full speed to stop": text = "" } = factsOf(setUpSheet(straight, { ratio: 48 }), "running");
    const [, metres, track] = /^9 s, (\d+) m, ([\d.]+) m of track$/.exec(text) ?? [];
    expect(Number(metres)).toBe(Math.round((11 * 8.96) / 2));
    expect(Number(track)).toBeCloseTo(Number(metres) / 48, 1);
  });

  test("momentum with its adjustment, and none", () => {
    const cvs = quillback
      .defaults()
      .with(3, 20)
      .with(23, 128 + 5)
      .with(4, 0)
      .with(24, 0);
    expect(factsOf(setUpSheet({ decoder: quillback, cvs, fullSpeed: 11 }), "running")).toMatchObject({
      "From stop to full speed": expect.stringMatching(/^13.4 s, \d+ m$/),
      "From full speed to stop": "at once",
    });
  });

  test("the curve as a picture, with its levels in words", () => {
    const block = setUpSheet(no9)
      .sections.flatMap(({ blocks }) => blocks)
      .find(({ kind }) => kind === "picture");
    expect(block).toMatchObject({
      text: "Drive level forward, 0 to 255: 6 at step 1, 36 at step 7, 91 at step 14, 159 at step 21, 235 at step 28.",
    });
  });

  test("has the settings in the CVs of the speed curve and of momentum, and no others", () => {
    const sectionOf = (place: number, bits: Place = cv(place)) => {
      const sheet = setUpSheet(of({ a: level(bits, { label: "A" }) }, { [place]: 1 }));
      return sheet.sections.find(({ id }) => "A" in factsOf(sheet, id))?.id;
    };
    const found = Array.from({ length: 120 }, (_, i) => [i + 1, sectionOf(i + 1)] as const);
    const numbersIn = (id: string | undefined) =>
      found.flatMap(([n, section]) => (section === id ? [n] : []));
    const table = Array.from({ length: 31 }, (_, i) => 65 + i);
    expect(numbersIn("running")).toEqual([2, 5, 6, 9, 10, 25, 29, ...table]);
    // The momentum in use, with its adjustment, is told in seconds.
    expect(numbersIn(undefined)).toEqual([3, 4, 23, 24]);
    expect(numbersIn("other").length).toBe(120 - 38 - 4);
    // Bits 0, 1 and 4 of CV 29 (S-9.2.2 (July 2012), CV 29).
    const bits = ([0, 1, 2, 3, 4, 5, 6, 7] as const).filter(
      (bit) => sectionOf(29, cv(29).bit(bit)) === "running",
    );
    expect(bits).toEqual([0, 1, 4]);
  });

  test("a speed that is none is refused", () => {
    for (const found of [Number.NaN, -1, 0, Number.POSITIVE_INFINITY, "fast" as never]) {
      expect(() => setUpSheet({ ...no9, fullSpeed: found })).toThrow(
        /^(locomotive\.)?fullSpeed: expected a number( above 0)?, got /,
      );
      expect(() => setUpSheet(no9, { ratio: found })).toThrow(
        /^(options\.)?ratio: expected a number( above 0)?, got /,
      );
    }
  });
});

test("every setting of the locomotive is told in words outside of the list of CVs", () => {
  const sheet = setUpSheet(no9);
  const told = JSON.stringify(sheet.sections.filter(({ id }) => id !== "cvs").map(({ blocks }) => blocks));
  for (const words of [
    "Three chime, for the valley",
    "Clear",
    "Spark cage, heavy",
    "One, compound",
    "Coal",
    "Pump on the crosshead",
    "Safety valves",
    "every 15 min",
    "open for 12 s",
    "0.4 s",
    "above speed step 30",
    "No. 9",
  ]) {
    expect(told).toContain(words);
  }
  // These are told in other forms: in "Extended address", as a picture, and with one decimal. A lamp that shows both ways
  // has no word for it.
  const otherwise = ["address.kind", "speed.levels", "momentum.deceleration"];
  const untold = explain(quillback, toCvSet(no9.cvs)).lines.filter(
    ({ path, text: words }) =>
      !otherwise.includes(path) &&
      words !== "both-ways" &&
      !told.toLowerCase().includes(words.replaceAll('"', "").toLowerCase()),
  );
  expect(untold).toEqual([]);
  expect(factsOf(sheet, "other")).toMatchObject({
    "Lamps fade for": "0.4 s",
    "Tender plate": "No. 9",
  });
});

test("what the set does not hold is left out, and what stands for nothing is said", () => {
  const sheet = setUpSheet({ decoder: quillback, cvs: CvSet.from({ 218: 67, 234: 50 }) });
  expect(sheet.sections.map(({ id }) => id)).toEqual(["locomotive", "wires", "sounds", "cautions", "cvs"]);
  expect(tableOf(sheet, "sounds")[0]?.[1]).toMatch(/^cannot be read: .*no option has the stored number 4/);
  expect(factsOf(sheet, "locomotive")["Address"]).toBe("Not in the CV set");
  expect(sheet.title).toBe("Quillback S8 without a name");
});

test("the date is the caller's; without one there is a line to write it on", () => {
  expect(factsOf(setUpSheet(no9, { date: "14 March 2026" }), "locomotive")["Date"]).toBe("14 March 2026");
  expect(factsOf(setUpSheet(no9), "locomotive")["Date"]).toMatch(/^\.+$/);
});

test("a consist, an accessory decoder, texts and lists", () => {
  expect(factsOf(setUpSheet({ ...no9, cvs: toCvSet(no9.cvs).with(19, 160) }), "locomotive")["Consist"]).toBe(
    "Consist address 32, running reversed",
  );
  expect(factsOf(setUpSheet({ ...no9, cvs: toCvSet(no9.cvs).with(19, 32) }), "locomotive")["Consist"]).toBe(
    "Consist address 32",
  );
  const points = setUpSheet({
    decoder: nmraAccessory,
    cvs: CvSet.from({ 1: 5, 9: 1, 29: 128 }),
    name: "Points",
  });
  expect(factsOf(points, "locomotive")["Address"]).toBe("Accessory decoder address 69");
  const list = setUpSheet(
    of(
      {
        list: flags(cv(120), [1, 2, null, 4, null, null, null, null], { label: "List" }),
        plate: text(cv(121).through(122), { label: "Plate" }),
      },
      { 120: 9, 121: 65, 122: 66 },
    ),
  );
  expect(factsOf(list, "other")).toEqual({ List: "1, 4", Plate: "AB" });
});

test("cautions carry what the standard and the trade demand", () => {
  const text = everyText(setUpSheet(no9));
  for (const words of [
    "250 mA for over 100 ms",
    "series resistor",
    "smoke",
    "isolated, current-limited",
    "write an address on the main",
    "licensed person",
  ]) {
    expect(text).toContain(words);
  }
});

test("the roster has each locomotive's name, address, decoder, keys and findings", () => {
  const sheet = roster([no9, no11, { ...no11, findings: [] }], { date: "14 March 2026" });
  expect(tableOf(sheet, "locomotives")).toEqual([
    ["No. 9", "Extended address 1234", "Quillback S8", "F0 (FL), F1\u2013F9, F11", "1 warning, 1 note"],
    ["No. 11", "Primary address 3", "Dunlin M6", "F0 (FL), F1\u2013F6", "\u2013"],
    ["No. 11", "Primary address 3", "Dunlin M6", "F0 (FL), F1\u2013F6", "nothing found"],
  ]);
  expect(everyText(sheet)).toContain("No. 9: warning: CV 66, CV 95");
});
