// All features of the plain standard (S-9.2.2 (July 2012), multi-function) by hand.
import { bad, bit, bitsOf, namesOf, random, randomBytes, ranged } from "./common.mjs";
import * as loco from "./locomotive.mjs";

const sources = [
  "analogue",
  "radio",
  "older-system-4",
  "older-system-8",
  "older-system-16",
  "older-system-32",
];
const unassigned = Symbol("a bit without a name");
// biome-ignore format: a line a list
const stopping = ["asymmetrical-right", "asymmetrical-left", "signal-controlled", unassigned, "reverse-dc", "forward-dc"];
const broadcasts = ["unsolicited", "asymmetrical-broadcast", "signal-controlled-broadcast"];
const flags = [0, 1, 2, 3, 4, 5, 6, 7];

const periodOf = (byte) => (131 + 4 * (byte & 31)) * 2 ** (byte >> 5);
const periods = Array.from({ length: 256 }, (_, byte) => periodOf(byte));
const periodBytes = new Map(periods.map((period, byte) => [period, byte]));

function adjustmentOf(byte) {
  return { seconds: loco.secondsOf(byte & 127), direction: byte & 128 ? "subtract" : "add" };
}

function adjustmentByte({ seconds, direction }) {
  if (direction !== "add" && direction !== "subtract") bad(direction);
  return loco.momentumOf(seconds, 127) | (direction === "subtract" ? 128 : 0);
}

function speedTableOrMidStepOf(byte) {
  if (byte & 128) return { kind: "mid-step", step: ranged((byte & 127) + 1, 1, 26) };
  const number = byte === 0 ? "unused" : byte === 1 ? "unused-1" : byte === 2 ? "linear" : byte;
  return { kind: "factory-table", number };
}

function speedTableOrMidStepByte(value) {
  if (value.kind === "mid-step") return 128 | (ranged(value.step, 1, 26) - 1);
  if (value.kind !== "factory-table") bad(value.kind);
  const { number } = value;
  return number === "unused"
    ? 0
    : number === "unused-1"
      ? 1
      : number === "linear"
        ? 2
        : ranged(number, 3, 127);
}

const lockOf = (byte) => (byte === 1 ? "motor" : byte === 2 ? "sound" : byte);

function lockByte(value) {
  if (value === "motor") return 1;
  if (value === "sound") return 2;
  if (value === 1 || value === 2) bad(`${value}`);
  return ranged(value, 0, 255);
}

function manufacturerByte(value) {
  if (value === "expanded") return 238;
  if (value === 238) bad(`${value}`);
  return ranged(value, 0, 255);
}

export function decode({ main: b }) {
  return {
    address: loco.addressOf(b),
    consist: loco.consistOf(b),
    consistFunctions: loco.consistFunctionsOf(b),
    directionReversed: (b[29] & 1) !== 0,
    speedSteps: loco.speedStepsOf(b),
    analogue: (b[29] & 4) !== 0,
    biDirectional: (b[29] & 8) !== 0,
    speed: loco.speedOf(b),
    momentum: loco.momentumBoth(b),
    functionMap: loco.functionMapOf(b),
    decoderType: b[29] & 128 ? bad("decoder type") : "multifunction",
    version: b[7],
    manufacturer: b[8] === 238 ? "expanded" : b[8],
    expandedManufacturer: (b[107] << 8) | b[108],
    userIdentification: { first: b[105], second: b[106] },
    pwmPeriod: periodOf(b[9]),
    feedbackCutout: b[10] === 0 ? "not-used" : ranged(b[10], 1, 128),
    kickStart: b[65],
    speedTableOrMidStep: speedTableOrMidStepOf(b[25]),
    momentumAdjustment: { acceleration: adjustmentOf(b[23]), deceleration: adjustmentOf(b[24]) },
    packetTimeout: b[11],
    powerSources: namesOf(b[12] & 63, sources),
    alternateModeFunctions: {
      f1ToF8: namesOf(b[13], loco.f1ToF8),
      flF9ToF12: namesOf(b[14] & 63, loco.flF9ToF12),
    },
    automaticStopping: namesOf(b[27] & 0b110111, stopping),
    biDirectionalConfig: namesOf(b[28] & 7, broadcasts),
    lock: { key: lockOf(b[15]), number: lockOf(b[16]) },
    indexPage: { high: ranged(b[31], 16, 255), low: b[32] },
    errorInformation: b[30] === 0 ? "none" : b[30],
    decoderLoad: { amount: b[892] & 127, negative: (b[892] & 128) !== 0 },
    dynamicFlags: namesOf(b[893], flags),
    fuel: b[894] === 255 ? "not-supported" : b[894],
    water: b[895] === 255 ? "not-supported" : b[895],
  };
}

export function encode({ main: b }, s) {
  loco.writeAddress(b, s.address);
  loco.writeConsist(b, s.consist);
  loco.writeConsistFunctions(b, s.consistFunctions);
  loco.writeCv29(b, s);
  loco.writeSpeed(b, s.speed);
  loco.writeMomentum(b, s.momentum);
  loco.writeFunctionMap(b, s.functionMap);
  if (s.decoderType !== "multifunction") bad(s.decoderType);
  b[29] &= 127;
  b[7] = ranged(s.version, 0, 255);
  b[8] = manufacturerByte(s.manufacturer);
  const expanded = ranged(s.expandedManufacturer, 0, 65535);
  b[107] = expanded >> 8;
  b[108] = expanded & 255;
  b[105] = ranged(s.userIdentification.first, 0, 255);
  b[106] = ranged(s.userIdentification.second, 0, 255);
  b[9] = periodBytes.get(s.pwmPeriod) ?? bad(`${s.pwmPeriod}`);
  b[10] = s.feedbackCutout === "not-used" ? 0 : ranged(s.feedbackCutout, 1, 128);
  b[65] = ranged(s.kickStart, 0, 255);
  b[25] = speedTableOrMidStepByte(s.speedTableOrMidStep);
  b[23] = adjustmentByte(s.momentumAdjustment.acceleration);
  b[24] = adjustmentByte(s.momentumAdjustment.deceleration);
  b[11] = ranged(s.packetTimeout, 0, 255);
  b[12] = (b[12] & 192) | bitsOf(s.powerSources, sources);
  b[13] = bitsOf(s.alternateModeFunctions.f1ToF8, loco.f1ToF8);
  b[14] = (b[14] & 192) | bitsOf(s.alternateModeFunctions.flF9ToF12, loco.flF9ToF12);
  b[27] = (b[27] & 0b11001000) | bitsOf(s.automaticStopping, stopping);
  b[28] = (b[28] & 0b11111000) | bitsOf(s.biDirectionalConfig, broadcasts);
  b[15] = lockByte(s.lock.key);
  b[16] = lockByte(s.lock.number);
  b[31] = ranged(s.indexPage.high, 16, 255);
  b[32] = ranged(s.indexPage.low, 0, 255);
  b[30] = s.errorInformation === "none" ? 0 : ranged(s.errorInformation, 1, 255);
  b[892] = ranged(s.decoderLoad.amount, 0, 127) | bit(s.decoderLoad.negative, 128);
  b[893] = bitsOf(s.dynamicFlags, flags);
  b[894] = s.fuel === "not-supported" ? 255 : ranged(s.fuel, 0, 254);
  b[895] = s.water === "not-supported" ? 255 : ranged(s.water, 0, 254);
}

/** A copy to write into. */
export const copy = ({ main, pages }) => ({ main: main.slice(), pages });

/** Something small out of the settings, so that no reader can be left out by the compiler. */
export const use = (s) =>
  s.momentum.acceleration + s.version + s.decoderLoad.amount + s.functionMap.F4.length;

/** CVs that all features can be read from. */
export function randomImage(seed) {
  const next = random(seed);
  const main = randomBytes(next);
  loco.makeValid(main, next);
  main[29] &= 127;
  main[10] = next(129);
  main[25] = next(2) ? next(128) : 128 + next(26);
  main[31] = 16 + next(240);
  return { main, pages: {} };
}
