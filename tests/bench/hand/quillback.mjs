// All features of the invented decoder Quillback S8 by hand.
import { bad, bit, nameOf, option, options, random, randomBytes, ranged } from "./common.mjs";
import * as loco from "./locomotive.mjs";

// biome-ignore format: a line a choice
const [stacks, stackNumbers] = options({ straight: 38, "wide-cap": 11, "spark-cage": 90, "two-engines": 203 });
// biome-ignore format: a line a choice
const [whistles, whistleNumbers] = options({ "three-chime": 5, "five-chime": 3, "one-note": 6, "two-note": 0, "mill-hooter": 2 });
const [valves, valveNumbers] = options({ one: 3, pair: 1 });
// biome-ignore format: a line a choice
const [pumps, pumpNumbers] = options({ "single-stage": 0, "single-stage-pair": 1, none: 2, compound: 3 });
const [cylinders, cylinderNumbers] = options({ "two-engines": 0, two: 1, three: 2 });
const [feeds, feedNumbers] = options({ "crosshead-pump": 6, lifting: 4, "non-lifting": 1 });
const [fuels, fuelNumbers] = options({ slabwood: 6, coal: 3, oil: 1 });
const [tones, toneNumbers] = options({ dull: 0, clear: 2, cracked: 3 });
// biome-ignore format: a line a choice
const [effects, effectNumbers] = options({ "brightens-slowly": 14, flickers: 2, swings: 9, glows: 5, "dims-at-rest": 12, "half-light": 11, plain: 7 });
const [ways, wayNumbers] = options({ forward: 3, reverse: 1, "both-ways": 2 });

/** The lamp of an output: its byte is CV 217 - output, its correction bit of CV 243 is 8 - output, 0 for yes. */
function lampOf(b, output) {
  const byte = b[217 - output];
  return {
    shows: nameOf(ways, byte >> 6),
    effect: nameOf(effects, (byte >> 1) & 15),
    forLed: (b[243] & (1 << (8 - output))) === 0,
  };
}

function writeLamp(b, output, lamp) {
  const at = 217 - output;
  b[at] = (b[at] & 33) | (option(wayNumbers, lamp.shows) << 6) | (option(effectNumbers, lamp.effect) << 1);
  const mask = 1 << (8 - output);
  b[243] = (b[243] & ~mask) | (mask ^ bit(lamp.forLed, mask));
}

function keyOf(byte) {
  const number = (byte >> 2) & 31;
  return number === 30 ? "none" : ranged(number, 0, 28);
}

const keyByte = (byte, value) => (byte & 131) | ((value === "none" ? 30 : ranged(value, 0, 28)) << 2);

/** The stored number of an amount in steps that binary fractions hold exactly. */
function stepsOf(value, step, min, max) {
  return ranged(value / step, min, max);
}

/** The stored number of an amount of which so many go into one: 20 of 0.05. */
function partsOf(value, parts, max) {
  const number = ranged(Math.round(value * parts), 0, max);
  if (number / parts !== value) bad(`${value}`);
  return number;
}

function plateOf(p) {
  let text = "";
  let i = 0;
  for (; i < 8 && p[i] !== 0; i++) {
    if (p[i] < 32 || p[i] > 126) bad("plate");
    text += String.fromCharCode(p[i]);
  }
  for (; i < 8; i++) if (p[i] !== 0) bad("plate");
  return text;
}

function writePlate(p, text) {
  if (typeof text !== "string" || text.length > 8) bad("plate");
  for (let i = 0; i < 8; i++) {
    const code = i < text.length ? text.charCodeAt(i) : 0;
    if (i < text.length && (code < 32 || code > 126)) bad("plate");
    p[i] = code;
  }
}

export function decode({ main: b, pages }) {
  const timed = pages["73.9"];
  const loud = pages["73.14"];
  const rail = pages["73.22"];
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
    stack: nameOf(stacks, b[237]),
    whistle: nameOf(whistles, (b[218] >> 4) & 7),
    safetyValves: nameOf(valves, b[218] & 3),
    pump: { kind: nameOf(pumps, b[231] >> 6), strokes: 18 + 4 * (b[231] & 31) },
    cylinders: nameOf(cylinders, (b[221] >> 2) & 3),
    rodKnock: ranged(b[221] >> 4, 0, 9),
    feed: nameOf(feeds, b[224] & 7),
    blower: ranged((b[224] >> 3) & 15, 0, 11),
    fuel: nameOf(fuels, b[246] >> 5),
    takesWater: (b[246] & 4) !== 0,
    bell: { tone: nameOf(tones, (b[246] >> 3) & 3), byAir: (b[224] & 128) === 0 },
    drains: b[252] & 2 ? { seconds: ranged(timed[132], 6, 160) / 4 } : "off",
    blowdown: b[252] & 16 ? { every: 3 + ranged(timed[147], 0, 38) * 1.5 } : "off",
    winch: (b[252] & 64) !== 0,
    front: lampOf(b, 1),
    rear: lampOf(b, 2),
    output3: lampOf(b, 3),
    output4: lampOf(b, 4),
    output5: lampOf(b, 5),
    output6: lampOf(b, 6),
    output7: lampOf(b, 7),
    output8: lampOf(b, 8),
    fade: ranged(b[239], 0, 120) / 20,
    loudness: {
      all: ranged(b[234], 0, 200) / 2,
      bell: ranged(loud[209], 0, 50) * 2,
      stack: ranged(loud[214], 0, 50) * 2,
      pump: ranged(loud[221], 0, 50) * 2,
      whistle: ranged(loud[226], 0, 50) * 2,
    },
    keys: { drains: keyOf(b[203]), whistle: keyOf(b[206]), mute: keyOf(b[226]), bell: keyOf(b[247]) },
    flanges: { seconds: ranged(rail[80], 0, 45) / 5, above: ranged(rail[93], 0, 126) },
    slip: ranged(rail[87], 0, 24),
    plate: plateOf(pages["112.5"].subarray(169, 177)),
  };
}

export function encode({ main: b, pages }, s) {
  const timed = pages["73.9"];
  const loud = pages["73.14"];
  const rail = pages["73.22"];
  loco.writeAddress(b, s.address);
  loco.writeConsist(b, s.consist);
  loco.writeConsistFunctions(b, s.consistFunctions);
  loco.writeCv29(b, s);
  loco.writeSpeed(b, s.speed);
  loco.writeMomentum(b, s.momentum);
  loco.writeFunctionMap(b, s.functionMap);
  b[237] = option(stackNumbers, s.stack);
  b[218] = (b[218] & 140) | (option(whistleNumbers, s.whistle) << 4) | option(valveNumbers, s.safetyValves);
  b[231] = (b[231] & 32) | (option(pumpNumbers, s.pump.kind) << 6) | stepsOf(s.pump.strokes - 18, 4, 0, 31);
  b[221] = (b[221] & 3) | (option(cylinderNumbers, s.cylinders) << 2) | (ranged(s.rodKnock, 0, 9) << 4);
  b[224] = option(feedNumbers, s.feed) | (ranged(s.blower, 0, 11) << 3) | (128 ^ bit(s.bell.byAir, 128));
  b[246] =
    (b[246] & 3) |
    (option(fuelNumbers, s.fuel) << 5) |
    bit(s.takesWater, 4) |
    (option(toneNumbers, s.bell.tone) << 3);
  if (s.drains === "off") b[252] &= ~2;
  else {
    b[252] |= 2;
    timed[132] = stepsOf(s.drains.seconds, 0.25, 6, 160);
  }
  if (s.blowdown === "off") b[252] &= ~16;
  else {
    b[252] |= 16;
    timed[147] = stepsOf(s.blowdown.every - 3, 1.5, 0, 38);
  }
  b[252] = (b[252] & ~64) | bit(s.winch, 64);
  writeLamp(b, 1, s.front);
  writeLamp(b, 2, s.rear);
  writeLamp(b, 3, s.output3);
  writeLamp(b, 4, s.output4);
  writeLamp(b, 5, s.output5);
  writeLamp(b, 6, s.output6);
  writeLamp(b, 7, s.output7);
  writeLamp(b, 8, s.output8);
  b[239] = partsOf(s.fade, 20, 120);
  b[234] = stepsOf(s.loudness.all, 0.5, 0, 200);
  loud[209] = stepsOf(s.loudness.bell, 2, 0, 50);
  loud[214] = stepsOf(s.loudness.stack, 2, 0, 50);
  loud[221] = stepsOf(s.loudness.pump, 2, 0, 50);
  loud[226] = stepsOf(s.loudness.whistle, 2, 0, 50);
  b[203] = keyByte(b[203], s.keys.drains);
  b[206] = keyByte(b[206], s.keys.whistle);
  b[226] = keyByte(b[226], s.keys.mute);
  b[247] = keyByte(b[247], s.keys.bell);
  rail[80] = partsOf(s.flanges.seconds, 5, 45);
  rail[93] = ranged(s.flanges.above, 0, 126);
  rail[87] = ranged(s.slip, 0, 24);
  writePlate(pages["112.5"].subarray(169, 177), s.plate);
}

/** A copy to write into. */
export const copy = ({ main, pages }) => ({
  main: main.slice(),
  pages: {
    73.9: pages["73.9"].slice(),
    73.14: pages["73.14"].slice(),
    73.22: pages["73.22"].slice(),
    112.5: pages["112.5"].slice(),
  },
});

/** Something small out of the settings, so that no reader can be left out by the compiler. */
export const use = (s) => s.momentum.acceleration + s.fade + s.plate.length + s.functionMap.F4.length;

/** CVs that all features can be read from. */
export function randomImage(seed) {
  const next = random(seed);
  const main = randomBytes(next);
  const one = (numbers) => [...numbers.values()][next(numbers.size)];
  const rest = (mask) => next(256) & mask;
  loco.makeValid(main, next);
  main[237] = one(stackNumbers);
  main[218] = rest(140) | (one(whistleNumbers) << 4) | one(valveNumbers);
  main[231] = rest(63) | (one(pumpNumbers) << 6);
  main[221] = rest(3) | (one(cylinderNumbers) << 2) | (next(10) << 4);
  main[224] = rest(128) | one(feedNumbers) | (next(12) << 3);
  main[246] = rest(7) | (one(fuelNumbers) << 5) | (one(toneNumbers) << 3);
  for (let n = 209; n <= 216; n++) main[n] = rest(33) | (one(wayNumbers) << 6) | (one(effectNumbers) << 1);
  main[239] = next(121);
  main[234] = next(201);
  for (const n of [203, 206, 226, 247]) main[n] = rest(131) | ((next(30) < 29 ? next(29) : 30) << 2);
  const [timed, loud, rail, plate] = Array.from({ length: 4 }, () => new Uint8Array(256));
  timed[132] = 6 + next(155);
  timed[147] = next(39);
  for (const n of [209, 214, 221, 226]) loud[n] = next(51);
  rail[80] = next(46);
  rail[93] = next(127);
  rail[87] = next(25);
  for (let i = 0, end = next(9); i < end; i++) plate[169 + i] = 32 + next(95);
  return { main, pages: { 73.9: timed, 73.14: loud, 73.22: rail, 112.5: plate } };
}
