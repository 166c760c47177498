import type { CvContents } from "./contents.js";

// S-9.2.2 (July 2012), the paragraphs of the CVs of Table 3. The table has no more than the name of some of
// them; their `source` names the paragraph of the multi-function CV then.

/** The contents of the CVs of an accessory decoder, in CV order. */
export const accessoryContents: readonly CvContents[] = [
  {
    cvs: [1, 1],
    text: "by decoder address (CV 29 bit 6 is 0), its low six bits; by output address, the address modulo 256",
  },
  { cvs: [2, 2], text: "the outputs that an auxiliary input also works, one bit each" },
  {
    cvs: [3, 3],
    name: "Time On F1",
    text: "how long F1 stays on; 0: until switched off (the standard gives no unit)",
  },
  {
    cvs: [4, 4],
    name: "Time On F2",
    text: "how long F2 stays on; 0: until switched off (the standard gives no unit)",
  },
  {
    cvs: [5, 5],
    name: "Time On F3",
    text: "how long F3 stays on; 0: until switched off (the standard gives no unit)",
  },
  {
    cvs: [6, 6],
    name: "Time On F4",
    text: "how long F4 stays on; 0: until switched off (the standard gives no unit)",
  },
  { cvs: [7, 7], text: "the maker's version number", source: "Table 3; CV 7" },
  { cvs: [8, 8], text: "the maker's number", source: "Table 3; CV 8" },
  {
    cvs: [9, 9],
    text: "by decoder address (CV 29 bit 6 is 0), its high three bits, in bits 0-2; by output address, the address divided by 256",
  },
  {
    cvs: [28, 28],
    text: "bi-directional communication, by the 2012 edition",
    bits: [
      { bits: [0, 0], text: "1: unsolicited transmission by the decoder" },
      { bits: [1, 1], text: "not used in the 2012 edition", reserved: true },
      { bits: [2, 5], text: "reserved in the 2012 edition", reserved: true },
      { bits: [6, 7], text: "flag bits, reserved in the 2012 edition", reserved: true },
    ],
  },
  {
    cvs: [29, 29],
    text: "the decoder's configuration, bit by bit",
    bits: [
      { bits: [0, 2], text: "reserved", reserved: true },
      { bits: [3, 3], text: "0: no bi-directional communication, 1: as set in CV 28" },
      { bits: [4, 4], text: "reserved", reserved: true },
      { bits: [5, 5], text: "0: basic packets, 1: extended packets" },
      { bits: [6, 6], text: "0: decoder address, 1: output address" },
      { bits: [7, 7], text: "0: multi-function decoder, 1: accessory decoder" },
    ],
  },
  {
    cvs: [31, 31],
    name: "Index High Byte",
    text: "high byte of the page that CV 257-512 show; 0-15 are reserved for the NMRA",
    source: "Table 3 for CV 31-32; which is the high byte: CV 31 and 32",
  },
  {
    cvs: [32, 32],
    name: "Index Low Byte",
    text: "low byte of the page that CV 257-512 show",
    source: "Table 3 for CV 31-32; which is the high byte: CV 31 and 32",
  },
];
