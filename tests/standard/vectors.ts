/** Values and the bytes that hold them, grouped by the paragraph that lays them down: each runs both ways. */
export interface Vector {
  /** The codec's name in "cvset/standard". */
  readonly codec: string;
  readonly cvs: Readonly<Record<number, number>>;
  readonly value: unknown;
  /** Where it is laid down; without it, the group's source. */
  readonly source?: string;
}

/** A byte that holds no value, or a value that no byte holds. */
export interface Refusal {
  readonly codec: string;
  readonly cvs?: Readonly<Record<number, number>>;
  readonly value?: unknown;
  /** The code of the issue. */
  readonly code: string;
}

/** The vectors of one test file, which is named like the group. */
export interface Group {
  readonly kind: "multifunction" | "accessory";
  readonly source: string;
  readonly vectors: readonly Vector[];
  readonly refusals?: readonly Refusal[];
}

const doc = "S-9.2.2 (July 2012)";
const ramp = Array.from({ length: 28 }, (_, i) => 9 * i + 3);
const rampCvs = Object.fromEntries(ramp.map((value, i) => [67 + i, value]));

// The order of the standard: FL forward, FL reverse, F1 to F12; the output of bit 0; the default.
const functionRows: readonly [name: string, cv: number, first: number, byDefault: number][] = [
  ["FL(f)", 33, 1, 1],
  ["FL(r)", 34, 1, 2],
  ["F1", 35, 1, 4],
  ["F2", 36, 1, 8],
  ["F3", 37, 1, 16],
  ["F4", 38, 4, 4],
  ["F5", 39, 4, 8],
  ["F6", 40, 4, 16],
  ["F7", 41, 4, 32],
  ["F8", 42, 4, 64],
  ["F9", 43, 7, 16],
  ["F10", 44, 7, 32],
  ["F11", 45, 7, 64],
  ["F12", 46, 7, 128],
];
const functionDefaults = Object.fromEntries(functionRows.map(([, cv, , value]) => [cv, value]));
const nothing = Object.fromEntries(functionRows.map(([name]) => [name, []]));
const zeros = Object.fromEntries(functionRows.map(([, cv]) => [cv, 0]));

export const groups: Readonly<Record<string, Group>> = {
  "s922-cv1-17-18": {
    kind: "multifunction",
    source: `${doc}, CV 1, 17 and 18`,
    vectors: [
      { codec: "primaryAddress", cvs: { 1: 3 }, value: 3 },
      { codec: "primaryAddress", cvs: { 1: 127 }, value: 127 },
      { codec: "primaryAddress", cvs: { 1: 0 }, value: "alternate-power" },
      // The worked example; the packet of S-9.2.1 (July 2012), section A, has the same two bytes, C4 D2.
      { codec: "extendedAddress", cvs: { 17: 0xc4, 18: 0xd2 }, value: 1234 },
      { codec: "extendedAddress", cvs: { 17: 192, 18: 0 }, value: 0 },
      { codec: "extendedAddress", cvs: { 17: 192, 18: 128 }, value: 128 },
      { codec: "extendedAddress", cvs: { 17: 231, 18: 255 }, value: 10239 },
      {
        codec: "address",
        cvs: { 17: 196, 18: 210, 29: 34 },
        value: { kind: "extended", number: 1234 },
        source: `${doc}, CV 29 bit 5`,
      },
      {
        codec: "address",
        cvs: { 1: 9, 29: 2 },
        value: { kind: "primary", number: 9 },
        source: `${doc}, CV 29 bit 5`,
      },
    ],
    refusals: [
      { codec: "primaryAddress", cvs: { 1: 128 }, code: "stored-range-or-name" },
      { codec: "primaryAddress", value: 128, code: "range-or-name" },
      { codec: "primaryAddress", value: 0, code: "range-or-name" },
      { codec: "extendedAddress", cvs: { 17: 191, 18: 255 }, code: "stored-steps" },
      { codec: "extendedAddress", cvs: { 17: 232, 18: 0 }, code: "stored-steps" },
      { codec: "extendedAddress", value: 10240, code: "range" },
      { codec: "extendedAddress", value: -1, code: "range" },
      { codec: "extendedAddress", value: 12.5, code: "between" },
      { codec: "address", value: { kind: "extended", number: 10240 }, code: "range" },
      { codec: "address", value: { kind: "long", number: 1 }, code: "option" },
    ],
  },
  "s922-cv2-5-6": {
    kind: "multifunction",
    source: `${doc}, CV 2, 5 and 6`,
    vectors: [
      { codec: "speed.vstart", cvs: { 2: 0 }, value: 0 },
      { codec: "speed.vstart", cvs: { 2: 255 }, value: 255 },
      { codec: "speed.vhigh", cvs: { 5: 0 }, value: "not-used" },
      { codec: "speed.vhigh", cvs: { 5: 1 }, value: "not-used-1" },
      { codec: "speed.vhigh", cvs: { 5: 2 }, value: 2 },
      { codec: "speed.vhigh", cvs: { 5: 255 }, value: 255 },
      { codec: "speed.vmid", cvs: { 6: 0 }, value: "not-used" },
      { codec: "speed.vmid", cvs: { 6: 1 }, value: "not-used-1" },
      { codec: "speed.vmid", cvs: { 6: 128 }, value: 128 },
      {
        codec: "speed",
        cvs: { 2: 6, 5: 220, 6: 90, 29: 0 },
        value: { kind: "three-point", vstart: 6, vmid: 90, vhigh: 220 },
        source: `${doc}, CV 29 bit 4`,
      },
    ],
    refusals: [
      { codec: "speed.vmid", value: 1, code: "range-or-name" },
      { codec: "speed.vstart", value: 256, code: "range" },
    ],
  },
  "s922-cv3-4-23-24": {
    kind: "multifunction",
    source: `${doc}, CV 3, 4, 23 and 24`,
    vectors: [
      // CV 3 = 2: 0.064 s a step at 28 steps, 1.792 s in all.
      { codec: "momentum.acceleration", cvs: { 3: 2 }, value: 1.792 },
      { codec: "momentum.acceleration", cvs: { 3: 0 }, value: 0 },
      { codec: "momentum.acceleration", cvs: { 3: 255 }, value: 228.48 },
      { codec: "momentum.deceleration", cvs: { 4: 1 }, value: 0.896 },
      { codec: "momentum.deceleration", cvs: { 4: 255 }, value: 228.48 },
      { codec: "momentum", cvs: { 3: 10, 4: 5 }, value: { acceleration: 8.96, deceleration: 4.48 } },
      {
        codec: "motor.momentumAdjustment",
        cvs: { 23: 138, 24: 1 },
        value: {
          acceleration: { seconds: 8.96, direction: "subtract" },
          deceleration: { seconds: 0.896, direction: "add" },
        },
      },
      {
        codec: "motor.momentumAdjustment.acceleration",
        cvs: { 23: 0 },
        value: { seconds: 0, direction: "add" },
      },
      {
        codec: "motor.momentumAdjustment.acceleration",
        cvs: { 23: 127 },
        value: { seconds: 113.792, direction: "add" },
      },
      {
        codec: "motor.momentumAdjustment.acceleration",
        cvs: { 23: 128 },
        value: { seconds: 0, direction: "subtract" },
      },
      {
        codec: "motor.momentumAdjustment.acceleration",
        cvs: { 23: 138 },
        value: { seconds: 8.96, direction: "subtract" },
      },
      {
        codec: "motor.momentumAdjustment.deceleration",
        cvs: { 24: 1 },
        value: { seconds: 0.896, direction: "add" },
      },
      {
        codec: "motor.momentumAdjustment.deceleration",
        cvs: { 24: 255 },
        value: { seconds: 113.792, direction: "subtract" },
      },
    ],
    refusals: [
      { codec: "momentum.acceleration", value: 1, code: "between" },
      { codec: "momentum.deceleration", value: 229.376, code: "range" },
      {
        codec: "motor.momentumAdjustment.acceleration",
        value: { seconds: 114.688, direction: "add" },
        code: "range",
      },
      {
        codec: "motor.momentumAdjustment.acceleration",
        value: { seconds: -0.896, direction: "add" },
        code: "range",
      },
    ],
  },
  "s922-cv7-8-105-108": {
    kind: "multifunction",
    source: `${doc}, CV 7, 8, 105-108`,
    vectors: [
      { codec: "identity.version", cvs: { 7: 0 }, value: 0 },
      { codec: "identity.version", cvs: { 7: 255 }, value: 255 },
      { codec: "identity.manufacturer", cvs: { 8: 13 }, value: 13 },
      {
        codec: "identity.manufacturer",
        cvs: { 8: 0xee },
        value: "expanded",
        source: `${doc}, Table 1, CV 107-108`,
      },
      {
        codec: "identity.userIdentification",
        cvs: { 105: 9, 106: 255 },
        value: { first: 9, second: 255 },
        source: `${doc}, Table 1`,
      },
      // Which byte is the high one is from memory.
      {
        codec: "identity.expandedManufacturer",
        cvs: { 107: 1, 108: 2 },
        value: 258,
        source: `${doc}, Table 1`,
      },
      {
        codec: "identity.expandedManufacturer",
        cvs: { 107: 255, 108: 255 },
        value: 65535,
        source: `${doc}, Table 1`,
      },
    ],
    refusals: [{ codec: "identity.userIdentification", value: { first: 256 }, code: "range" }],
  },
  "s922-cv9-10": {
    kind: "multifunction",
    source: `${doc}, CV 9 and 10`,
    vectors: [
      // (131 + 4m) * 2^e: 0 is 131 us.
      { codec: "motor.pwmPeriod", cvs: { 9: 0 }, value: 131 },
      { codec: "motor.pwmPeriod", cvs: { 9: 0b000_11111 }, value: 255 },
      { codec: "motor.pwmPeriod", cvs: { 9: 0b001_00000 }, value: 262 },
      { codec: "motor.pwmPeriod", cvs: { 9: 0b111_00000 }, value: 131 * 128 },
      { codec: "motor.pwmPeriod", cvs: { 9: 0b111_11111 }, value: 255 * 128 },
      { codec: "motor.feedbackCutout", cvs: { 10: 1 }, value: 1 },
      { codec: "motor.feedbackCutout", cvs: { 10: 128 }, value: 128 },
      { codec: "motor.feedbackCutout", cvs: { 10: 0 }, value: "not-used", source: "common practice" },
    ],
    refusals: [
      { codec: "motor.pwmPeriod", value: 132, code: "between-periods" },
      { codec: "motor.pwmPeriod", value: 130, code: "range" },
      { codec: "motor.pwmPeriod", value: 32641, code: "range" },
      { codec: "motor.pwmPeriod", value: Number.NaN, code: "expected-number" },
      { codec: "motor.pwmPeriod", value: "131", code: "expected-number" },
      { codec: "motor.feedbackCutout", cvs: { 10: 129 }, code: "stored-range-or-name" },
      { codec: "motor.feedbackCutout", value: 129, code: "range-or-name" },
    ],
  },
  "s922-cv11-14-27": {
    kind: "multifunction",
    source: `${doc}, CV 11-14 and 27`,
    vectors: [
      { codec: "power.packetTimeout", cvs: { 11: 0 }, value: 0 },
      { codec: "power.packetTimeout", cvs: { 11: 255 }, value: 255 },
      { codec: "power.powerSources", cvs: { 12: 0 }, value: [] },
      { codec: "power.powerSources", cvs: { 12: 1 }, value: ["analogue"] },
      { codec: "power.powerSources", cvs: { 12: 2 }, value: ["radio"] },
      {
        codec: "power.powerSources",
        cvs: { 12: 0b111100 },
        value: ["older-system-4", "older-system-8", "older-system-16", "older-system-32"],
      },
      {
        codec: "power.alternateModeFunctions",
        cvs: { 13: 0b1000_0001, 14: 0b10_0111 },
        value: { f1ToF8: ["F1", "F8"], flF9ToF12: ["FL(f)", "FL(r)", "F9", "F12"] },
      },
      {
        codec: "power.automaticStopping",
        cvs: { 27: 0b11_0111 },
        value: ["asymmetrical-right", "asymmetrical-left", "signal-controlled", "reverse-dc", "forward-dc"],
      },
      { codec: "power.automaticStopping", cvs: { 27: 1 }, value: ["asymmetrical-right"] },
      { codec: "power.automaticStopping", cvs: { 27: 2 }, value: ["asymmetrical-left"] },
      { codec: "power.automaticStopping", cvs: { 27: 4 }, value: ["signal-controlled"] },
      { codec: "power.automaticStopping", cvs: { 27: 16 }, value: ["reverse-dc"] },
      { codec: "power.automaticStopping", cvs: { 27: 32 }, value: ["forward-dc"] },
    ],
    refusals: [{ codec: "power.automaticStopping", value: ["reserved"], code: "option" }],
  },
  "s922-cv15-16": {
    kind: "multifunction",
    source: `${doc}, CV 15 and 16`,
    vectors: [
      { codec: "lock", cvs: { 15: 0, 16: 1 }, value: { key: 0, number: "motor" } },
      { codec: "lock", cvs: { 15: 2, 16: 2 }, value: { key: "sound", number: "sound" } },
      { codec: "lock", cvs: { 15: 255, 16: 3 }, value: { key: 255, number: 3 } },
    ],
    refusals: [{ codec: "lock", value: { number: 1 }, code: "has-a-name" }],
  },
  "s922-cv19-21-22": {
    kind: "multifunction",
    source: `${doc}, CV 19, 21 and 22`,
    vectors: [
      // The worked example: consist 32, reversed.
      { codec: "consist", cvs: { 19: 160 }, value: { address: 32, reversed: true } },
      { codec: "consist", cvs: { 19: 0 }, value: { address: "none", reversed: false } },
      { codec: "consist", cvs: { 19: 127 }, value: { address: 127, reversed: false } },
      {
        codec: "locomotive.consistFunctions",
        cvs: { 21: 0b1000_0001, 22: 0b10_0001 },
        value: { f1ToF8: ["F1", "F8"], flF9ToF12: ["FL(f)", "F12"] },
      },
      {
        codec: "locomotive.consistFunctions",
        cvs: { 21: 0b0111_1110, 22: 0b01_1110 },
        value: {
          f1ToF8: ["F2", "F3", "F4", "F5", "F6", "F7"],
          flF9ToF12: ["FL(r)", "F9", "F10", "F11"],
        },
      },
    ],
    refusals: [
      { codec: "consist", value: { address: 128 }, code: "range-or-name" },
      { codec: "consist", value: { address: 0 }, code: "range-or-name" },
      { codec: "locomotive.consistFunctions", value: { flF9ToF12: ["F1"] }, code: "option" },
    ],
  },
  "s922-cv25": {
    kind: "multifunction",
    source: `${doc}, CV 25`,
    vectors: [
      {
        codec: "motor.speedTableOrMidStep",
        cvs: { 25: 0 },
        value: { kind: "factory-table", number: "unused" },
      },
      {
        codec: "motor.speedTableOrMidStep",
        cvs: { 25: 1 },
        value: { kind: "factory-table", number: "unused-1" },
      },
      {
        codec: "motor.speedTableOrMidStep",
        cvs: { 25: 2 },
        value: { kind: "factory-table", number: "linear" },
      },
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 3 }, value: { kind: "factory-table", number: 3 } },
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 127 }, value: { kind: "factory-table", number: 127 } },
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 128 }, value: { kind: "mid-step", step: 1 } },
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 153 }, value: { kind: "mid-step", step: 26 } },
      // The last value that is printed; by value - 127 it is one more than the 26 positions.
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 154 }, value: { kind: "mid-step", step: 27 } },
    ],
    refusals: [
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 155 }, code: "stored-steps" },
      { codec: "motor.speedTableOrMidStep", cvs: { 25: 255 }, code: "stored-steps" },
      { codec: "motor.speedTableOrMidStep", value: { kind: "mid-step", step: 28 }, code: "range" },
      { codec: "motor.speedTableOrMidStep", value: { kind: "mid-step", step: 0 }, code: "range" },
      {
        codec: "motor.speedTableOrMidStep",
        value: { kind: "factory-table", number: 128 },
        code: "range-or-name",
      },
    ],
  },
  "s922-cv28": {
    kind: "multifunction",
    source: `${doc}, CV 28`,
    vectors: [
      { codec: "biDirectional2012", cvs: { 28: 0 }, value: [] },
      { codec: "biDirectional2012", cvs: { 28: 1 }, value: ["unsolicited"] },
      { codec: "biDirectional2012", cvs: { 28: 2 }, value: ["asymmetrical-broadcast"] },
      { codec: "biDirectional2012", cvs: { 28: 4 }, value: ["signal-controlled-broadcast"] },
      {
        codec: "biDirectionalLater",
        cvs: { 28: 0b1101_0111 },
        value: [
          "channel-1",
          "channel-2",
          "channel-1-auto-off",
          "programming-address",
          "high-current",
          "automatic-logon",
        ],
        source: "S-9.3.2 (December 2012) and RCN-217, from memory",
      },
      {
        codec: "biDirectionalLater",
        cvs: { 28: 3 },
        value: ["channel-1", "channel-2"],
        source: "S-9.3.2 (December 2012) and RCN-217, from memory",
      },
    ],
    refusals: [{ codec: "biDirectional2012", value: ["channel-1"], code: "option" }],
  },
  "s922-cv29": {
    kind: "multifunction",
    source: `${doc}, CV 29`,
    vectors: [
      { codec: "locomotive.directionReversed", cvs: { 29: 1 }, value: true },
      { codec: "locomotive.directionReversed", cvs: { 29: 0b1111_1110 }, value: false },
      { codec: "locomotive.speedSteps", cvs: { 29: 0 }, value: "14" },
      { codec: "locomotive.speedSteps", cvs: { 29: 2 }, value: "28/128" },
      { codec: "locomotive.analogue", cvs: { 29: 4 }, value: true },
      { codec: "locomotive.analogue", cvs: { 29: 0 }, value: false },
      { codec: "locomotive.biDirectional", cvs: { 29: 8 }, value: true },
      { codec: "locomotive.biDirectional", cvs: { 29: 0 }, value: false },
      { codec: "nmra.decoderType", cvs: { 29: 0b0111_1111 }, value: "multifunction" },
    ],
    refusals: [
      { codec: "nmra.decoderType", cvs: { 29: 128 }, code: "stored-option" },
      { codec: "locomotive.speedSteps", value: "27", code: "option" },
      { codec: "locomotive.analogue", value: 1, code: "expected-boolean" },
    ],
  },
  "s922-cv30-892-895": {
    kind: "multifunction",
    source: `${doc}, CV 30 and 892-895`,
    vectors: [
      { codec: "status.errorInformation", cvs: { 30: 0 }, value: "none" },
      { codec: "status.errorInformation", cvs: { 30: 1 }, value: 1 },
      { codec: "status.decoderLoad", cvs: { 892: 10 }, value: { amount: 10, negative: false } },
      { codec: "status.decoderLoad", cvs: { 892: 255 }, value: { amount: 127, negative: true } },
      { codec: "status.dynamicFlags", cvs: { 893: 129 }, value: [0, 7], source: `${doc}, Table 1` },
      { codec: "status.fuel", cvs: { 894: 0 }, value: 0 },
      { codec: "status.fuel", cvs: { 894: 254 }, value: 254 },
      { codec: "status.fuel", cvs: { 894: 255 }, value: "not-supported" },
      { codec: "status.water", cvs: { 895: 0 }, value: 0 },
      { codec: "status.water", cvs: { 895: 254 }, value: 254 },
      { codec: "status.water", cvs: { 895: 255 }, value: "not-supported" },
    ],
    refusals: [
      { codec: "status.fuel", value: 255, code: "range-or-name" },
      { codec: "status.decoderLoad", value: { amount: 128 }, code: "range" },
    ],
  },
  "s922-cv31-32": {
    kind: "multifunction",
    source: `${doc}, CV 31 and 32`,
    vectors: [
      { codec: "indexPage", cvs: { 31: 16, 32: 0 }, value: { high: 16, low: 0 } },
      { codec: "indexPage", cvs: { 31: 255, 32: 255 }, value: { high: 255, low: 255 } },
    ],
    refusals: [
      { codec: "indexPage", cvs: { 31: 15, 32: 255 }, code: "stored-range" },
      { codec: "indexPage", cvs: { 31: 0, 32: 0 }, code: "stored-range" },
      { codec: "indexPage", value: { high: 15 }, code: "range" },
    ],
  },
  "s922-cv33-46": {
    kind: "multifunction",
    source: `${doc}, CV 33-46`,
    vectors: [
      {
        codec: "functionMap",
        cvs: functionDefaults,
        value: Object.fromEntries(functionRows.map(([name], i) => [name, [i + 1]])),
      },
      ...functionRows.flatMap(([name, cv, first]): Vector[] =>
        Array.from({ length: 8 }, (_, bit) => ({
          codec: "functionMap",
          cvs: { ...zeros, [cv]: 2 ** bit },
          value: { ...nothing, [name]: [first + bit] },
        })),
      ),
    ],
    refusals: [
      { codec: "functionMap", value: { F3: [9] }, code: "option" },
      { codec: "functionMap", value: { F4: [3] }, code: "option" },
      { codec: "functionMap", value: { F4: [12] }, code: "option" },
      { codec: "functionMap", value: { F9: [6] }, code: "option" },
      { codec: "functionMap", value: { F12: [15] }, code: "option" },
      { codec: "functionMap", value: { F13: [1] }, code: "unknown-name" },
    ],
  },
  "s922-cv65-95": {
    kind: "multifunction",
    source: `${doc}, CV 65-95`,
    vectors: [
      { codec: "motor.kickStart", cvs: { 65: 0 }, value: 0 },
      { codec: "motor.kickStart", cvs: { 65: 255 }, value: 255 },
      { codec: "speed.forwardTrim", cvs: { 66: 0 }, value: "none" },
      { codec: "speed.forwardTrim", cvs: { 66: 1 }, value: 1 / 128 },
      { codec: "speed.forwardTrim", cvs: { 66: 128 }, value: 1 },
      { codec: "speed.forwardTrim", cvs: { 66: 255 }, value: 255 / 128 },
      { codec: "speed.reverseTrim", cvs: { 95: 0 }, value: "none" },
      { codec: "speed.reverseTrim", cvs: { 95: 96 }, value: 0.75 },
      { codec: "speed.levels", cvs: rampCvs, value: ramp },
      {
        codec: "speed",
        cvs: { ...rampCvs, 29: 16, 66: 128, 95: 0 },
        value: { kind: "table", forwardTrim: 1, levels: ramp, reverseTrim: "none" },
        source: `${doc}, CV 29 bit 4`,
      },
    ],
    refusals: [
      { codec: "speed.forwardTrim", value: 0, code: "range-or-name" },
      { codec: "speed.reverseTrim", value: 2, code: "range-or-name" },
      { codec: "speed.reverseTrim", value: 1.01, code: "between" },
      { codec: "speed.levels", value: ramp.slice(1), code: "table-length" },
      { codec: "speed.levels", value: [...ramp.slice(1), 256], code: "range" },
    ],
  },
  "s922-accessory": {
    kind: "accessory",
    source: `${doc}, accessory CV 1, 9 and 29`,
    vectors: [
      // By decoder address: low six bits in CV 1, high three in CV 9.
      { codec: "accessoryAddress", cvs: { 1: 1, 9: 0, 29: 128 }, value: { kind: "accessory", number: 1 } },
      { codec: "accessoryAddress", cvs: { 1: 63, 9: 7, 29: 128 }, value: { kind: "accessory", number: 511 } },
      { codec: "accessoryAddress", cvs: { 1: 0, 9: 4, 29: 128 }, value: { kind: "accessory", number: 256 } },
      // By output address: modulo 256 in CV 1, divided by 256 in CV 9.
      {
        codec: "accessoryAddress",
        cvs: { 1: 1, 9: 0, 29: 192 },
        value: { kind: "accessory-output", number: 1 },
      },
      {
        codec: "accessoryAddress",
        cvs: { 1: 5, 9: 1, 29: 192 },
        value: { kind: "accessory-output", number: 261 },
      },
      {
        codec: "accessoryAddress",
        cvs: { 1: 255, 9: 7, 29: 192 },
        value: { kind: "accessory-output", number: 2047 },
      },
      { codec: "accessory.packets", cvs: { 29: 128 }, value: "basic" },
      { codec: "accessory.packets", cvs: { 29: 160 }, value: "extended" },
      { codec: "accessory.biDirectional", cvs: { 29: 136 }, value: true },
      { codec: "nmraAccessory.decoderType", cvs: { 29: 128 }, value: "accessory" },
      {
        codec: "accessory.biDirectionalConfig",
        cvs: { 28: 1 },
        value: ["unsolicited"],
        source: `${doc}, accessory CV 28`,
      },
      {
        codec: "accessory.auxiliaryActivation",
        cvs: { 2: 129 },
        value: [1, 8],
        source: `${doc}, accessory CV 2`,
      },
      {
        codec: "accessory.timeOn",
        cvs: { 3: 0, 4: 1, 5: 20, 6: 255 },
        value: { F1: "continuous", F2: 1, F3: 20, F4: 255 },
        source: `${doc}, accessory CV 3-6`,
      },
      { codec: "identity.version", cvs: { 7: 4 }, value: 4, source: `${doc}, Table 3` },
      { codec: "identity.manufacturer", cvs: { 8: 13 }, value: 13, source: `${doc}, Table 3` },
      {
        codec: "indexPage",
        cvs: { 31: 16, 32: 1 },
        value: { high: 16, low: 1 },
        source: `${doc}, Table 3`,
      },
    ],
    refusals: [
      { codec: "nmraAccessory.decoderType", cvs: { 29: 0 }, code: "stored-option" },
      { codec: "accessoryAddress", cvs: { 1: 0, 9: 8, 29: 192 }, code: "stored-range" },
      { codec: "accessory.biDirectionalConfig", value: ["asymmetrical-broadcast"], code: "option" },
      { codec: "accessoryAddress", cvs: { 1: 64, 9: 0, 29: 128 }, code: "stored-range" },
      { codec: "accessoryAddress", cvs: { 1: 0, 9: 8, 29: 128 }, code: "stored-range" },
      { codec: "accessoryAddress", value: { kind: "accessory", number: 512 }, code: "range" },
      { codec: "accessoryAddress", value: { kind: "accessory-output", number: 2048 }, code: "range" },
      { codec: "accessory.timeOn", value: { F1: 0 }, code: "range-or-name" },
      { codec: "indexPage", cvs: { 31: 15, 32: 255 }, code: "stored-range" },
    ],
  },
  "s922-accessory-aliases": {
    kind: "accessory",
    source: `${doc}, Table 3 (aliases)`,
    vectors: [
      {
        codec: "accessoryAliases.address",
        cvs: { 513: 5, 521: 1, 541: 128 },
        value: { kind: "accessory", number: 69 },
      },
      {
        codec: "accessoryAliases.address",
        cvs: { 513: 5, 521: 1, 541: 192 },
        value: { kind: "accessory-output", number: 261 },
      },
      { codec: "accessoryAliases.packets", cvs: { 541: 160 }, value: "extended" },
      { codec: "accessoryAliases.biDirectional", cvs: { 541: 136 }, value: true },
      { codec: "accessoryAliases.biDirectionalConfig", cvs: { 540: 1 }, value: ["unsolicited"] },
      { codec: "accessoryAliases.decoderType", cvs: { 541: 128 }, value: "accessory" },
      { codec: "accessoryAliases.auxiliaryActivation", cvs: { 514: 3 }, value: [1, 2] },
      {
        codec: "accessoryAliases.timeOn",
        cvs: { 515: 1, 516: 2, 517: 3, 518: 0 },
        value: { F1: 1, F2: 2, F3: 3, F4: "continuous" },
      },
      { codec: "accessoryAliases.version", cvs: { 519: 4 }, value: 4 },
      { codec: "accessoryAliases.manufacturer", cvs: { 520: 13 }, value: 13 },
    ],
    refusals: [
      { codec: "accessoryAliases.address", cvs: { 513: 1, 521: 8, 541: 192 }, code: "stored-range" },
      { codec: "accessoryAliases.decoderType", cvs: { 541: 0 }, code: "stored-option" },
      { codec: "accessoryAliases.address", value: { kind: "accessory", number: 512 }, code: "range" },
    ],
  },
};
