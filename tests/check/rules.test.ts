import { type AnyDecoder, CvError, CvSet, choice, cv, defineDecoder, level, record, switched } from "cvset";
import {
  checkFleet,
  checkSet,
  defineRule,
  type Finding,
  readingFindings,
  ruleList,
  standardRules,
} from "cvset/check";
import { readCvSet } from "cvset/files";
import { describeCv, lock, locomotive, nmra, nmraAccessory } from "cvset/standard";
import { describe, expect, it, test } from "vitest";
import { decoder, good } from "./locomotive.js";

type Options = Parameters<typeof checkSet>[1];
type Change = Readonly<Record<string, number | null>>;

/** The good locomotive with some CVs changed; null takes one out. */
function broken(change: Change): CvSet {
  let cvs = good;
  for (const [name, value] of Object.entries(change)) {
    cvs = value === null ? cvs.without(name) : cvs.with(name, value);
  }
  return cvs;
}

const short = 0b10010; // CV 29 of the good locomotive, but with the short address
const points = 0b100010; // ... but with CV 2, 5 and 6 instead of the table
const table = (level: (step: number) => number): Change =>
  Object.fromEntries(Array.from({ length: 28 }, (_, i) => [String(67 + i), level(i + 1)]));

// [rule, severity, what is broken, the CVs and the message of the finding, options, other findings, its own way to fix it]
const mutations: [
  string,
  Finding["severity"],
  Change,
  string[],
  string,
  { options?: Options; also?: string[]; fix?: string }?,
][] = [
  [
    "primary-address",
    "error",
    { 1: 0 },
    ["1"],
    "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names",
  ],
  [
    "primary-address",
    "error",
    { 1: 0, 29: short },
    ["1"],
    "CV 1 is 0: the decoder leaves digital mode for the power source that CV 12 names",
  ],
  [
    "primary-address",
    "error",
    { 1: 128, 29: short },
    ["1"],
    "CV 1 is 128, which is not an address: addresses are 1 to 127, and bit 7 must be 0",
  ],
  [
    "primary-address",
    "error",
    { 1: 255 },
    ["1"],
    "CV 1 is 255, which is not an address: addresses are 1 to 127, and bit 7 must be 0",
  ],
  // S-9.2 (July 2004): packets to addresses 100-127 are held back after a reset packet.
  [
    "service-mode-address",
    "note",
    { 1: 100, 29: short },
    ["1"],
    "primary address 100: packets to it are held back for a while after a reset packet",
  ],
  [
    "service-mode-address",
    "note",
    { 1: 111, 29: short },
    ["1"],
    "primary address 111: packets to it are held back for a while after a reset packet",
  ],
  [
    "service-mode-address",
    "warning",
    { 1: 112, 29: short },
    ["1"],
    "primary address 112: packets to it begin like service-mode packets, and are held back for a while after a reset packet",
  ],
  [
    "service-mode-address",
    "warning",
    { 1: 127, 29: short },
    ["1"],
    "primary address 127: packets to it begin like service-mode packets, and are held back for a while after a reset packet",
  ],
  [
    "extended-address",
    "error",
    { 17: 191 },
    ["17", "18"],
    "CV 17 is 191, outside 192 to 231: CV 17 and 18 hold no extended address",
  ],
  [
    "extended-address",
    "error",
    { 17: 232 },
    ["17", "18"],
    "CV 17 is 232, outside 192 to 231: CV 17 and 18 hold no extended address",
  ],
  [
    "extended-address",
    "note",
    { 17: 0, 29: short },
    ["17", "18"],
    "CV 17 is 0, outside 192 to 231: CV 17 and 18 hold no extended address (CV 29 bit 5 does not select one)",
  ],
  [
    "extended-address",
    "error",
    { 17: 192, 18: 0 },
    ["17", "18"],
    "the extended address is 0, which cannot be called",
  ],
  [
    "extended-address-low",
    "warning",
    { 17: 192, 18: 1 },
    ["17", "18"],
    "extended address 1: many systems send addresses up to 127 only as primary ones",
  ],
  [
    "extended-address-low",
    "warning",
    { 17: 192, 18: 127 },
    ["17", "18"],
    "extended address 127: many systems send addresses up to 127 only as primary ones",
  ],
  [
    "extended-address-missing",
    "error",
    { 17: null, 18: null },
    ["29", "17", "18"],
    "CV 29 bit 5 selects the extended address, but the set lacks CV 17 and 18",
  ],
  [
    "extended-address-missing",
    "error",
    { 18: null },
    ["29", "18"],
    "CV 29 bit 5 selects the extended address, but the set lacks CV 18",
  ],
  [
    "speed-table-incomplete",
    "error",
    { 70: null, 71: null, 72: null, 94: null },
    ["29", "70", "71", "72", "94"],
    "CV 29 bit 4 selects the speed table, but the set lacks CV 70-72, 94",
  ],
  [
    "decoder-kind",
    "error",
    { 29: 0b10110010 },
    ["29"],
    "CV 29 bit 7 is 1, which means an accessory decoder; Teal T4 is a multi-function decoder",
  ],
  [
    "speed-curve-order",
    "warning",
    { 29: points, 2: 91 },
    ["2", "6"],
    "Vstart (CV 2) is 91, above Vmid (CV 6), 90: more throttle gives less speed",
  ],
  [
    "speed-curve-order",
    "warning",
    { 29: points, 6: 221 },
    ["6", "5"],
    "Vmid (CV 6) is 221, above Vhigh (CV 5), 220: more throttle gives less speed",
  ],
  [
    "speed-curve-order",
    "warning",
    { 29: points, 6: 1, 5: 5 },
    ["2", "5"],
    "Vstart (CV 2) is 6, above Vhigh (CV 5), 5: more throttle gives less speed",
  ],
  [
    "speed-table-falls",
    "warning",
    { 80: 100 },
    ["79", "80"],
    "the speed table falls at step 14: more throttle gives less speed",
  ],
  [
    "speed-curve-order",
    "warning",
    { 29: points, 2: 3, 6: 0, 5: 2 },
    ["2", "5"],
    "Vstart (CV 2) is 3, above Vhigh (CV 5), 2: more throttle gives less speed",
  ],
  ["speed-table-starts-at-0", "warning", { 67: 0 }, ["67"], "the speed table gives no drive at step 1"],
  // S-9.2.2 (July 2012), CV 25: 128-154 are printed for 26 positions. Neither end is an error.
  [
    "mid-step-unclear",
    "note",
    { 25: 128 },
    ["25"],
    "CV 25 is 128: by this library's reading Vmid applies at step 1 of 28, by another the value has no step",
  ],
  [
    "mid-step-unclear",
    "note",
    { 25: 154 },
    ["25"],
    "CV 25 is 154: by this library's reading Vmid applies at step 27 of 28, by another at step 26",
  ],
  [
    "long-stop",
    "warning",
    { 4: 10, 24: null },
    ["4"],
    "from 300 mm/s the locomotive takes 9.0 s and 1344 mm to stop; 1343 mm are allowed",
    { options: { stopping: { withinMm: 1343, topSpeedMmPerS: 300 } } },
  ],
  [
    "speed-table-starts-at-0",
    "warning",
    { 67: 0, 68: 0 },
    ["67", "68"],
    "the speed table gives no drive at step 1-2",
  ],
  [
    "speed-table-flat",
    "warning",
    table(() => 90),
    Array.from({ length: 28 }, (_, i) => String(67 + i)),
    "every level of the speed table is 90: all speed steps give the same speed",
  ],
  [
    "speed-table-flat",
    "warning",
    table(() => 0),
    Array.from({ length: 28 }, (_, i) => String(67 + i)),
    "every level of the speed table is 0: the locomotive does not move",
  ],
  [
    "trim-clips",
    "warning",
    { 66: 140 },
    ["66", "93", "94"],
    "the forward trim (CV 66) is 140/128 and lifts step 27-28 above 255, where the speed is cut off",
  ],
  [
    "trim-clips",
    "warning",
    { 95: 133 },
    ["95", "94"],
    "the reverse trim (CV 95) is 133/128 and lifts step 28 above 255, where the speed is cut off",
  ],
  [
    "long-stop",
    "warning",
    { 4: 10 },
    ["4", "24"],
    "from 300 mm/s the locomotive takes 9.0 s and 1344 mm to stop; 1300 mm are allowed",
    { options: { stopping: { withinMm: 1300, topSpeedMmPerS: 300 } } },
  ],
  [
    "long-stop",
    "warning",
    { 24: 2 },
    ["4", "24"],
    "from 300 mm/s the locomotive takes 9.0 s and 1344 mm to stop; 1300 mm are allowed",
    { options: { stopping: { withinMm: 1300, topSpeedMmPerS: 300 } } },
  ],
  [
    "long-stop",
    "warning",
    { 4: 12, 24: 129, 19: 0 },
    ["4", "24"],
    "from 300 mm/s the locomotive takes 9.9 s and 1478 mm to stop; 1300 mm are allowed",
    { options: { stopping: { withinMm: 1300, topSpeedMmPerS: 300 } } },
  ],
  [
    "consist-address",
    "warning",
    { 19: 32 },
    ["19"],
    "CV 19 holds consist address 32: at its own address the locomotive does not run",
  ],
  [
    "consist-address",
    "warning",
    { 19: 160 },
    ["19"],
    "CV 19 holds consist address 32: at its own address the locomotive does not run",
  ],
  // S-9.2.1 (July 2012), Consist Control: a decoder whose consist address is its own goes on obeying it.
  [
    "consist-address",
    "note",
    { 19: 131, 29: short },
    ["19"],
    "CV 19 holds consist address 3, which is the own address too: the locomotive goes on obeying it",
  ],
  [
    "consist-address",
    "warning",
    { 19: 3 },
    ["19"],
    "CV 19 holds consist address 3: at its own address the locomotive does not run",
  ],
  [
    "consist-functions",
    "warning",
    { 21: 1 },
    ["21"],
    "CV 21 gives functions to the consist address, but CV 19 has none",
  ],
  [
    "consist-functions",
    "warning",
    { 21: 1, 22: 32, 19: 128 },
    ["21", "22"],
    "CV 21 and 22 give functions to the consist address, but CV 19 has none",
  ],
  [
    "analogue-on",
    "warning",
    { 29: 0b110110 },
    ["29"],
    "CV 29 bit 2 allows analogue operation: without a DCC signal the locomotive may start by itself",
  ],
  [
    "decoder-lock",
    "warning",
    { 15: 3 },
    ["15", "16"],
    "CV 15 is 3 and CV 16 is 1: while they differ, the decoder ignores every CV write",
  ],
  ["key-works-nothing", "note", { 35: 0, 33: 0b101 }, ["35"], "key F1 switches no output"],
  [
    "key-works-nothing",
    "note",
    { 35: 0, 36: 0, 33: 0b1101 },
    ["35", "36"],
    "the keys F1, F2 switch no output",
  ],
  ["output-two-keys", "warning", { 36: 0b1001 }, ["33", "36"], "output 1 is switched by the keys FL and F2"],
  [
    "output-without-key",
    "warning",
    { 46: 64, 45: 64 },
    ["43", "44", "45", "46"],
    "no key switches output 14",
    { also: ["output-two-keys"] },
  ],
  [
    "output-without-key",
    "warning",
    { 46: 0 },
    ["43", "44", "45", "46"],
    "no key switches output 14",
    { also: ["key-works-nothing"] },
  ],
  // In a set that is kept they are notes: a later edition or the maker may have given them a meaning.
  ["reserved-cv", "note", { 20: 1 }, ["20"], "CV 20 is reserved in the edition of July 2012"],
  [
    "reserved-cv",
    "note",
    { 20: 1, 111: 255 },
    ["20", "111"],
    "CV 20, 111 are reserved in the edition of July 2012",
  ],
  [
    "reserved-cv",
    "warning",
    { 7: null, 8: null, 20: 1, 96: 1, 97: 2, 98: 3, 100: 0 },
    ["20", "96", "97", "98", "100"],
    "CV 20, 96-98, 100 are reserved in the edition of July 2012",
    { options: { forWriting: true } },
  ],
  [
    "reserved-bit",
    "note",
    { 29: 0b1110010 },
    ["29"],
    "CV 29 bit 6 is set, but reserved in the edition of July 2012",
  ],
  [
    "reserved-bit",
    "warning",
    { 7: null, 8: null, 29: 0b1110010 },
    ["29"],
    "CV 29 bit 6 is set, but reserved in the edition of July 2012",
    { options: { forWriting: true } },
  ],
  [
    "reserved-bit",
    "note",
    { 27: 0b11001001 },
    ["27"],
    "CV 27 bit 3 and 6 and 7 are set, but reserved in the edition of July 2012",
  ],
  [
    "reserved-bit",
    "note",
    { 28: 0b00001011 },
    ["28"],
    "CV 28 bit 3 is set, but reserved in the edition of July 2012",
  ],
  [
    "reserved-cv",
    "warning",
    { 7: null, 8: null, 20: 0 },
    ["20"],
    "CV 20 is reserved in the edition of July 2012",
    { options: { forWriting: true } },
  ],
  [
    "reserved-cv",
    "note",
    { 107: 1, 108: 2 },
    ["107", "108"],
    "CV 107, 108 are reserved in the edition of July 2012",
  ],
  [
    "reserved-bit",
    "note",
    { 12: 0b11000000 },
    ["12"],
    "CV 12 bit 6 and 7 are set, but reserved in the edition of July 2012",
  ],
  [
    "reserved-bit",
    "note",
    { 28: 0b10000011 },
    ["28"],
    "CV 28 bit 7 is set, but reserved in the edition of July 2012; later ones use it (from memory)",
  ],
  [
    "reserved-page",
    "note",
    { 31: 0 },
    ["31"],
    "CV 31 is 0: the edition of July 2012 reserves the pages below 16 for the NMRA",
  ],
  [
    "reserved-page",
    "note",
    { "257@15.255": 1 },
    ["257@15.255"],
    "CV 257@15.255 is on a page that the edition of July 2012 reserves for the NMRA",
  ],
  [
    "reserved-page",
    "warning",
    { 7: null, 8: null, "257@15.255": 1, "258@15.255": 1 },
    ["257@15.255", "258@15.255"],
    "CV 257@15.255, 258@15.255 are on pages that the edition of July 2012 reserves for the NMRA",
    { options: { forWriting: true } },
  ],
  [
    "reserved-page",
    "note",
    { 31: 3, 400: 1 },
    ["31"],
    "CV 31 is 3: the edition of July 2012 reserves the pages below 16 for the NMRA",
    { also: ["page-missing"] },
  ],
  [
    "reserved-page",
    "warning",
    { 7: null, 8: null, 31: 3, 400: 1 },
    ["31"],
    "CV 31 is 3: the edition of July 2012 reserves the pages below 16 for the NMRA",
    { also: ["page-missing"], options: { forWriting: true } },
  ],
  [
    "read-only-cv",
    "warning",
    { 8: 14 },
    ["7", "8"],
    "CV 7, 8 cannot be written",
    { options: { forWriting: true } },
  ],
  [
    "read-only-cv",
    "error",
    { 7: null, 8: 8 },
    ["8"],
    "CV 8 = 8 asks the decoder for a factory reset when it is written",
    { options: { forWriting: true } },
  ],
  [
    "page-missing",
    "warning",
    { 301: 4 },
    ["301"],
    "CV 301 has no index page",
    { fix: 'Write it with its page; if that is the one of CV 31 and 32 in this set, as "301@73.9".' },
  ],
  [
    "page-missing",
    "warning",
    { 301: 4, 302: 4 },
    ["301", "302"],
    "CV 301, 302 have no index page",
    {
      fix: 'Write it with its page; if that is the one of CV 31 and 32 in this set, as "301@73.9" and so on.',
    },
  ],
  [
    "unknown-cv",
    "warning",
    { 150: 4, "390@73.9": 1 },
    ["150", "390@73.9"],
    "CV 150, 390@73.9 are not in the description of Teal T4",
  ],
  ["unknown-cv", "warning", { 150: 4 }, ["150"], "CV 150 is not in the description of Teal T4"],
  // The numbers of another decoder are one finding, whatever else would be said of each.
  [
    "other-decoder",
    "warning",
    { 246: null, 249: null, 252: null, "389@73.9": null, 130: 1, 131: 2, 132: 3, 133: 4, 134: 5 },
    ["130", "131", "132", "133", "134"],
    "these look like the numbers of another decoder: 5 of 5 CVs of the maker stand for nothing in Teal T4",
  ],
  [
    "setting-out-of-range",
    "error",
    { 249: 161, 252: 2 },
    ["249"],
    "drains.seconds: CV 249: the stored number 161 is out of range; allowed is 6 to 160, for 1.5 to 40 s",
  ],
  [
    "setting-unreadable",
    "error",
    { 246: 0b0000_0100 },
    ["246"],
    "fuel: CV 246 bits 5-7: no option has the stored number 0; the options are 6 slabwood, 3 coal, 1 oil",
  ],
  [
    "setting-incomplete",
    "note",
    { 66: null },
    ["66"],
    "part of speed cannot be read, because these CVs are not in the set: 66",
  ],
  [
    "teal-t4/slabwood-needs-cage",
    "error",
    { 246: 0b1100_0000 },
    ["246"],
    'fuel is "slabwood", which needs sparkCage is true (Slabwood throws sparks.)',
  ],
  [
    "teal-t4/one-steam-effect",
    "warning",
    { 252: 0b0010_0010 },
    ["252", "249"],
    'drains is not "off" and blower is true: at most one of these is allowed',
  ],
];

describe("a good locomotive", () => {
  it("gives no finding", () => {
    expect(checkSet(good, { decoder })).toEqual([]);
    expect(checkSet(good, { decoder, stopping: { withinMm: 1300, topSpeedMmPerS: 300 } })).toEqual([]);
  });

  const rules = new Map(ruleList(standardRules, [decoder]).map((rule) => [rule.name, rule]));

  test.each(mutations)(
    "%s (%s) finds %o, and nothing else",
    (rule, severity, change, cvs, message, { options, also = [], fix = rules.get(rule)?.fix } = {}) => {
      const findings = checkSet(broken(change), { decoder, file: "no9.json", ...options });
      const { source } = rules.get(rule) ?? {};
      expect(findings.filter((finding) => finding.rule === rule)).toEqual([
        { file: "no9.json", rule, severity, message, cvs, source, fix },
      ]);
      const others = findings.filter((finding) => finding.rule !== rule);
      expect(others.map((finding) => finding.rule)).toEqual(also);
      expect(others.filter((finding) => finding.severity === "error")).toEqual([]);
    },
  );

  it("is broken above once for each rule about one set", () => {
    const tried = new Set(mutations.map(([rule]) => rule));
    // These need another decoder: see below.
    const elsewhere = new Set(["output-missing", "broadcast-address"]);
    const known = [...standardRules.map(({ name }) => name).filter((name) => !elsewhere.has(name))];
    expect(known.filter((name) => !tried.has(name))).toEqual([]);
  });

  it("gives no finding at the very edge of each rule", () => {
    const edges: Change[] = [
      { 1: 1, 29: short },
      { 1: 99, 29: short },
      // The short address is not in use.
      { 1: 112 },
      { 17: 192, 18: 128 },
      { 17: 231, 18: 255 },
      // The usual content of CV 17 and 18 while the long address is not in use.
      { 17: 192, 18: 0, 29: short },
      { 29: points, 2: 90, 6: 90, 5: 90 },
      { 29: points, 6: 0, 5: 1 },
      // Not in use: neither the table nor its trims.
      { 29: points, 66: 255, ...table((step) => 255 - step) },
      { 68: 4 },
      { 66: 132, 95: 0 },
      // 255 * 128 / 128 is just what there is.
      { 94: 255 },
      { 20: 0, 111: 0 },
      { 8: 238, 107: 1, 108: 2 },
      { 67: 1 },
      // The light key works its outputs in one direction.
      { 33: 0, 34: 3 },
      { 19: 128 },
      { 31: 255, 32: 255 },
      { 15: 0, 16: 0 },
      // Both directions of the one light key.
      { 33: 3, 34: 3 },
    ];
    for (const change of edges) expect([change, checkSet(broken(change), { decoder })]).toEqual([change, []]);
  });
});

describe("outputs that a decoder lacks", () => {
  it("are named with the key that works them", async () => {
    const { defineDecoder } = await import("cvset");
    const small = defineDecoder({
      id: "small",
      name: "Small",
      kind: "multifunction",
      features: decoder.features,
      rules: [{ rule: "outputs", outputs: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13] }],
    });
    const findings = checkSet(good, { decoder: small });
    expect(findings.map(({ rule, cvs, message }) => [rule, cvs, message])).toEqual([
      ["output-missing", ["46"], "F12 switches output 14, which Small does not have"],
    ]);
  });

  it("do not matter for bits that the description has, reserved or not", async () => {
    const { cv, defineDecoder, flag } = await import("cvset");
    const later = defineDecoder({
      id: "later",
      name: "Later",
      kind: "multifunction",
      features: { logon: flag(cv(28).bit(7)), odd: flag(cv(20).bit(0)) },
    });
    const check = (value: number) =>
      checkSet(CvSet.from({ 20: 1, 28: value }), { decoder: later }).map(({ message }) => message);
    expect(check(0b10000000)).toEqual([]);
    expect(check(0b11000000)).toEqual([
      "CV 28 bit 6 is set, but reserved in the edition of July 2012; later ones use it (from memory)",
    ]);
  });

  it("keep CV 107 and 108 reserved where CV 8 is not 238, though the standard's own decoder reads them", async () => {
    const { cv, defineDecoder, flag } = await import("cvset");
    const reserved = (map: Record<number, number>, one: AnyDecoder) =>
      checkSet(CvSet.from(map), { decoder: one }).flatMap(({ rule, cvs }) =>
        rule === "reserved-cv" ? cvs : [],
      );
    expect(reserved({ 8: 13, 107: 1, 108: 2 }, nmra)).toEqual(["107", "108"]);
    expect(reserved({ 107: 1, 108: 0 }, nmra)).toEqual(["107"]);
    expect(reserved({ 8: 238, 107: 1, 108: 2 }, nmra)).toEqual([]);
    const own = defineDecoder({
      id: "own",
      name: "Own",
      kind: "multifunction",
      features: { lamp: flag(cv(107).bit(0)) },
    });
    expect(reserved({ 8: 13, 107: 1, 108: 2 }, own)).toEqual(["108"]);
  });

  it("have the reserved bits of describeCv, each CV by itself", () => {
    // Each bit of each CV is tried alone.
    for (const [kind, one] of [
      ["multifunction", nmra],
      ["accessory", nmraAccessory],
    ] as const) {
      const owned = new Map(one.bits.map(({ cv, mask }) => [cv, mask]));
      const expected: string[] = [];
      const found: string[] = [];
      for (let cv = 1; cv <= 1024; cv++) {
        const { reservedBits } = describeCv(cv, kind);
        for (let bit = 0; bit < 8; bit++) {
          if (!(((reservedBits & ~(owned.get(String(cv)) ?? 0)) >> bit) & 1)) continue;
          expected.push(`${kind} ${cv} ${bit}`);
          const reported = checkSet(CvSet.from({ [cv]: 1 << bit }), { decoder: one }).filter(
            ({ rule }) => rule === "reserved-bit",
          );
          if (reported.length === 1 && reported[0]?.cvs.join() === String(cv))
            found.push(`${kind} ${cv} ${bit}`);
        }
      }
      expect(found).toEqual(expected);
      expect(expected.length).toBeGreaterThan(8);
    }
  });

  it("are not looked for where the description does not list them", () => {
    const rules = checkSet(good.with(46, 64), { decoder: nmra }).map(({ rule }) => rule);
    expect(rules).toEqual(["output-two-keys"]);
  });
});

describe("a set of another decoder", () => {
  const settings = Array.from(
    { length: 8 },
    (_, i) => [`own${i}`, choice(cv(150 + i), { a: 1, b: 2 })] as const,
  );
  const many = defineDecoder({
    id: "many",
    name: "Many",
    kind: "multifunction",
    features: { ...locomotive, ...Object.fromEntries(settings) },
  });
  const check = (values: number[]) =>
    checkSet(
      values.reduce(
        (cvs, value, i) => cvs.with(150 + i, value),
        good.without(246).without(249).without(252).without("389@73.9"),
      ),
      { decoder: many },
    ).map(({ rule, severity, message, cvs }) => [rule, severity, message, ...cvs]);

  it("is told once, and not number by number", () => {
    expect(check([9, 8, 7, 6, 1, 2, 1, 2])).toEqual([
      [
        "other-decoder",
        "error",
        "these look like the numbers of another decoder: 4 of 8 CVs of the maker stand for nothing in Many",
        "150",
        "151",
        "152",
        "153",
      ],
    ]);
    // Three are slips.
    expect(check([9, 8, 7, 1, 1, 2, 1, 2]).map(([rule]) => rule)).toEqual([
      "setting-unreadable",
      "setting-unreadable",
      "setting-unreadable",
    ]);
  });

  it("is not told of CVs that the standard lays down", () => {
    const cvs = CvSet.from({ 10: 200, 25: 200, 31: 3, 1: 200, 17: 3, 18: 0, 29: 34 });
    expect(checkSet(cvs, { decoder: nmra }).map(({ rule }) => rule)).not.toContain("other-decoder");
  });

  it("complains of what is silenced apart from the rest", () => {
    const cvs = CvSet.from({ 150: 9, 151: 9, 152: 9, 153: 1, 154: 9 });
    const silence = [{ rule: "setting-unreadable", cvs: ["151", "154"], reason: "known" }];
    const findings = checkSet(cvs, { decoder: many, rules: standardRules.slice(1), silence });
    expect(findings.map(({ message, cvs, silenced }) => [silenced, message, ...cvs])).toEqual([
      [
        undefined,
        "own0, own2: CV 150, CV 152: no option has the stored number 9; the options are 1 a, 2 b",
        "150",
        "152",
      ],
      [
        "known",
        "own1, own4: CV 151, CV 154: no option has the stored number 9; the options are 1 a, 2 b",
        "151",
        "154",
      ],
    ]);
  });

  it("complains of the same number once, with all CVs", () => {
    expect(check([1, 1, 9, 9, 9, 2, 1, 2])).toEqual([
      [
        "setting-unreadable",
        "error",
        "own2, own3, own4: CV 152-154: no option has the stored number 9; the options are 1 a, 2 b",
        "152",
        "153",
        "154",
      ],
    ]);
  });
});

describe("a key that switches no output", () => {
  const sounds = defineDecoder({
    id: "sounds",
    name: "Sounds",
    kind: "multifunction",
    features: {
      ...locomotive,
      whistleKey: level(cv(186), { max: 12, names: { none: 15 }, means: "whistle, key" }),
      bell: switched(
        cv(188).bit(5),
        record({ key: level(cv(188).bits(0, 3), { max: 12, means: "bell key" }) }),
      ),
      keyNumber: level(cv(189), { means: "monkey" }),
    },
  });
  const idle = good
    .without(246)
    .without(249)
    .without(252)
    .without("389@73.9")
    .with(36, 0)
    .with(37, 0)
    .with(33, 0)
    .with(34, 0);
  const check = (whistle: number, bell: number) =>
    checkSet(idle.with(186, whistle).with(188, bell).with(189, 1), { decoder: sounds }).flatMap(
      ({ rule, message }) => (rule === "key-works-nothing" ? [message] : []),
    );

  it("is not told where a setting names it", () => {
    expect(check(15, 0)).toEqual(["the keys FL, F2, F3 switch no output"]);
    expect(check(2, 0)).toEqual(["the keys FL, F3 switch no output"]);
    expect(check(2, 32 + 3)).toEqual(["key FL switches no output"]);
    // Off, so the number is no key.
    expect(check(2, 3)).toEqual(["the keys FL, F3 switch no output"]);
    expect(check(0, 32 + 3)).toEqual(["key F2 switches no output"]);
  });
});

describe("an accessory decoder", () => {
  const accessory = CvSet.from({ 1: 5, 9: 1, 29: 128, 7: 3, 8: 13 });
  const check = (cvs: CvSet, options: Options = {}) =>
    checkSet(cvs, { ...options, decoder: nmraAccessory }).map(({ rule, severity, cvs }) => [
      rule,
      severity,
      ...cvs,
    ]);

  it("is not checked as a locomotive", () => {
    expect(check(accessory)).toEqual([]);
    expect(check(accessory.with(1, 0))).toEqual([]);
    expect(check(accessory.with(33, 0))).toEqual([]);
  });

  it("has rules of its own kind", () => {
    expect(check(accessory.with(29, 0))).toEqual([["decoder-kind", "error", "29"]]);
    expect(check(accessory.with(29, 0b10010101))).toEqual([["reserved-bit", "note", "29"]]);
    expect(check(accessory.with(10, 1))).toEqual([["reserved-cv", "note", "10"]]);
    expect(check(CvSet.from({ 519: 3, 520: 13 }), { forWriting: true })).toEqual([
      ["setting-incomplete", "note", "514", "515", "516", "517", "518", "540", "541"],
      ["read-only-cv", "warning", "519", "520"],
    ]);
  });

  // S-9.2.1 (July 2012), accessory packets: all decoders obey 511, and with output addresses the last four.
  it("may not have the address of all decoders", () => {
    const at = (cvs: Record<number, number>) => check(CvSet.from(cvs));
    expect(at({ 1: 63, 9: 7, 29: 128 })).toEqual([["broadcast-address", "error", "1", "9"]]);
    expect(at({ 1: 62, 9: 7, 29: 128 })).toEqual([]);
    expect(at({ 1: 0xf8, 9: 7, 29: 192 })).toEqual([]);
    expect(at({ 1: 0xf9, 9: 7, 29: 192 })).toEqual([["broadcast-address", "error", "1", "9"]]);
    expect(at({ 1: 0xfc, 9: 7, 29: 192 })).toEqual([["broadcast-address", "error", "1", "9"]]);
    // By the formula of S-9.2.2 (July 2012), CV 1 and 9, alone.
    expect(at({ 1: 0xff, 9: 7, 29: 192 })).toEqual([["broadcast-address", "warning", "1", "9"]]);
    // Extended packets: 4 * 511 + 3 is 2047; the decoder address method does not reach it.
    expect(at({ 1: 63, 9: 7, 29: 160 })).toEqual([]);
    expect(at({ 1: 0xfc, 9: 7, 29: 224 })).toEqual([["broadcast-address", "error", "1", "9"]]);
  });

  // S-9.2.2 (July 2012), accessory CV 28: bit 0 alone has a meaning.
  it("has one bit in CV 28", () => {
    expect(check(accessory.with(28, 1))).toEqual([]);
    expect(check(accessory.with(28, 2))).toEqual([["reserved-bit", "note", "28"]]);
    expect(check(accessory.with(28, 4))).toEqual([["reserved-bit", "note", "28"]]);
  });
});

describe("part of a set", () => {
  it("is checked as far as it goes", () => {
    expect(checkSet(CvSet.empty)).toEqual([]);
    expect(checkSet(CvSet.from({ 29: 34 })).map(({ rule, severity }) => [rule, severity])).toEqual([
      ["extended-address-missing", "error"],
    ]);
    expect(checkSet(CvSet.from({ 1: 3, 29: 2 }))).toEqual([]);
    // What the light key works in the other direction is not known.
    expect(checkSet(CvSet.from({ 33: 0 })).map(({ rule }) => rule)).toEqual(["setting-incomplete"]);
    expect(checkSet(CvSet.from({ 1: 3, 6: 7 })).map(({ rule, message }) => [rule, message])).toEqual([
      [
        "setting-incomplete",
        "part of address, speed cannot be read, because these CVs are not in the set: 29",
      ],
    ]);
    // A table on its own is there to be used.
    expect(
      checkSet(CvSet.from(table((step) => 30 - step) as Record<string, number>)).map(({ rule }) => rule),
    ).toContain("speed-table-falls");
  });

  it("takes CVs that the description does not have for what they are while its own make sense", () => {
    const more = Object.fromEntries(Array.from({ length: 40 }, (_, i) => [200 + i, 1]));
    const rules = checkSet(broken(more), { decoder }).map(({ rule }) => rule);
    expect(new Set(rules)).toEqual(new Set(["unknown-cv"]));
  });

  it("knows a key that a setting of the decoder gives a sound", () => {
    const sounding = defineDecoder({
      id: "teal-t5",
      name: "Teal T5",
      kind: "multifunction",
      features: {
        ...decoder.features,
        whistleKey: level(cv(170), { max: 28, names: { none: 255 }, means: "whistle key" }),
      },
      rules: decoder.rules,
    });
    const idle = (change: Change) =>
      checkSet(broken(change), { decoder: sounding as never }).filter(
        ({ rule }) => rule === "key-works-nothing",
      );
    expect(idle({ 33: 0b101, 35: 0, 170: 1 })).toEqual([]);
    expect(idle({ 33: 0b101, 35: 0, 170: 2 })).toHaveLength(1);
    expect(idle({ 33: 0b101, 35: 0, 170: 255 })).toHaveLength(1);
  });

  it("lets a condition of a description be unknown", () => {
    const unread = broken({ 246: null, 249: null, 252: 0b0010_0010 });
    expect(checkSet(unread, { decoder }).filter(({ rule }) => rule.startsWith("teal-t4/"))).toEqual([]);
  });
});

describe("the ends of the CV space", () => {
  const rules = (change: Change) =>
    checkSet(broken(change), { decoder }).map(({ rule, cvs }) => [rule, ...cvs]);
  it("belong to the range that they end", () => {
    expect(rules({ 256: 1, 257: 1, 512: 1, 513: 1, 1024: 1 })).toEqual([
      ["unknown-cv", "256", "513"],
      ["page-missing", "257", "512"],
    ]);
    expect(rules({ 31: 15, 512: 1 })).toContainEqual(["reserved-page", "31"]);
    expect(
      checkSet(broken({ 31: 15, 512: 1 }), { decoder, forWriting: true }).find(
        ({ rule }) => rule === "reserved-page",
      )?.severity,
    ).toBe("warning");
    expect(
      checkSet(broken({ 31: 15, 513: 1 }), { decoder, forWriting: true }).find(
        ({ rule }) => rule === "reserved-page",
      )?.severity,
    ).toBe("note");
    expect(rules({ "512@16.0": 1, "512@15.255": 1 })).toEqual([
      ["reserved-page", "512@15.255"],
      ["unknown-cv", "512@16.0"],
    ]);
  });

  it("are fixed with the page that the set points to", () => {
    const fix = (change: Change) =>
      checkSet(broken(change), { decoder })
        .map((finding) => finding.fix)
        .join();
    expect(fix({ 301: 4, 31: 17, 32: 5 })).toContain('"301@17.5"');
    expect(fix({ 301: 4, 32: null })).not.toContain("301@");
  });

  it("are named only as far as they are in the set", () => {
    expect(checkSet(CvSet.from({ 1: 3, 17: 3, 29: 2 })).map(({ cvs }) => cvs)).toEqual([["17"]]);
    expect(checkSet(CvSet.from({ 1: 3, 17: 3, 18: 0, 29: 2 })).map(({ cvs }) => cvs)).toEqual([["17", "18"]]);
  });
});

describe("rules from outside", () => {
  const silly = defineRule({
    name: "club/even",
    severity: "note",
    summary: "CV 3 is even.",
    source: "club rules",
    fix: "Make it even.",
    kind: "multifunction",
    find: ({ cvs, settings }) =>
      (cvs.get(3) ?? 0) % 2
        ? [{ message: `CV 3 is odd, fuel ${settings["fuel"]}`, places: [{ cv: "3", mask: 255 }] }]
        : [],
  });

  it("are applied beside the built-in ones", () => {
    const findings = checkSet(broken({ 3: 11, 19: 3 }), { decoder, rules: [...standardRules, silly] });
    expect(findings.map(({ rule, message }) => [rule, message])).toEqual([
      ["club/even", "CV 3 is odd, fuel coal"],
      ["consist-address", "CV 19 holds consist address 3: at its own address the locomotive does not run"],
    ]);
  });

  it("may be applied last, know which bits are reported, and share their work", () => {
    let worked = 0;
    const count = () => ++worked;
    const seen: boolean[][] = [];
    const look = (name: string, last: boolean) => ({
      ...silly,
      name,
      last,
      find: (set: Parameters<typeof silly.find>[0]) => {
        set.remember(count);
        seen.push(
          [0b100, 0b1000000, 0b1000100, 0b1000101].map((mask) => set.isReported([{ cv: "29", mask }])),
        );
        return [];
      },
    });
    // Bit 2 is analogue, bit 6 reserved.
    checkSet(broken({ 29: 0b1110110 }), {
      decoder,
      rules: [look("club/b", true), look("club/a", false), ...standardRules],
    });
    expect(seen).toEqual([
      [false, false, false, false],
      [true, true, true, false],
    ]);
    expect(worked).toBe(1);
  });

  it("that throw are an error among the findings, and do not stop others", () => {
    const faulty = {
      ...silly,
      find: () => {
        throw new Error("oh");
      },
    };
    const findings = checkSet(broken({ 19: 3 }), { decoder, rules: [faulty, ...standardRules] });
    expect(findings.map(({ rule, severity, message }) => [rule, severity, message])).toEqual([
      ["club/even", "error", "the rule failed: oh"],
      [
        "consist-address",
        "warning",
        "CV 19 holds consist address 3: at its own address the locomotive does not run",
      ],
    ]);
  });

  it("that find something with no sense in it are an error too", () => {
    const find = (what: unknown) => ({ ...silly, find: () => what as never });
    for (const [what, shown] of [
      [undefined, "undefined"],
      ["oh", '"oh"'],
      [[{ message: "oh" }], '[{"message":"oh"}]'],
    ] as const) {
      expect(checkSet(good, { decoder, rules: [find(what)] }).map(({ message }) => message)).toEqual([
        `the rule gives what is no list of findings: ${shown}`,
      ]);
    }
  });

  it("that throw an error about the set are told as that, with its CVs", () => {
    const decoding = { ...silly, find: ({ cvs }: { cvs: CvSet }) => (lock.decode(cvs).key === 1 ? [] : []) };
    const [finding, ...more] = checkSet(CvSet.from({ 1: 3, 15: 1 }), { rules: [decoding] });
    expect(more).toEqual([]);
    expect(finding).toMatchObject({
      rule: "club/even",
      severity: "error",
      message: "the rule cannot be applied to this set: number: CV 16: not in the CV set",
      cvs: ["16"],
    });
    expect(finding?.fix).toContain("Correct or add the CVs");
  });

  it("are not blamed for an argument that is wrong", () => {
    expect(checkSet({ 1: 3 })).toEqual(checkSet(CvSet.from({ 1: 3 })));
    expect(() => checkSet({ 1: 300 })).toThrow(/^cvs: CV 1: expected a whole number from 0 to 255, got 300$/);
    expect(() => checkSet(undefined as never)).toThrow(/^cvs: expected an object with CV numbers as keys/);
    expect(() => checkSet(good, { decoder: {} as never })).toThrow(/^decoder: expected a decoder/);
    expect(() => checkSet(good, { decoder: null as never })).toThrow(/^decoder: expected a decoder/);
    expect(() => checkSet(good, { rules: {} as never })).toThrow(/^rules: expected a list of rules/);
    expect(() => checkSet(good, { rules: [silly, null as never] })).toThrow(/^rules.1: expected a rule/);
    expect(() => checkSet(good, { rules: [{ name: "a" } as never] })).toThrow(/^rules.0: expected a rule/);
  });

  it("may gather what they find", () => {
    const gathered = (cvs: readonly string[]) => `all of ${cvs.join(" ")}`;
    const every = {
      ...silly,
      find: ({ cvs }: { cvs: CvSet }) =>
        [...cvs].map(([cv]) => ({ message: `CV ${cv}`, places: [{ cv, mask: 255 }], gathered })),
    };
    const set = CvSet.from({ 1: 3, 2: 4, 3: 5 });
    const check = (silence?: unknown) =>
      checkSet(set, { rules: [every], silence }).map(({ message, cvs, silenced }) => [
        message,
        ...cvs,
        silenced,
      ]);
    expect(check()).toEqual([["all of 1 2 3", "1", "2", "3", undefined]]);
    // What is silenced stays apart, whatever its CVs are gathered with.
    expect(check([{ rule: "club/even", cvs: ["2"], reason: "known" }])).toEqual([
      ["all of 1 3", "1", "3", undefined],
      ["CV 2", "2", "known"],
    ]);
    expect(checkSet(CvSet.from({ 7: 1 }), { rules: [every] }).map(({ message }) => message)).toEqual([
      "CV 7",
    ]);
  });

  it("are refused where they make no sense", () => {
    expect(() => defineRule({ ...silly, name: "Club Even" })).toThrow(/^name: expected a name such as/);
    expect(() => defineRule({ ...silly, severity: "fatal" as never })).toThrow(/^severity: expected/);
    expect(() => defineRule({ ...silly, fix: " " })).toThrow(/^fix: expected a sentence/);
    expect(() => checkSet(good, { rules: [silly, silly] })).toThrow(CvError);
    expect(() => checkSet(good, { stopping: { withinMm: 0, topSpeedMmPerS: 100 } })).toThrow(
      /^stopping.withinMm: expected a number above 0, got 0/,
    );
    expect(() => checkSet(good, { stopping: { withinMm: 5, topSpeedMmPerS: Number.NaN } })).toThrow(
      /^stopping.topSpeedMmPerS: expected/,
    );
  });
});

describe("silencing", () => {
  const set = broken({ 19: 3, 15: 2 });
  const check = (silence: unknown) =>
    checkSet(set, { decoder, silence, file: "a" }).map(({ rule, silenced, message }) => [
      rule,
      silenced ?? message,
    ]);
  const lock = [
    "decoder-lock",
    "CV 15 is 2 and CV 16 is 1: while they differ, the decoder ignores every CV write",
  ];
  const consist = [
    "consist-address",
    "CV 19 holds consist address 3: at its own address the locomotive does not run",
  ];

  it("takes a rule and a reason, and keeps the finding", () => {
    expect(check([{ rule: "consist-address", reason: "double-headed for good" }])).toEqual([
      lock,
      ["consist-address", "double-headed for good"],
    ]);
  });

  it("may be bound to CVs: all of the finding's must be among them", () => {
    const entry = { rule: "decoder-lock", reason: "on purpose" };
    expect(check([{ ...entry, cvs: ["15", 16] }])).toEqual([["decoder-lock", "on purpose"], consist]);
    expect(check([{ ...entry, cvs: ["15"] }])).toEqual([
      lock,
      consist,
      ["silence-unused", "silence.0: rule decoder-lock found nothing here that is only about CV 15"],
    ]);
  });

  it("is reported when it silences nothing", () => {
    expect(
      check([
        { rule: "analogue-on", reason: "x" },
        { rule: "consist-adress", reason: "x" },
      ]).slice(2),
    ).toEqual([
      ["silence-unused", "silence.0: rule analogue-on found nothing here"],
      ["silence-unused", 'silence.1: there is no rule "consist-adress"; nearest: "consist-address"'],
    ]);
    // A rule across files is applied later.
    expect(check([{ rule: "same-address", reason: "x" }])).toEqual([lock, consist]);
    expect(check([{ rule: "teal-t4/one-steam-effect", reason: "x" }]).slice(2)).toEqual([
      ["silence-unused", "silence.0: rule teal-t4/one-steam-effect found nothing here"],
    ]);
  });

  // [what is wrong, the entry, the message]
  const bad: [string, unknown, string][] = [
    [
      "no list",
      { rule: "decoder-lock", reason: "x" },
      'silence: expected a list of entries, got {"rule":"decoder-lock","reason":"x"}',
    ],
    [
      "no object",
      ["decoder-lock"],
      'silence.0: expected an object with the keys rule, cvs, reason, got "decoder-lock"',
    ],
    [
      "no reason",
      [{ rule: "decoder-lock" }],
      "silence.0.reason: expected the reason as a text, got undefined",
    ],
    [
      "a blank reason",
      [{ rule: "decoder-lock", reason: " " }],
      'silence.0.reason: expected the reason as a text, got " "',
    ],
    ["no rule", [{ reason: "x" }], "silence.0.rule: expected the name of a rule, got undefined"],
    [
      "no CVs",
      [{ rule: "decoder-lock", cvs: [], reason: "x" }],
      "silence.0.cvs: expected a list of CVs, got []",
    ],
    [
      "a CV that is none",
      [{ rule: "decoder-lock", cvs: ["1025"], reason: "x" }],
      'silence.0.cvs.0: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "1025"',
    ],
    [
      "an unknown key",
      [{ rule: "decoder-lock", because: "x" }],
      "silence.0.because: there is no such key; the keys are rule, cvs, reason",
    ],
  ];
  test.each(bad)("%s is an error, and silences nothing", (_name, silence, text) => {
    expect(check(silence)).toEqual([["silence-unusable", text], lock, consist]);
  });

  it("is read from a file", () => {
    const text =
      '{ "cvs": { "1": 3, "19": 7, "29": 2 }, "silence": [{ "rule": "consist-address", "reason": "pair" }] }';
    const file = readCvSet(text);
    if (!file.ok) throw new Error("not read");
    const findings = checkSet(file.value.cvs, { silence: file.value.silence });
    expect(findings.filter(({ rule }) => rule === "consist-address").map(({ silenced }) => silenced)).toEqual(
      ["pair"],
    );
  });
});

describe("places in the file", () => {
  it("come from the reader of the file", () => {
    const file = readCvSet("CV1 = 3\nCV19 = 7\n\n  CV 29: 2\nCV2 = 3\nCV5=0\nCV6=0\n");
    if (!file.ok) throw new Error("not read");
    const { cvs, locate } = file.value;
    const findings = checkSet(cvs, { file: "list.txt", locate });
    expect(findings.map(({ rule, line, column }) => [rule, line, column])).toEqual([
      ["consist-address", 2, 1],
    ]);
  });
});

describe("input that cannot be read", () => {
  // [what, the text, rule, line]
  const texts: [string, string, string, number | undefined][] = [
    ["a value too large", "CV1 = 3\nCV29 = 300", "value-out-of-range", 2],
    ["a CV too high", "CV1 = 3\nCV1025 = 3", "cv-out-of-range", 2],
    ["a number that is no number", '{\n"cvs": { "1": 1e400 } }', "value-out-of-range", 2],
    ["minus nothing", '{"1": -0}', "value-out-of-range", 1],
    ["a text", '{"1": "3"}', "value-out-of-range", 1],
    ["true", '{"1": true}', "value-out-of-range", 1],
    ["a repeated CV", '{"1": 3,\n"1": 4}', "file-unreadable", 2],
    ["a prototype", '{"__proto__": {"1": 3}, "2": 3}', "cv-out-of-range", 1],
    ["nothing but a prototype", '{"__proto__": {"1": 3}}', "file-unreadable", 1],
    ["settings that are no settings", '{"settings": 5}', "file-unreadable", 1],
    ["deep nesting", "[".repeat(10_000), "file-unreadable", 1],
    ["a line that is nothing", "CV1 = 3\nhello", "file-unreadable", 2],
    ["nothing at all", "", "file-unreadable", 1],
    ["binary", "\u0000\u0001", "file-unreadable", 1],
    ["a byte-order mark before it", '\ufeff{"1": 300}', "value-out-of-range", 1],
    ["nothing but a remark", "# no CV yet", "file-note", 1],
  ];
  test.each(texts)("%s is a finding with its line", (_name, text, rule, line) => {
    const result = readCvSet(text);
    const issues = result.ok ? result.notes : result.issues;
    const findings = readingFindings(issues, "in.txt");
    expect(findings.map((finding) => [finding.file, finding.rule, finding.line])).toContainEqual([
      "in.txt",
      rule,
      line,
    ]);
    expect(findings.map((finding) => finding.message).join()).not.toMatch(/\n\s+at /);
    expect(findings.map((finding) => finding.column)).toEqual(issues.map((issue) => issue.column));
  });

  it("includes settings that the decoder does not have", () => {
    const result = decoder.tryEncode(
      { fuel: "gas", sparkCage: true, whistle: 1, drains: { seconds: 90 } },
      good,
    );
    const findings = readingFindings(result.ok ? [] : result.issues, "no9.settings.json", "settings");
    expect(findings.map(({ rule, message }) => `${rule}: ${message.split(":")[0]}`).sort()).toEqual([
      "setting-unusable: drains.seconds",
      "setting-unusable: fuel",
      "setting-unusable: whistle",
    ]);
  });

  it("includes maps that are not files", () => {
    const result = CvSet.tryFrom({ 29: 256, "300@16": 1 });
    const findings = readingFindings(result.ok ? [] : result.issues, "map");
    expect(findings.map(({ rule, cvs, line }) => [rule, cvs, line])).toEqual([
      ["value-out-of-range", ["29"], undefined],
      ["cv-out-of-range", [], undefined],
    ]);
  });
});

describe("the list of rules", () => {
  it("has every name once, and those of a description", () => {
    const names = ruleList(standardRules, [decoder, decoder]).map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
    expect(names).toContain("teal-t4/slabwood-needs-cage");
    expect(names).not.toContain("undefined");
  });

  it("has the source of each and how to fix it", () => {
    for (const { name, summary, source, fix, severity } of ruleList(standardRules, [decoder])) {
      expect(name).toMatch(/^[a-z0-9-]+(\/[a-z0-9-]+)?$/);
      expect(source, name).toMatch(/S-9\.|common practice|description of|manual|format of/);
      expect(summary, name).toMatch(/[.)]$/);
      expect(fix, name).toMatch(/[.]$/);
      expect(["error", "warning", "note"]).toContain(severity);
    }
  });
});

test("a fleet of one is checked as one set", async () => {
  const cvs = broken({ 19: 3, 1: 0 });
  const findings: Finding[] = [];
  for await (const finding of checkFleet([{ file: "a", cvs }], { decoder })) findings.push(finding);
  expect(findings).toEqual(checkSet(cvs, { decoder, file: "a" }));
});
