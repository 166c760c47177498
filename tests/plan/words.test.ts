import { CvPatch, CvSet } from "cvset";
import {
  orderRules,
  outcome,
  type Plan,
  type PlanOptions,
  plan,
  planSequences,
  readSteps,
  resume,
  verify,
} from "cvset/plan";
import { describe, expect, test } from "vitest";
import { groupNames, type OrderRule } from "../../src/plan/order-rules.js";
import { planWith } from "../../src/plan/plan.js";
import { saidBy } from "../support/said.js";

// What plans tell, to the word: every refusal, every note, and some plans as a whole.

type Cvs = Readonly<Record<string, number>>;
/** What is told, what the decoder holds, what is wanted, and how. */
type Row<Wanted> = [said: string, from: Cvs, to: Wanted, options?: PlanOptions];

const bits = (cv: string, mask: number, value: number) => CvPatch.from({ bits: [{ cv, mask, value }] });
const patch = (...all: (readonly [cv: string, mask: number, value: number])[]) =>
  CvPatch.from({ bits: all.map(([cv, mask, value]) => ({ cv, mask, value })) });
const model = { kind: "multifunction", factory: { 1: 3, 2: 5, 8: 13, 15: 0, 16: 0, 29: 6 } } as const;
const paged = { kind: "multifunction", factory: { 31: 16, 32: 0, "300@16.0": 1 } } as const;
const main = { mode: "main" } as const;
const change = { mode: "main", changeAddress: true } as const;
const accessory = { mode: "main", kind: "accessory" } as const;

describe("a plan that is impossible tells why", () => {
  const rows: Row<Cvs | CvPatch>[] = [
    // The mode, and what it reaches.
    [
      'mode: "dircet" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
      {},
      { 3: 1 },
      { mode: "dircet" as "direct" },
    ],
    [
      'mode: "paged" is not an option; the options are "direct"',
      {},
      { 3: 1 },
      { mode: "paged", decoder: { ...model, cvs: [3], modes: ["direct"] } },
    ],
    [
      "CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E) | CV 6: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      {},
      { 5: 1, 6: 2 },
      { mode: "register" },
    ],
    [
      "CV 2: address-only mode does not reach this CV, only CV 1; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      {},
      { 2: 1 },
      { mode: "address-only" },
    ],
    [
      "CV 15: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      { 15: 1, 16: 2 },
      { 2: 1 },
      { mode: "register" },
    ],
    [
      "CV 17: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E) | CV 18: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      {},
      { 17: 200, 18: 1 },
      { mode: "register" },
    ],
    [
      "CV 19: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      { 1: 3, 19: 5, 29: 38 },
      { 1: 4 },
      { mode: "register" },
    ],
    [
      "CV 1: 128 is out of range; allowed is 0 to 127 (S-9.2.3 (July 2012), section E)",
      {},
      { 1: 128 },
      { mode: "address-only", kind: "accessory" },
    ],
    [
      "CV 1: 200 is out of range; allowed is 0 to 127 (S-9.2.2 (July 2012), CV 1)",
      {},
      { 1: 200 },
      { mode: "register" },
    ],
    [
      "CV 3 bits 0, 3-7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
      {},
      bits("3", 6, 2),
      { mode: "paged" },
    ],
    // These are written as whole bytes only.
    ...["16", "15", "31", "32", "17", "18"].map(
      (cv): Row<CvPatch> => [
        `CV ${cv} bits 1-7: not known, and the other bits of the CV are to be written: give the present CVs as the base`,
        {},
        patch([cv, 1, 1]),
        {},
      ],
    ),
    // Values that no decoder takes.
    [
      "CV 1: 128 is out of range; allowed is 0 to 127 (S-9.2.2 (July 2012), CV 1) | CV 17: 191 is out of range; allowed is 192 to 231 (S-9.2.2 (July 2012), CV 17 and 18)",
      {},
      { 1: 128, 17: 191, 18: 0 },
      {},
    ],
    [
      "CV 17: 232 is out of range; allowed is 192 to 231 (S-9.2.2 (July 2012), CV 17 and 18)",
      {},
      { 17: 232, 18: 0 },
      {},
    ],
    [
      "CV 18: not known, but to be written: CV 17 takes effect only when CV 18 is written (S-9.2.1 (July 2012), note to Write Byte)",
      {},
      { 17: 200 },
      {},
    ],
    // What the decoder does not have.
    [
      "CV 3: this decoder does not have this CV | CV 4: this decoder does not have this CV",
      {},
      { 3: 1, 4: 1 },
      { decoder: model },
    ],
    ["CV 301: this decoder does not have this CV", {}, { 2: 1, 301: 1 }, { decoder: { ...paged, cvs: [2] } }],
    [
      'undescribed: "pass" is not an option; the options are "refuse", "leave-out", "write"',
      {},
      { 3: 1 },
      { undescribed: "pass" as "write" },
    ],
    // A CV twice.
    [
      "CV 300@16.0: given with and without its page, with two values: 1 and 2",
      {},
      { 31: 16, 32: 0, 300: 1, "300@16.0": 2 },
      {},
    ],
    [
      "CV 300@16.0: given with and without its page, with two values: 1 and 2",
      { 31: 16, 32: 0, 300: 1, "300@16.0": 2 },
      { 3: 1 },
      {},
    ],
    // A factory reset.
    [
      "factoryReset: a factory reset is possible in service mode only, not in main mode (S-9.2.3 (July 2012), section E) | address: the decoder's address is needed on the main, and CV 1, 17, 18, 29 do not give it",
      { 1: 3, 29: 2 },
      { 3: 1 },
      { mode: "main", factoryReset: true },
    ],
    // The address on the main.
    [
      "address: the decoder's address is needed on the main, and CV 1, 17, 18, 29 do not give it",
      {},
      { 3: 1 },
      main,
    ],
    [
      "address: the decoder's address is needed on the main, and CV 1, 9, 29 do not give it",
      {},
      { 3: 1 },
      accessory,
    ],
    [
      "address: accessory decoder address 511 cannot be the address of one decoder",
      { 1: 63, 9: 7, 29: 128 },
      { 3: 1 },
      main,
    ],
    [
      "address: 0 is out of range; allowed is 1 to 10239 (S-9.2.2 (July 2012), CV 1, 9, 17 to 19 and 29)",
      {},
      { 3: 1 },
      { mode: "main", address: 0 },
    ],
    [
      'address.kind: "3" is not an option; the options are "primary", "extended", "consist", "accessory", "accessory-output", "extended-accessory", "broadcast"',
      {},
      { 3: 1 },
      { mode: "main", address: "3" as never },
    ],
    [
      "address: a decoder obeys no CV access at the address of its consist; give its own address (S-9.2.1 (July 2012), section C)",
      {},
      { 3: 1 },
      { mode: "main", address: { kind: "consist", number: 5 } },
    ],
    [
      "address: all decoders cannot be the address of one decoder",
      {},
      { 3: 1 },
      { mode: "main", address: { kind: "broadcast" } },
    ],
    [
      "address: all accessory decoders cannot be the address of one decoder",
      {},
      { 3: 1 },
      { ...accessory, address: { kind: "broadcast", to: "accessory" } },
    ],
    [
      "address: accessory decoder address 511 cannot be the address of one decoder",
      {},
      { 3: 1 },
      { ...accessory, address: 511 },
    ],
    [
      "address: primary address 3 is not an address of an accessory decoder",
      {},
      { 3: 1 },
      { ...accessory, address: { kind: "primary", number: 3 } },
    ],
    [
      "address: accessory decoder address 3 is not an address of a multi-function decoder",
      {},
      { 3: 1 },
      { ...main, kind: "multifunction", address: { kind: "accessory", number: 3 } },
    ],
    [
      "address: 32 is the address of the decoder's consist, where it obeys no CV access; give its own address (S-9.2.1 (July 2012), section C)",
      { 19: 32 },
      { 3: 1 },
      { mode: "main", address: 32 },
    ],
    // A change of address on the main.
    [
      "CV 1: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track",
      { 1: 3, 29: 2 },
      { 1: 4 },
      main,
    ],
    [
      "CV 17: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track | CV 18: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track | CV 19: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track",
      { 1: 3, 29: 2 },
      { 17: 200, 18: 1, 19: 2 },
      main,
    ],
    [
      "CV 29 bit 5: chooses the address in use, which is changed on the main only with the option changeAddress: keep all other decoders off the track (S-9.2.2 (July 2012), CV 29)",
      { 1: 3, 29: 2 },
      { 29: 34 },
      main,
    ],
    [
      "CV 1: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track | CV 9: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track",
      { 1: 3, 9: 0, 29: 128 },
      { 1: 4, 9: 1 },
      main,
    ],
    [
      "CV 29 bits 5-6: chooses the address in use, which is changed on the main only with the option changeAddress: keep all other decoders off the track (S-9.2.2 (July 2012), CV 29)",
      { 1: 3, 9: 0, 29: 128 },
      { 29: 192 },
      main,
    ],
    [
      "CV 513: holds an address, which is changed on the main only with the option changeAddress: keep all other decoders off the track",
      { 1: 3, 9: 0, 29: 128 },
      { 513: 4 },
      main,
    ],
    [
      "CV 541 bits 5-6: chooses the address in use, which is changed on the main only with the option changeAddress: keep all other decoders off the track (S-9.2.2 (July 2012), CV 29)",
      { 1: 3, 9: 0, 29: 128 },
      { 541: 160 },
      main,
    ],
    [
      "CV 1 bits 4-7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
      {},
      bits("1", 15, 5),
      { ...change, address: 3 },
    ],
    [
      "CV 9 bits 1-7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
      {},
      bits("9", 1, 1),
      { ...accessory, changeAddress: true, address: 3 },
    ],
    [
      "CV 29 bits 0-4, 7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
      {},
      bits("29", 96, 32),
      { ...accessory, changeAddress: true, address: 3 },
    ],
    [
      "address: when CV 29 is to be written, the decoder has accessory decoder address 511, to which all accessory decoders answer",
      { 1: 5, 9: 0, 29: 128 },
      { 1: 63, 9: 7, 29: 129 },
      change,
    ],
    [
      "address: the address that the decoder has when CV 9 is to be written cannot be known",
      {},
      { 1: 4, 9: 1 },
      { ...accessory, changeAddress: true, address: { kind: "extended-accessory", number: 5 } },
    ],
    // Told once, and not of each step.
    [
      "address: the address that the decoder has when CV 9 is to be written cannot be known",
      {},
      { 1: 4, 9: 1, 29: 129 },
      { ...accessory, changeAddress: true, address: { kind: "extended-accessory", number: 5 } },
    ],
    [
      "address: the address that the decoder has when CV 9 is to be written cannot be known",
      {},
      { 1: 4, 9: 1, 29: 161 },
      { ...accessory, changeAddress: true, address: { kind: "extended-accessory", number: 5 } },
    ],
  ];

  test.each<Row<Cvs | CvPatch>>(rows)("%s", (said, from, to, options) => {
    const target = to instanceof CvPatch ? to : CvSet.from(to);
    expect(saidBy(() => plan(CvSet.from(from), target, options)).join(" | ")).toBe(said);
  });
});

describe("bits of CV 29 that is not known, on the main", () => {
  const chooses = (cvBits: string) =>
    `CV 29 ${cvBits}: chooses the address in use, which is changed on the main only with the option changeAddress: keep all other decoders off the track (S-9.2.2 (July 2012), CV 29)`;
  const [one, two] = [chooses("bit 5"), chooses("bits 5-6")];
  // [the address, mask, value, what is told]
  test.each<[NonNullable<PlanOptions["address"]>, number, number, string]>([
    [3, 32, 0, ""],
    [3, 32, 32, one],
    [3, 64, 64, ""],
    [1234, 32, 32, ""],
    [1234, 32, 0, one],
    [1234, 3, 3, ""],
    [{ kind: "accessory", number: 5 }, 32, 0, ""],
    [{ kind: "accessory", number: 5 }, 32, 32, two],
    [{ kind: "accessory", number: 5 }, 64, 64, two],
    [{ kind: "accessory", number: 5 }, 16, 16, ""],
    [{ kind: "accessory-output", number: 5 }, 64, 64, ""],
    [{ kind: "accessory-output", number: 5 }, 64, 0, two],
    [{ kind: "accessory-output", number: 5 }, 32, 32, two],
    [{ kind: "accessory-output", number: 5 }, 32, 0, ""],
    [{ kind: "extended-accessory", number: 5 }, 32, 32, ""],
    [{ kind: "extended-accessory", number: 5 }, 32, 0, two],
    [{ kind: "extended-accessory", number: 5 }, 64, 64, two],
  ])("at %j, mask %d and value %d", (address, mask, value, said) => {
    const kind = typeof address === "number" ? "multifunction" : "accessory";
    expect(saidBy(() => plan({}, bits("29", mask, value), { mode: "main", kind, address })).join()).toBe(
      said,
    );
  });
});

describe("a plan notes what is left out, and what to look out for", () => {
  const notes = (from: Cvs, to: Cvs, options: PlanOptions = {}) =>
    plan(CvSet.from(from), CvSet.from(to), options)
      .toJSON()
      .notes.map(({ rule, severity, cvs, message }) => `${severity} ${rule} [${cvs.join(" ")}] ${message}`);
  const rows: Row<Cvs>[] = [
    ["", {}, { 2: 1 }, {}],
    [
      "note read-only-left-out [7 8] CV 7, CV 8: read-only, and not written (S-9.2.2 (July 2012), CV 7 and 8)",
      {},
      { 7: 2, 8: 8, 2: 1 },
      {},
    ],
    [
      "note volatile-left-out [880 895] CV 880, CV 895: changed by the decoder itself, and not written (S-9.2.2 (July 2012), Table 1, CV 880-895)",
      {},
      { 880: 2, 895: 8 },
      {},
    ],
    [
      "warning page-unknown [300] CV 300: no page is known, so that they are written on the page that is selected in the decoder (S-9.2.2 (July 2012), CV 31 and 32)",
      { 31: 16 },
      { 300: 2 },
      {},
    ],
    [
      "warning page-unknown [300] CV 300: no page is known, so that they are written on the page that is selected in the decoder (S-9.2.2 (July 2012), CV 31 and 32)",
      { 32: 16 },
      { 300: 2 },
      {},
    ],
    [
      "note on-selected-page [512] CV 512: given without a page, and taken as CVs of page 16.1, which CV 31 and 32 select (S-9.2.2 (July 2012), CV 31 and 32)",
      {},
      { 31: 16, 32: 1, 512: 2 },
      {},
    ],
    [
      "warning page-unknown [300] CV 300: no page is known, so that they are written on the page that is selected in the decoder (S-9.2.2 (July 2012), CV 31 and 32)",
      {},
      { 300: 2 },
      {},
    ],
    [
      "note on-selected-page [300] CV 300: given without a page, and taken as CVs of page 16.1, which CV 31 and 32 select (S-9.2.2 (July 2012), CV 31 and 32)",
      {},
      { 31: 16, 32: 1, 300: 2 },
      {},
    ],
    [
      "note index-left [31 32] CV 31, CV 32: the value before is not known and none is wanted, so that the last selected page stays (S-9.2.2 (July 2012), CV 31 and 32)",
      {},
      { "300@16.0": 2 },
      {},
    ],
    [
      "note index-left [32] CV 32: the value before is not known and none is wanted, so that the last selected page stays (S-9.2.2 (July 2012), CV 31 and 32)",
      { 31: 16 },
      { "300@16.0": 2 },
      {},
    ],
    [
      "note undescribed-left-out [3 4] CV 3, CV 4: not in the description of the decoder, and not written | warning lock-unknown [15 16] CV 15, CV 16: not known; a locked decoder ignores every write but to CV 15, so read CV 15 and 16 first (S-9.2.2 (July 2012), CV 15 and 16)",
      {},
      { 3: 1, 4: 1, 2: 9 },
      { decoder: model, undescribed: "leave-out" },
    ],
    [
      "warning undescribed-written [3 4] CV 3, CV 4: not in the description of the decoder, and written all the same | warning lock-unknown [15 16] CV 15, CV 16: not known; a locked decoder ignores every write but to CV 15, so read CV 15 and 16 first (S-9.2.2 (July 2012), CV 15 and 16)",
      {},
      { 3: 1, 4: 1, 2: 9 },
      { decoder: model, undescribed: "write" },
    ],
    [
      "warning locked-before-reset [15 16] CV 15, CV 16: the decoder is locked, and may ignore the factory reset; write CV 15 = 2 before (S-9.2.2 (July 2012), CV 15 and 16)",
      { 15: 1, 16: 2 },
      { 2: 9 },
      { factoryReset: true },
    ],
    [
      "warning lock-unknown [15] CV 15: not known; a locked decoder ignores every write but to CV 15, so read CV 15 and 16 first (S-9.2.2 (July 2012), CV 15 and 16)",
      { 16: 2 },
      { 2: 9 },
      {},
    ],
    [
      "warning lock-unknown [16] CV 16: not known; a locked decoder ignores every write but to CV 15, so read CV 15 and 16 first (S-9.2.2 (July 2012), CV 15 and 16)",
      { 15: 2 },
      { 2: 9 },
      {},
    ],
    [
      "warning lock-unknown [15 16] CV 15, CV 16: not known; a locked decoder ignores every write but to CV 15, so read CV 15 and 16 first (S-9.2.2 (July 2012), CV 15 and 16)",
      {},
      { 2: 9 },
      { decoder: model },
    ],
    [
      "warning cleared-by-cv-1 [29 19] CV 29, CV 19: writing CV 1 clears CV 19 and bit 5 of CV 29, on the main perhaps; their contents are not known, and are lost (S-9.2.3 (July 2012), section E)",
      {},
      { 1: 9 },
      {},
    ],
    [
      "warning cleared-by-cv-1 [29] CV 29: writing CV 1 clears CV 19 and bit 5 of CV 29, on the main perhaps; their contents are not known, and are lost (S-9.2.3 (July 2012), section E)",
      { 19: 0 },
      { 1: 9 },
      {},
    ],
    [
      "warning broadcast-address [1 9 29] CV 1, CV 9, CV 29: give accessory decoder address 511, to which all accessory decoders answer: no packet on the main reaches this decoder alone (S-9.2.1 (July 2012), accessory packets)",
      {},
      { 1: 63, 9: 7, 29: 128 },
      { kind: "accessory" },
    ],
    [
      "warning other-address [1 17 18 29] CV 1, CV 17, CV 18, CV 29: give primary address 3, but the packets go to primary address 5",
      { 1: 3, 29: 2 },
      { 2: 1 },
      { mode: "main", address: 5 },
    ],
    [
      "warning cleared-by-cv-1 [19] CV 19: writing CV 1 clears CV 19 and bit 5 of CV 29, on the main perhaps; their contents are not known, and are lost (S-9.2.3 (July 2012), section E) | warning address-changes [1] CV 1: writing changes the address in use; at the end the decoder answers to primary address 4 (S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29)",
      { 1: 3, 29: 2 },
      { 1: 4 },
      change,
    ],
    [
      "warning address-changes [1 29] CV 1, CV 29: writing changes the address in use; at the end the decoder answers to extended address 1234 (S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29) | warning either-address [29] CV 29: sent to extended address 1234 and primary address 4: whether writing CV 1 on the main clears bit 5 of CV 29 is open, so that the decoder has one address or the other; keep all other decoders off the track (S-9.2.3 (July 2012), section E)",
      { 1: 3, 17: 196, 18: 210, 19: 0, 29: 34 },
      { 1: 4 },
      change,
    ],
    [
      "warning address-changes [1] CV 1: writing changes the address in use; at the end the decoder answers to accessory decoder address 4 (S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29)",
      { 1: 3, 9: 0, 29: 128 },
      { 1: 4 },
      change,
    ],
    [
      "warning output-address-reading [1 9 29] CV 1, CV 9, CV 29: packets go to accessory output address 4, by an output address; S-9.2.2 (July 2012), CV 1 and 9, does not settle which decoder an output address is: read here so that output address 1 is the first pair of outputs of decoder address 1; by the formula alone it would be the second pair of decoder address 0 (S-9.2.2 (July 2012), accessory CV 1 and 9)",
      { 1: 4, 9: 0, 29: 192 },
      { 3: 4 },
      main,
    ],
    ["", { 1: 3, 2: 0, 29: 66 }, { 2: 1 }, main],
    // CV 1024 is on no page.
    [
      "",
      {},
      { 50: 2, 1024: 2 },
      {
        decoder: { kind: "multifunction", factory: { 50: 1, 1024: 1 }, derived: [{ cv: 1024, from: [50] }] },
      },
    ],
    [
      "warning address-changes [1] CV 1: writing changes the address in use; at the end the decoder answers to an address that cannot be known (S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29)",
      {},
      { 1: 4 },
      { ...accessory, changeAddress: true, address: { kind: "extended-accessory", number: 5 } },
    ],
    ["", { 1: 4, 9: 0, 29: 128 }, { 3: 4 }, main],
  ];
  test.each<Row<Cvs>>(rows)("%s", (said, from, to, options) => {
    expect(notes(from, to, options).join(" | ")).toBe(said);
  });
});

describe("the rest of a plan, its outcome and the comparison refuse what is none", () => {
  const whole = plan(CvSet.from({ 3: 5 }), CvSet.from({ 3: 8 }));
  const bad = 5 as never;
  const step = { cv: "3", value: 8 };
  const rows: readonly (readonly [said: string, call: () => unknown])[] = [
    ["from: expected an object with CV numbers as keys, got 5", () => plan(bad, {})],
    ["to: expected an object with CV numbers as keys, got 5", () => plan({}, bad)],
    ["from: CV 1: expected a whole number from 0 to 255, got 300", () => plan({ 1: 300 }, {})],
    [
      "to: CV 1: expected a whole number from 0 to 255, got 300",
      () => plan({}, { cvs: { 1: 300 } } as never),
    ],
    ["options: expected an object, got null", () => plan({}, {}, null as never)],
    ["mode: expected a text, got 5", () => plan({}, {}, { mode: bad })],
    ["all: expected true or false, got 5", () => plan({}, {}, { all: bad })],
    [
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got {}",
      () => plan({}, {}, { decoder: {} as never }),
    ],
    ["undescribed: expected a text, got 5", () => plan({}, {}, { undescribed: bad })],
    [
      'kind: "loco" is not an option; the options are "multifunction", "accessory"',
      () => plan({}, {}, { kind: "loco" as never }),
    ],
    ["changeAddress: expected true or false, got 5", () => plan({}, {}, { changeAddress: bad })],
    ["factoryReset: expected true or false, got 5", () => plan({}, {}, { factoryReset: bad })],
    ['interrupted: expected a plan, an object with a list "steps", got 5', () => resume(bad, {})],
    ["readBack: expected an object with CV numbers as keys, got 5", () => resume(whole, bad)],
    ["options: expected an object, got 5", () => resume(whole, {}, bad)],
    [
      'interrupted.steps.0.cv: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "0"',
      () => resume({ steps: [{ cv: "0", value: 8 }] }, {}),
    ],
    ['plan: expected a plan, an object with a list "steps", got 5', () => outcome(bad)],
    ['plan: expected a plan, an object with a list "steps", got {"steps":5}', () => outcome({ steps: bad })],
    ["plan.steps.0: expected an object, got null", () => outcome({ steps: [null as never] })],
    [
      'plan.steps.0.cv: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got "1025"',
      () => outcome({ steps: [{ ...step, cv: "1025" }] }),
    ],
    [
      'plan.steps.0.cv: expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got 5',
      () => outcome({ steps: [{ ...step, cv: bad }] }),
    ],
    [
      "plan.steps.1.value: expected a whole number from 0 to 255, got 256",
      () => outcome({ steps: [step, { ...step, value: 256 }] }),
    ],
    [
      "plan.steps.0.mask: expected a whole number from 1 to 255 with every bit of the value 8, got 0",
      () => outcome({ steps: [{ ...step, mask: 0 }] }),
    ],
    [
      "plan.steps.0.mask: expected a whole number from 1 to 255 with every bit of the value 8, got 7",
      () => outcome({ steps: [{ ...step, mask: 7 }] }),
    ],
    [
      'plan.mode: "dirct" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
      () => outcome({ steps: [], mode: "dirct" as never }),
    ],
    [
      'plan.kind: "loco" is not an option; the options are "multifunction", "accessory"',
      () => outcome({ steps: [], kind: "loco" as never }),
    ],
    [
      "plan.steps.0.value: expected a whole number from 0 to 255, got -1",
      () => outcome({ ...whole, steps: [{ ...step, value: -1 }] }),
    ],
    ["wanted: expected an object with CV numbers as keys, got 5", () => verify(bad, {})],
    [
      'wanted: expected a plan, an object with a list "steps", got {"steps":5}',
      () => verify({ steps: bad } as never, {}),
    ],
    [
      "wanted.steps.0.value: expected a whole number from 0 to 255, got 256",
      () => verify({ steps: [{ ...step, value: 256 }] }, {}),
    ],
    ["readBack: expected an object with CV numbers as keys, got 5", () => verify({}, bad)],
    ["options: expected an object, got 5", () => verify({}, {}, bad)],
    [
      "decoder: expected a decoder, as defineDecoder or decoderFromJson makes it, got 5",
      () => verify({}, {}, { decoder: bad }),
    ],
    [
      "CV 300@16.0: given with and without its page, with two values: 1 and 2",
      () => verify({ 31: 16, 32: 0, 300: 1, "300@16.0": 2 }, {}),
    ],
    [
      "CV 300@16.0: given with and without its page, with two values: 1 and 2",
      () => verify({}, { 31: 16, 32: 0, 300: 1, "300@16.0": 2 }),
    ],
    [
      "plan: expected a plan as plan() or resume() makes it, and not its JSON form, which has no packets to send; got 5",
      () => planSequences(bad),
    ],
    [
      'plan: expected a plan as plan() or resume() makes it, and not its JSON form, which has no packets to send; got {"mode":"direct","kind":"multifunction","steps":[{"cv":"3...',
      () => planSequences(JSON.parse(JSON.stringify(whole))),
    ],
    [
      'mode: "x" is not an option; the options are "direct", "paged", "register", "address-only", "main"',
      () => readSteps("x" as never, []),
    ],
    ["cvs: expected what can be iterated over, got 5", () => readSteps("direct", bad)],
    [
      'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got 0',
      () => readSteps("direct", [0]),
    ],
    [
      "CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      () => readSteps("register", [5]),
    ],
    [
      "CV 31: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode (S-9.2.3 (July 2012), section E)",
      () => readSteps("register", ["300@16.0"]),
    ],
    ["options: expected an object, got 5", () => readSteps("direct", [], bad)],
    ["index: expected an object, got 5", () => readSteps("direct", [], { index: bad })],
    [
      "index.high: expected a whole number from 0 to 255, got 256",
      () => readSteps("direct", [], { index: { high: 256, low: 0 } }),
    ],
    [
      "index.low: expected a whole number from 0 to 255, got -1",
      () => readSteps("direct", [], { index: { high: 0, low: -1 } }),
    ],
    [
      "index.low: expected a whole number from 0 to 255, got undefined",
      () => readSteps("direct", [], { index: { high: 0 } as never }),
    ],
    ["guesses: expected a function, got 5", () => readSteps("direct", [], { guesses: bad })],
  ];
  test.each(rows)("%s", (said, call) => {
    expect(saidBy(call).join(" | ")).toBe(said);
  });
});

describe("a plan with values that are worked out", () => {
  const decoder = {
    kind: "multifunction",
    factory: {
      ...{
        1: 3,
        2: 5,
        17: 192,
        18: 3,
        29: 6,
        31: 0,
        32: 0,
        50: 1,
        60: 1,
        61: 1,
        62: 1,
        63: 1,
        64: 1,
        1024: 1,
      },
      ...{ "300@16.0": 1, "301@16.1": 1, "302@16.1": 1, "303@17.1": 1 },
    },
    derived: [
      { cv: 60, from: [50] },
      { cv: "302@16.1", from: [60] },
      { cv: 61, from: ["302@16.1"] },
      { cv: 62, from: [29] },
      { cv: 63, from: [62] },
      { cv: 64, from: [2] },
      { cv: 1024, from: [1] },
      { cv: "303@17.1", from: [64, 61] },
    ],
  } as const;
  const to = Object.fromEntries(Object.keys(decoder.factory).map((cv) => [cv, cv === "17" ? 196 : 2]));
  /** `31=16 select; select: 300@16.0 after 8`: of each step its rules, with the CVs that come before and after. */
  const linesOf = ({ steps }: Plan) =>
    steps.map(({ cv, value, need, rules }) => {
      const bound = rules.map(({ id, after, before }) => `${id}: ${after.join(" ")} < > ${before.join(" ")}`);
      return [`${cv}=${value} ${need}`, ...bound].join("; ");
    });

  test("writes each after those that it is worked out from, with the page that it needs, and tells by which rule", () => {
    expect(linesOf(plan(decoder.factory, to, { decoder }))).toEqual([
      "1=2 differs; primary:  < > 29; derived-last:  < > 62 63 1024",
      "2=2 differs; configuration:  < > 29; derived:  < > 60 302@16.1 61 64 303@17.1; derived-last:  < > 62 63 1024",
      "50=2 differs; derived:  < > 60 302@16.1 61 64 303@17.1; derived-last:  < > 62 63 1024",
      "17=196 differs; pair:  < > 18; configuration:  < > 29; derived-last:  < > 62 63 1024",
      "18=2 differs; pair: 17 < > ; configuration:  < > 29; derived-last:  < > 62 63 1024",
      "31=16 select; select:  < > 300@16.0 301@16.1 302@16.1",
      "300@16.0=2 differs; select: 31 < > 32; index:  < > 31 32; derived:  < > 60 302@16.1 61 64 303@17.1; derived-last:  < > 62 63 1024",
      "32=1 select; select: 300@16.0 < > 301@16.1 302@16.1 303@17.1",
      "301@16.1=2 differs; select: 31 32 < > 31; index:  < > 31 32; derived:  < > 60 302@16.1 61 64 303@17.1; derived-last:  < > 62 63 1024",
      "60=2 differs; index:  < > 31 32; derived: 2 50 300@16.0 301@16.1 < > 302@16.1 61 64 303@17.1; derived-last:  < > 62 63 1024",
      "302@16.1=2 differs; select: 31 32 < > 31; index:  < > 31 32; derived: 2 50 300@16.0 301@16.1 60 < > 61 64 303@17.1; derived-last:  < > 62 63 1024",
      "61=2 differs; index:  < > 31 32; derived: 2 50 300@16.0 301@16.1 60 302@16.1 < > 64 303@17.1; derived-last:  < > 62 63 1024",
      "64=2 differs; index:  < > 31 32; derived: 2 50 300@16.0 301@16.1 60 302@16.1 61 < > 303@17.1; derived-last:  < > 62 63 1024",
      "31=17 select; select: 301@16.1 302@16.1 < > 303@17.1",
      "303@17.1=2 differs; select: 32 31 < > ; index:  < > 31 32; derived: 2 50 300@16.0 301@16.1 60 302@16.1 61 64 < > ; derived-last:  < > 62 63 1024",
      "31=2 differs; index: 300@16.0 301@16.1 60 302@16.1 61 64 303@17.1 < > ; derived-last:  < > 62 63 1024",
      "32=2 differs; index: 300@16.0 301@16.1 60 302@16.1 61 64 303@17.1 < > ; derived-last:  < > 62 63 1024",
      "29=2 differs; primary: 1 < > ; configuration: 2 17 18 < > ; derived-last:  < > 62 63 1024",
      "62=2 differs; derived-last: 1 2 50 17 18 300@16.0 301@16.1 60 302@16.1 61 64 303@17.1 31 32 29 < > 63 1024",
      "63=2 differs; derived-last: 1 2 50 17 18 300@16.0 301@16.1 60 302@16.1 61 64 303@17.1 31 32 29 62 < > 1024",
      "1024=2 differs; derived-last: 1 2 50 17 18 300@16.0 301@16.1 60 302@16.1 61 64 303@17.1 31 32 29 62 63 < > ",
    ]);
  });

  test("on the main other CVs are written before the address", () => {
    const few = { ...decoder, derived: decoder.derived.slice(0, 2) };
    const wanted = { 1: 4, 17: 196, 18: 210, 29: 38, 50: 2, 60: 2, "302@16.1": 2 };
    const options = { decoder: few, mode: "main", changeAddress: true } as const;
    expect(linesOf(plan(decoder.factory, wanted, options))).toEqual([
      "50=2 differs; address:  < > 1 17 18 29; derived:  < > 60 302@16.1",
      "60=2 differs; index:  < > 31 32; address:  < > 1 17 18 29; derived: 50 < > 302@16.1",
      "31=16 select; select:  < > 302@16.1; address:  < > 1 17 18 29",
      "32=1 select; select:  < > 302@16.1; address:  < > 1 17 18 29",
      "302@16.1=2 differs; select: 31 32 < > ; index:  < > 31 32; address:  < > 1 17 18 29; derived: 50 60 < > ",
      "31=0 differs; index: 60 302@16.1 < > ; address:  < > 1 17 18 29",
      "32=0 differs; index: 60 302@16.1 < > ; address:  < > 1 17 18 29",
      "1=4 differs; primary:  < > 29; address: 50 60 31 32 302@16.1 31 32 < > ",
      "17=196 differs; pair:  < > 18; address: 50 60 31 32 302@16.1 31 32 < > ; configuration:  < > 29",
      "18=210 differs; pair: 17 < > ; address: 50 60 31 32 302@16.1 31 32 < > ; configuration:  < > 29",
      "29=38 differs; primary: 1 < > ; address: 50 60 31 32 302@16.1 31 32 < > ; configuration: 17 18 < > ",
    ]);
  });

  test("with a page of their own alone, or without a page", () => {
    const one = { kind: "multifunction", factory: { 50: 1, 60: 1, "300@16.0": 1 } } as const;
    const derived = [
      { cv: 60, from: [50] },
      { cv: "300@16.0", from: [60] },
    ];
    const changed = (wanted: Cvs) =>
      linesOf(plan({ ...one.factory, 31: 5, 32: 5 }, wanted, { decoder: { ...one, derived } }));
    expect(changed({ 60: 2, "300@16.0": 2 })).toEqual([
      "60=2 differs; index:  < > 31 32; derived:  < > 300@16.0",
      "31=16 select; select:  < > 300@16.0",
      "32=0 select; select:  < > 300@16.0",
      "300@16.0=2 differs; select: 31 32 < > ; index:  < > 31 32; derived: 60 < > ",
      "31=5 differs; index: 60 300@16.0 < > ",
      "32=5 differs; index: 60 300@16.0 < > ",
    ]);
    expect(changed({ 50: 2, 60: 2 })).toEqual([
      "50=2 differs; derived:  < > 60",
      "60=2 differs; derived: 50 < > ",
    ]);
  });
});

test("a reason names what the step is for, the rules that bind it, and up to three CVs", () => {
  const reasons = (from: Cvs, wanted: Cvs, options: PlanOptions = {}) =>
    plan(from, wanted, options).steps.map(({ cv, reason }) => `${cv}: ${reason}`);
  expect(reasons({}, { 2: 1 }, { factoryReset: true, decoder: model })).toEqual([
    "8: asks for a factory reset; before CV 2: a factory reset undoes every write before it (S-9.2.3 (July 2012), section E)",
    "2: its value changes; after CV 8: a factory reset undoes every write before it (S-9.2.3 (July 2012), section E)",
  ]);
  expect(reasons({ 15: 1, 16: 2, 2: 1 }, { 2: 2 })).toEqual([
    "15: opens the decoder lock for the other steps; before all other steps: a decoder obeys writes only while CV 15 equals CV 16 (S-9.2.2 (July 2012), CV 15 and 16)",
    "2: its value changes; after CV 15: a decoder obeys writes only while CV 15 equals CV 16 (S-9.2.2 (July 2012), CV 15 and 16); before CV 15: a write to CV 15 or 16 can lock the decoder, which then ignores every write but to CV 15 (S-9.2.2 (July 2012), CV 15 and 16)",
    "15: its value changes; after CV 15: a decoder obeys writes only while CV 15 equals CV 16 (S-9.2.2 (July 2012), CV 15 and 16); after CV 2: a write to CV 15 or 16 can lock the decoder, which then ignores every write but to CV 15 (S-9.2.2 (July 2012), CV 15 and 16)",
  ]);
  expect(reasons({ 2: 1, 31: 0, 32: 0 }, { 2: 1, "300@16.0": 1, "301@16.0": 1 }, { all: true })).toEqual([
    "2: everything is to be written; no rule of order applies to it",
    "31: selects index page 16.0 for 2 CVs; before CV 300@16.0 and CV 301@16.0: CV 31 and 32 select the page of CV 257-512 (S-9.2.2 (July 2012), CV 31 and 32)",
    "300@16.0: its present value is not known; after CV 31: CV 31 and 32 select the page of CV 257-512 (S-9.2.2 (July 2012), CV 31 and 32); before CV 31: pages are selected by CV 31 and 32, so these get their final values after the last page (S-9.2.2 (July 2012), CV 31 and 32)",
    "301@16.0: its present value is not known; after CV 31: CV 31 and 32 select the page of CV 257-512 (S-9.2.2 (July 2012), CV 31 and 32); before CV 31: pages are selected by CV 31 and 32, so these get their final values after the last page (S-9.2.2 (July 2012), CV 31 and 32)",
    "31: its value changes; after CV 300@16.0 and CV 301@16.0: pages are selected by CV 31 and 32, so these get their final values after the last page (S-9.2.2 (July 2012), CV 31 and 32)",
  ]);
  expect(reasons({ 1: 3, 17: 196, 18: 210, 19: 0, 29: 34 }, { 1: 4 }, change)).toEqual([
    "1: its value changes; before CV 29: writing CV 1 clears CV 19 and bit 5 of CV 29 in service mode, and perhaps on the main (S-9.2.3 (July 2012), section E)",
    "29: written again with the same value; after CV 1: writing CV 1 clears CV 19 and bit 5 of CV 29 in service mode, and perhaps on the main (S-9.2.3 (July 2012), section E)",
    "29: sent to the address that the decoder has if writing CV 1 has cleared bit 5 of CV 29; after CV 1: writing CV 1 clears CV 19 and bit 5 of CV 29 in service mode, and perhaps on the main (S-9.2.3 (July 2012), section E)",
  ]);
});

test("the rules of order as data", () => {
  expect(
    orderRules.map(({ id, first, later, pageByPage = false, on = "", why, source }) =>
      [id, first.join(" "), later.join(" "), pageByPage ? "page by page" : on, why, source].join(" | "),
    ),
  ).toEqual([
    "reset | reset | primary accessory-address curve plain unlock lock extended-high extended-low consist select pages unpaged derived index configuration derived-last |  | a factory reset undoes every write before it | S-9.2.3 (July 2012), section E",
    "unlock | unlock | primary accessory-address curve plain unlock lock extended-high extended-low consist select pages unpaged derived index configuration derived-last |  | a decoder obeys writes only while CV 15 equals CV 16 | S-9.2.2 (July 2012), CV 15 and 16",
    "lock | primary accessory-address curve plain lock extended-high extended-low consist select pages unpaged derived index configuration derived-last | lock |  | a write to CV 15 or 16 can lock the decoder, which then ignores every write but to CV 15 | S-9.2.2 (July 2012), CV 15 and 16",
    "unpaged | unpaged | select pages index |  | a CV 257-512 without a page is written on the page that is selected before the plan | S-9.2.2 (July 2012), CV 31 and 32",
    "select | select | pages derived | page by page | CV 31 and 32 select the page of CV 257-512 | S-9.2.2 (July 2012), CV 31 and 32",
    "index | pages derived | index |  | pages are selected by CV 31 and 32, so these get their final values after the last page | S-9.2.2 (July 2012), CV 31 and 32",
    "primary | primary | consist configuration |  | writing CV 1 clears CV 19 and bit 5 of CV 29 in service mode, and perhaps on the main | S-9.2.3 (July 2012), section E",
    "pair | extended-high | extended-low |  | CV 17 and 18 are one address, which takes effect when CV 18 is written | S-9.2.1 (July 2012), note to Write Byte",
    "address | plain curve unpaged select pages derived index | primary extended-high extended-low accessory-address configuration | main | an address or CV 29 can change the address in use at once, so other CVs are written before | S-9.2.2 (July 2012), CV 1, 9, 17, 18 and 29",
    "configuration | extended-high extended-low curve | configuration |  | CV 29 chooses the address and the speed curve in use, so both are complete before it | S-9.2.2 (July 2012), CV 29",
    "derived | plain curve unpaged pages derived | derived |  | a value that is worked out from other CVs is right only when these are written | common practice",
    "derived-last | primary accessory-address curve plain extended-high extended-low consist pages unpaged derived index configuration derived-last | derived-last |  | a value that is worked out from the address or from CV 29 too is written after all others | common practice",
  ]);
});

describe("a rule of order alone puts steps in their order", () => {
  const derivedOf = (...derived: { cv: string | number; from: (string | number)[] }[]) => ({
    kind: "multifunction" as const,
    factory: { 1: 3, 2: 5, 19: 0, 29: 6, 31: 0, 32: 0, 50: 1, 60: 1, 61: 1, "300@16.0": 1 },
    derived,
  });
  // [the rule, what the decoder holds, what is wanted, options]
  const cases: [id: string, from: Cvs, to: Cvs, options: PlanOptions][] = [
    ["reset", {}, { 2: 1 }, { factoryReset: true }],
    ["unlock", { 2: 0, 15: 1, 16: 2 }, { 2: 1 }, {}],
    ["lock", { 2: 0, 15: 2, 16: 2 }, { 2: 1, 15: 3 }, {}],
    ["unpaged", {}, { 31: 16, 300: 1 }, {}],
    ["select", { 31: 0, 32: 0 }, { "300@16.1": 1 }, {}],
    ["index", { 31: 0, 32: 0 }, { "300@16.0": 1 }, {}],
    ["primary", { 1: 3, 19: 0, 29: 6 }, { 1: 4, 19: 5, 29: 2 }, {}],
    ["pair", { 17: 192, 18: 0 }, { 17: 196, 18: 210 }, {}],
    ["address", { 1: 3, 2: 0, 19: 0, 29: 6, 50: 0 }, { 2: 1, 29: 2, 50: 1 }, { mode: "main" }],
    ["configuration", { 2: 0, 29: 6 }, { 2: 1, 29: 2 }, {}],
    ["select", { 31: 0, 32: 0 }, { "300@16.0": 2 }, { decoder: derivedOf({ cv: "300@16.0", from: [50] }) }],
    ["derived", { 50: 1, 60: 1 }, { 50: 2, 60: 2 }, { decoder: derivedOf({ cv: 60, from: [50] }) }],
    ["derived-last", { 29: 6, 60: 1 }, { 29: 2, 60: 2 }, { decoder: derivedOf({ cv: 60, from: [29] }) }],
    [
      "derived",
      { 60: 1, 61: 1, 31: 0, 32: 0 },
      { 60: 2, "300@16.0": 2, 61: 2 },
      { decoder: derivedOf({ cv: 60, from: ["300@16.0"] }, { cv: 61, from: [60] }) },
    ],
  ];
  /** The steps, where the groups that come later by a rule would stand first without it. */
  const steps = (id: string, rules: readonly OrderRule[], from: Cvs, wanted: Cvs, options: PlanOptions) => {
    const later = orderRules.find((rule) => rule.id === id)?.later ?? [];
    const start = [
      ...groupNames.filter((name) => later.includes(name)),
      ...groupNames.filter((name) => !later.includes(name)),
    ];
    const { steps: made } = planWith({ rules, start }, CvSet.from(from), CvSet.from(wanted), options);
    return `${id}: ${made.map(({ cv, value }) => `${cv}=${value}`).join(" ")}`;
  };
  test("that would be the other way round", () => {
    expect(cases.map(([id, ...given]) => steps(id, orderRules, ...given))).toEqual([
      "reset: 8=8 2=1",
      "unlock: 15=2 2=1 15=1",
      "lock: 2=1 15=3",
      "unpaged: 300=1 31=16",
      "select: 31=16 32=1 300@16.1=1 31=0 32=0",
      "index: 31=16 300@16.0=1 31=0",
      "primary: 1=4 19=5 29=2",
      "pair: 17=196 18=210",
      "address: 2=1 50=1 29=2",
      "configuration: 2=1 29=2",
      "select: 31=16 300@16.0=2 31=0",
      "derived: 50=2 60=2",
      "derived-last: 29=2 60=2",
      "derived: 31=16 300@16.0=2 60=2 61=2 31=0",
    ]);
  });

  test("which without it is the other way round", () => {
    expect(
      cases.map(([id, ...given]) =>
        steps(
          id,
          orderRules.filter((rule) => rule.id !== id),
          ...given,
        ),
      ),
    ).toEqual([
      "reset: 2=1 8=8",
      "unlock: 2=1 15=2 15=1",
      "lock: 15=3 2=1",
      "unpaged: 31=16 300=1",
      "select: 300@16.1=1 31=16 32=1 31=0 32=0",
      "index: 31=16 300@16.0=1",
      "primary: 19=5 29=2 1=4",
      "pair: 18=210 17=196",
      "address: 2=1 29=2 50=1",
      "configuration: 29=2 2=1",
      "select: 300@16.0=2 31=16 31=0",
      "derived: 60=2 50=2",
      "derived-last: 60=2 29=2",
      "derived: 60=2 61=2 31=16 300@16.0=2 31=0",
    ]);
  });
});

test("the speed curve, CV 2, 5, 6, 25 and 66-95, is written before CV 29; the CVs beside it need not be", () => {
  const cvs = [1, 2, 3, 5, 6, 7, 24, 25, 26, 65, 66, 80, 95, 96].filter((cv) => cv !== 1 && cv !== 7);
  const from = Object.fromEntries([...cvs, 29].map((cv) => [cv, 1]));
  const wanted = Object.fromEntries([...cvs, 29].map((cv) => [cv, 2]));
  const bound = plan(from, wanted).steps.filter(({ rules }) =>
    rules.some(({ id }) => id === "configuration"),
  );
  expect(bound.map(({ cv }) => cv)).toEqual(["2", "5", "6", "25", "66", "80", "95", "29"]);
});

test("on the main each packet goes to the address that the decoder has by then", () => {
  const sent = (from: Cvs, wanted: Cvs, options: PlanOptions = {}) =>
    plan(from, wanted, { ...change, ...options }).steps.map(
      ({ cv, value, address, answersTo }) =>
        `${cv}=${value} to ${JSON.stringify(address)}${answersTo ? `, then ${JSON.stringify(answersTo)}` : ""}`,
    );
  const extended = { 1: 3, 17: 192, 18: 200, 19: 0, 29: 34 };
  expect(sent(extended, { 2: 1, 17: 196, 18: 210 })).toEqual([
    '2=1 to {"kind":"extended","number":200}',
    '17=196 to {"kind":"extended","number":200}',
    '18=210 to {"kind":"extended","number":200}, then {"kind":"extended","number":1234}',
  ]);
  expect(sent(extended, { 17: 196, 18: 210, 29: 2 })).toEqual([
    '17=196 to {"kind":"extended","number":200}',
    '18=210 to {"kind":"extended","number":200}, then {"kind":"extended","number":1234}',
    '29=2 to {"kind":"extended","number":1234}, then {"kind":"primary","number":3}',
  ]);
  expect(sent({ ...extended, 29: 2 }, { 1: 4, 17: 196, 18: 210, 29: 34 })).toEqual([
    '1=4 to {"kind":"primary","number":3}, then {"kind":"primary","number":4}',
    '17=196 to {"kind":"primary","number":4}',
    '18=210 to {"kind":"primary","number":4}',
    '29=34 to {"kind":"primary","number":4}, then {"kind":"extended","number":1234}',
  ]);
  expect(sent({ 1: 5, 9: 1, 29: 128 }, { 1: 6, 9: 2, 3: 1 })).toEqual([
    '3=1 to {"kind":"accessory","number":69}',
    '1=6 to {"kind":"accessory","number":69}, then {"kind":"accessory","number":70}',
    '9=2 to {"kind":"accessory","number":70}, then {"kind":"accessory","number":134}',
  ]);
  const last = plan({ 1: 5, 9: 1, 29: 128 }, { 1: 6 }, change).steps.at(-1);
  expect([last?.address, last?.answersTo]).toStrictEqual([
    { kind: "accessory", number: 69 },
    { kind: "accessory", number: 70 },
  ]);
  const output = { address: { kind: "accessory", number: 69, output: 2 } } as const;
  expect(sent({ 1: 5, 9: 1, 29: 128 }, { 1: 6, 3: 1 }, output)).toEqual([
    '3=1 to {"kind":"accessory","number":69,"output":2}',
    '1=6 to {"kind":"accessory","number":69,"output":2}, then {"kind":"accessory","number":70,"output":2}',
  ]);
  expect(sent({ 1: 5, 9: 1, 29: 192 }, { 1: 6, 3: 1, 29: 128 })).toEqual([
    '3=1 to {"kind":"accessory-output","number":261}',
    '1=6 to {"kind":"accessory-output","number":261}, then {"kind":"accessory-output","number":262}',
    '29=128 to {"kind":"accessory-output","number":262}, then {"kind":"accessory","number":70}',
  ]);
});
