import type { BitMeaning, CvContents } from "./contents.js";

// S-9.2.2 (July 2012), the paragraphs of the CVs of Table 1. What is marked "common practice" or "from
// memory" is not in that text.

/** Bits 0-7 for F1 to F8, as in CV 13 and 21. */
function f1ToF8(what: string): readonly BitMeaning[] {
  return [0, 1, 2, 3, 4, 5, 6, 7].map((bit) => ({ bits: [bit, bit], text: `F${bit + 1} ${what}` }));
}

/** Bits 0-5 for FL and F9 to F12, as in CV 14 and 22. */
function flF9ToF12(what: string): readonly BitMeaning[] {
  const named = ["FL forward", "FL reverse", "F9", "F10", "F11", "F12"];
  return [
    ...named.map((name, bit): BitMeaning => ({ bits: [bit, bit], text: `${name} ${what}` })),
    { bits: [6, 7], text: "not assigned", reserved: true },
  ];
}

/** CV 33-46: each function, and the output of its bit 0. */
function functionOutputs(): readonly CvContents[] {
  const names = ["FL forward", "FL reverse", ...Array.from({ length: 12 }, (_, i) => `F${i + 1}`)];
  return names.map((name, i): CvContents => {
    const first = i < 5 ? 1 : i < 10 ? 4 : 7;
    const output = i + 1;
    return {
      cvs: [33 + i, 33 + i],
      name: `Output Location ${name}`,
      text: `the outputs that ${name} works, one bit each: outputs ${first}-${first + 7}`,
      bits: Array.from({ length: 8 }, (_, bit) => ({
        bits: [bit, bit],
        text: `works output ${first + bit}`,
      })),
      factory: 2 ** (output - first),
    };
  });
}

const trim = "factor n/128 on every drive level; 0: no trim";
const adjustmentBits: readonly BitMeaning[] = [
  { bits: [0, 6], text: "the amount, in steps of 0.896 s between stop and full speed" },
  { bits: [7, 7], text: "0: added, 1: subtracted" },
];
const notUsed = "0 and 1: not used in the curve";

/** The contents of the CVs of a multi-function decoder, in CV order. */
export const multifunctionContents: readonly CvContents[] = /* @__PURE__ */ allContents();

function allContents(): readonly CvContents[] {
  return [
    { cvs: [1, 1], text: "the primary address, 1-127; 0: out of digital mode, to the power source of CV 12" },
    { cvs: [2, 2], text: "drive level at step 1, n/255 of the available voltage" },
    { cvs: [3, 3], text: "CV * 0.896 s from stop to full speed; 0: no momentum" },
    { cvs: [4, 4], text: "CV * 0.896 s from full speed to stop; 0: no momentum" },
    { cvs: [5, 5], text: `drive level at the top step, n/255 of the available voltage; ${notUsed}` },
    { cvs: [6, 6], text: `drive level at the middle step, n/255 of the available voltage; ${notUsed}` },
    { cvs: [7, 7], text: "the maker's version number" },
    {
      cvs: [8, 8],
      text: "the maker's number; 238: CV 107 and 108 hold it",
      source: "CV 8; Table 1, CV 107-108, for 238",
    },
    {
      cvs: [9, 9],
      text: "pulse width modulation period, (131 + 4m) * 2^e microseconds",
      bits: [
        { bits: [0, 4], text: "m, 0-31" },
        { bits: [5, 7], text: "e, 0-7" },
      ],
    },
    { cvs: [10, 10], text: "speed step, 1-128, above which back-EMF control cuts off" },
    { cvs: [11, 11], text: "how long the decoder keeps its speed without a packet for it" },
    {
      cvs: [12, 12],
      text: "the power sources other than DCC, one bit each",
      bits: [
        { bits: [0, 0], text: "analogue" },
        { bits: [1, 1], text: "radio" },
        { bits: [2, 5], text: "systems older than DCC, one bit each" },
        { bits: [6, 7], text: "not assigned", reserved: true },
      ],
    },
    { cvs: [13, 13], text: "the functions that are on in alternate mode", bits: f1ToF8("is on") },
    { cvs: [14, 14], text: "the functions that are on in alternate mode", bits: flF9ToF12("is on") },
    {
      cvs: [15, 15],
      name: "Decoder Lock, key",
      text: "CV writes are obeyed only while this equals CV 16",
    },
    {
      cvs: [16, 16],
      name: "Decoder Lock, number",
      text: "this decoder's number in the locomotive: 1 motor, 2 sound, others from 3",
    },
    {
      cvs: [17, 17],
      name: "Extended Address, high byte",
      text: "192 + extended address / 256, so 192-231; in use while CV 29 bit 5 is 1; written before CV 18",
    },
    { cvs: [18, 18], name: "Extended Address, low byte", text: "extended address modulo 256" },
    {
      cvs: [19, 19],
      text: "the consist address and the direction in it",
      bits: [
        { bits: [0, 6], text: "the address, 1-127; 0: not in a consist" },
        { bits: [7, 7], text: "1: runs against its normal direction" },
      ],
    },
    {
      cvs: [21, 21],
      text: "the functions that also work from the consist address",
      bits: f1ToF8("works from the consist address"),
    },
    {
      cvs: [22, 22],
      text: "the functions that also work from the consist address",
      bits: flF9ToF12("works from the consist address"),
    },
    { cvs: [23, 23], text: "the amount that is added to CV 3 or subtracted from it", bits: adjustmentBits },
    { cvs: [24, 24], text: "the amount that is added to CV 4 or subtracted from it", bits: adjustmentBits },
    {
      cvs: [25, 25],
      text: "2-127: a speed table of the decoder's own, 2 a straight line; 128-154: Vmid applies at step value - 127 of 28 (the standard names 26 steps for these 27 values); 0 and 1: unused",
    },
    {
      cvs: [27, 27],
      text: "the track signals that stop the locomotive, one bit each",
      bits: [
        { bits: [0, 0], text: "asymmetrical DCC, right rail more positive" },
        { bits: [1, 1], text: "asymmetrical DCC, left rail more positive" },
        { bits: [2, 2], text: "cutout of signal-controlled influence" },
        { bits: [3, 3], text: "reserved", reserved: true },
        { bits: [4, 4], text: "direct current of reverse polarity" },
        { bits: [5, 5], text: "direct current of forward polarity" },
        { bits: [6, 7], text: "reserved", reserved: true },
      ],
    },
    {
      cvs: [28, 28],
      text: "bi-directional communication, by the 2012 edition (later practice uses the bits in another way)",
      bits: [
        { bits: [0, 0], text: "1: unsolicited transmission by the decoder" },
        { bits: [1, 1], text: "1: broadcast by asymmetrical DCC" },
        { bits: [2, 2], text: "1: broadcast by signal-controlled influence" },
        {
          bits: [3, 7],
          text: "reserved in the 2012 edition; later practice (from memory): 4 programming address, 6 high current, 7 automatic logon",
          reserved: true,
        },
      ],
    },
    {
      cvs: [29, 29],
      text: "the decoder's configuration, bit by bit",
      bits: [
        { bits: [0, 0], text: "0: normal direction, 1: reversed" },
        {
          bits: [1, 1],
          text: "0: 14 speed steps, FL in the speed instruction, 1: 28 or 128, FL in function group one",
        },
        { bits: [2, 2], text: "0: DCC only, 1: the power sources of CV 12 too" },
        { bits: [3, 3], text: "0: no bi-directional communication, 1: as set in CV 28" },
        { bits: [4, 4], text: "0: speed curve from CV 2, 5 and 6, 1: from the table in CV 66-95" },
        { bits: [5, 5], text: "0: primary address in CV 1, 1: extended address in CV 17 and 18" },
        { bits: [6, 6], text: "reserved", reserved: true },
        { bits: [7, 7], text: "0: multi-function decoder, 1: accessory decoder" },
      ],
    },
    { cvs: [30, 30], text: "0: no error; other values are the maker's" },
    { cvs: [31, 31], text: "high byte of the page that CV 257-512 show; 0-15 are reserved for the NMRA" },
    { cvs: [32, 32], text: "low byte of the page that CV 257-512 show" },
    ...functionOutputs(),
    { cvs: [65, 65], text: "extra drive from stop to step 1" },
    { cvs: [66, 66], text: trim },
    {
      cvs: [67, 94],
      text: "drive level of one step of the speed table, n/255; CV 67 is step 1, CV 94 step 28",
    },
    { cvs: [95, 95], text: trim },
    {
      cvs: [105, 105],
      name: "User Identification #1",
      text: "a number for the owner's own use",
      source: "Table 1",
    },
    {
      cvs: [106, 106],
      name: "User Identification #2",
      text: "a number for the owner's own use",
      source: "Table 1",
    },
    {
      cvs: [107, 107],
      text: "while CV 8 = 238, the maker's number, high byte (which is which: from memory)",
      source: "Table 1",
    },
    {
      cvs: [108, 108],
      text: "while CV 8 = 238, the maker's number, low byte (which is which: from memory)",
      source: "Table 1",
    },
    {
      cvs: [892, 892],
      text: "the load at this moment, as amount and sign",
      bits: [
        { bits: [0, 6], text: "the amount, 0-127" },
        { bits: [7, 7], text: "the sign, 1: negative (inferred)" },
      ],
    },
    {
      cvs: [893, 893],
      text: "dynamic flags, one bit each; the 2012 edition reserves all of them",
      // Not marked as reserved: the decoder itself sets them, and nobody writes them.
      bits: [{ bits: [0, 7], text: "reserved in the 2012 edition" }],
      source: "Table 1",
    },
    { cvs: [894, 894], text: "fuel or coal left: 0 empty, 254 full, 255 not supported" },
    { cvs: [895, 895], text: "water left: 0 empty, 254 full, 255 not supported" },
    {
      cvs: [896, 1024],
      text: "a CV of a sound or function module on the SUSI bus; another document lays it down",
      source: "Table 1",
    },
  ];
}
