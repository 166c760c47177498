// The locomotive's CVs of S-9.2.2 (July 2012) by hand: address, consist, CV 29, speed, momentum, function map.
import { bad, bit, bitsOf, namesOf, option, options, ranged } from "./common.mjs";

const [stepNames, stepNumbers] = options({ 14: 0, "28/128": 1 });
export const f1ToF8 = ["F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8"];
export const flF9ToF12 = ["FL(f)", "FL(r)", "F9", "F10", "F11", "F12"];
const outputs1 = [1, 2, 3, 4, 5, 6, 7, 8];
const outputs4 = [4, 5, 6, 7, 8, 9, 10, 11];
const outputs7 = [7, 8, 9, 10, 11, 12, 13, 14];

/** A number of a step of 0.896 s, in seconds; whole thousandths divide into the nearest decimal. */
export const secondsOf = (number) => (number * 896) / 1000;

/** The step of 0.896 s that an amount of seconds is. */
export function momentumOf(seconds, max) {
  const number = ranged(Math.round((seconds * 1000) / 896), 0, max);
  if (secondsOf(number) !== seconds) bad(`${seconds}`);
  return number;
}

export function addressOf(b) {
  if (b[29] & 32) {
    const number = ((b[17] << 8) | b[18]) - 49152;
    if (number < 0 || number > 10239) bad("extended address");
    return { kind: "extended", number };
  }
  if (b[1] > 127) bad("primary address");
  return { kind: "primary", number: b[1] === 0 ? "alternate-power" : b[1] };
}

export function writeAddress(b, address) {
  if (address.kind === "extended") {
    const number = ranged(address.number, 0, 10239) + 49152;
    b[29] |= 32;
    b[17] = number >> 8;
    b[18] = number & 255;
  } else if (address.kind === "primary") {
    b[29] &= ~32;
    b[1] = address.number === "alternate-power" ? 0 : ranged(address.number, 1, 127);
  } else bad(address.kind);
}

export function consistOf(b) {
  const address = b[19] & 127;
  return { address: address === 0 ? "none" : address, reversed: (b[19] & 128) !== 0 };
}

export function writeConsist(b, { address, reversed }) {
  b[19] = (address === "none" ? 0 : ranged(address, 1, 127)) | bit(reversed, 128);
}

export function consistFunctionsOf(b) {
  return { f1ToF8: namesOf(b[21], f1ToF8), flF9ToF12: namesOf(b[22] & 63, flF9ToF12) };
}

export function writeConsistFunctions(b, functions) {
  b[21] = bitsOf(functions.f1ToF8, f1ToF8);
  b[22] = (b[22] & 192) | bitsOf(functions.flF9ToF12, flF9ToF12);
}

export const speedStepsOf = (b) => stepNames[(b[29] >> 1) & 1];

/** The bits of CV 29 that are settings of their own. */
export function writeCv29(b, s) {
  b[29] =
    (b[29] & ~15) |
    bit(s.directionReversed, 1) |
    (option(stepNumbers, s.speedSteps) << 1) |
    bit(s.analogue, 4) |
    bit(s.biDirectional, 8);
}

const drive = (byte) => (byte === 0 ? "not-used" : byte === 1 ? "not-used-1" : byte);
const driveByte = (value) => (value === "not-used" ? 0 : value === "not-used-1" ? 1 : ranged(value, 2, 255));
const trim = (byte) => (byte === 0 ? "none" : byte / 128);
const trimByte = (value) => (value === "none" ? 0 : ranged(value * 128, 1, 255));

export function speedOf(b) {
  if (!(b[29] & 16)) return { kind: "three-point", vstart: b[2], vmid: drive(b[6]), vhigh: drive(b[5]) };
  return {
    kind: "table",
    forwardTrim: trim(b[66]),
    // biome-ignore format: a literal is many times faster than a copy of a part of the array
    levels: [
      b[67], b[68], b[69], b[70], b[71], b[72], b[73], b[74], b[75], b[76], b[77], b[78], b[79], b[80],
      b[81], b[82], b[83], b[84], b[85], b[86], b[87], b[88], b[89], b[90], b[91], b[92], b[93], b[94],
    ],
    reverseTrim: trim(b[95]),
  };
}

export function writeSpeed(b, speed) {
  if (speed.kind === "three-point") {
    b[29] &= ~16;
    b[2] = ranged(speed.vstart, 0, 255);
    b[6] = driveByte(speed.vmid);
    b[5] = driveByte(speed.vhigh);
  } else if (speed.kind === "table") {
    b[29] |= 16;
    b[66] = trimByte(speed.forwardTrim);
    if (speed.levels.length !== 28) bad("levels");
    for (let i = 0; i < 28; i++) b[67 + i] = ranged(speed.levels[i], 0, 255);
    b[95] = trimByte(speed.reverseTrim);
  } else bad(speed.kind);
}

export function momentumBoth(b) {
  return { acceleration: secondsOf(b[3]), deceleration: secondsOf(b[4]) };
}

export function writeMomentum(b, momentum) {
  b[3] = momentumOf(momentum.acceleration, 255);
  b[4] = momentumOf(momentum.deceleration, 255);
}

export function functionMapOf(b) {
  return {
    "FL(f)": namesOf(b[33], outputs1),
    "FL(r)": namesOf(b[34], outputs1),
    F1: namesOf(b[35], outputs1),
    F2: namesOf(b[36], outputs1),
    F3: namesOf(b[37], outputs1),
    F4: namesOf(b[38], outputs4),
    F5: namesOf(b[39], outputs4),
    F6: namesOf(b[40], outputs4),
    F7: namesOf(b[41], outputs4),
    F8: namesOf(b[42], outputs4),
    F9: namesOf(b[43], outputs7),
    F10: namesOf(b[44], outputs7),
    F11: namesOf(b[45], outputs7),
    F12: namesOf(b[46], outputs7),
  };
}

export function writeFunctionMap(b, map) {
  b[33] = bitsOf(map["FL(f)"], outputs1);
  b[34] = bitsOf(map["FL(r)"], outputs1);
  b[35] = bitsOf(map.F1, outputs1);
  b[36] = bitsOf(map.F2, outputs1);
  b[37] = bitsOf(map.F3, outputs1);
  b[38] = bitsOf(map.F4, outputs4);
  b[39] = bitsOf(map.F5, outputs4);
  b[40] = bitsOf(map.F6, outputs4);
  b[41] = bitsOf(map.F7, outputs4);
  b[42] = bitsOf(map.F8, outputs4);
  b[43] = bitsOf(map.F9, outputs7);
  b[44] = bitsOf(map.F10, outputs7);
  b[45] = bitsOf(map.F11, outputs7);
  b[46] = bitsOf(map.F12, outputs7);
}

/** Makes the locomotive's CVs readable. */
export function makeValid(b, next) {
  b[1] = next(128);
  b[17] = 192 + next(40);
}
