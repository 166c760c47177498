// All features of the invented decoder Quillback S8 by hand.
import { bad, bit, nameOf, option, options, random, randomBytes, ranged } from "./common.mjs";
import * as loco from "./locomotive.mjs";

// biome-ignore format: a line a choice
const [whistles, whistleNumbers] = options({ "one-note": 0, "two-note": 2, "three-chime": 6, "five-chime": 7, "six-chime": 13 });
const [bells, bellNumbers] = options({ brass: 1, steel: 2, cracked: 6 });
const [exhausts, exhaustNumbers] = options({ soft: 1, crisp: 4, heavy: 5, "two-engines": 10 });
// biome-ignore format: a line a choice
const [pumps, pumpNumbers] = options({ none: 0, "single-stage": 1, compound: 3, "compound-pair": 4 });
const [dynamos, dynamoNumbers] = options({ none: 0, one: 1, two: 2 });
const [firings, firingNumbers] = options({ coal: 0, wood: 1, oil: 2 });
const [injectors, injectorNumbers] = options({ lifting: 1, "non-lifting": 2, "feed-pump": 3 });
const [reversers, reverserNumbers] = options({ lever: 0, screw: 1, power: 3 });
const [cylinders, cylinderNumbers] = options({ two: 0, three: 1, "two-engines": 3 });
// biome-ignore format: a line a choice
const [effects, effectNumbers] = options({ steady: 0, dim: 3, "dim-standing": 4, "oil-flicker": 9, gyrating: 12, "firebox-glow": 17, "with-dynamo": 22 });
const [ways, wayNumbers] = options({ "both-ways": 0, forward: 1, reverse: 2 });

function lampOf(byte) {
  return {
    effect: nameOf(effects, byte & 31),
    lit: nameOf(ways, (byte >> 5) & 3),
    ledCorrection: (byte & 128) !== 0,
  };
}

function lampByte(lamp) {
  return (
    option(effectNumbers, lamp.effect) | (option(wayNumbers, lamp.lit) << 5) | bit(lamp.ledCorrection, 128)
  );
}

const keyOf = (byte) => (byte === 255 ? "none" : ranged(byte, 0, 28));
const keyByte = (value) => (value === "none" ? 255 : ranged(value, 0, 28));

/** The stored number of an amount in steps that binary fractions hold exactly. */
function stepsOf(value, step, min, max) {
  return ranged(value / step, min, max);
}

function tenthsOf(value) {
  const number = ranged(Math.round(value * 10), 0, 50);
  if (number / 10 !== value) bad(`${value}`);
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
  const squeal = pages["16.0"];
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
    whistle: nameOf(whistles, b[141]),
    bell: { sound: nameOf(bells, b[142] & 7), airRung: (b[142] & 8) !== 0 },
    exhaust: nameOf(exhausts, b[143] & 15),
    airPumps: nameOf(pumps, b[144] & 7),
    dynamos: nameOf(dynamos, (b[144] >> 3) & 3),
    firing: nameOf(firings, b[152] & 3),
    injector: nameOf(injectors, (b[152] >> 2) & 3),
    reverser: nameOf(reversers, (b[152] >> 4) & 3),
    cylinders: nameOf(cylinders, b[153] & 3),
    slip: ranged((b[153] >> 2) & 15, 0, 12),
    drains: b[160] & 8 ? { seconds: ranged(b[161], 1, 60) } : "off",
    blowdown: b[160] & 64 ? { every: ranged(b[162], 1, 24) * 2.5 } : "off",
    front: lampOf(b[171]),
    rear: lampOf(b[172]),
    output3: lampOf(b[173]),
    output4: lampOf(b[174]),
    output5: lampOf(b[175]),
    output6: lampOf(b[176]),
    output7: lampOf(b[177]),
    output8: lampOf(b[178]),
    fade: ranged(b[180], 0, 50) / 10,
    levels: {
      master: ranged(b[190], 0, 100),
      whistle: ranged(b[191], 0, 100),
      bell: ranged(b[192], 0, 100),
      exhaust: ranged(b[193], 0, 100),
      pumps: ranged(b[194], 0, 100),
    },
    keys: { whistle: keyOf(b[200]), bell: keyOf(b[201]), drains: keyOf(b[202]), mute: keyOf(b[203]) },
    brakeSqueal: { below: ranged(squeal[43], 0, 126), seconds: ranged(squeal[44], 0, 32) / 4 },
    plate: plateOf(pages["16.1"]),
  };
}

export function encode({ main: b, pages }, s) {
  loco.writeAddress(b, s.address);
  loco.writeConsist(b, s.consist);
  loco.writeConsistFunctions(b, s.consistFunctions);
  loco.writeCv29(b, s);
  loco.writeSpeed(b, s.speed);
  loco.writeMomentum(b, s.momentum);
  loco.writeFunctionMap(b, s.functionMap);
  b[141] = option(whistleNumbers, s.whistle);
  b[142] = (b[142] & 240) | option(bellNumbers, s.bell.sound) | bit(s.bell.airRung, 8);
  b[143] = (b[143] & 240) | option(exhaustNumbers, s.exhaust);
  b[144] = (b[144] & 224) | option(pumpNumbers, s.airPumps) | (option(dynamoNumbers, s.dynamos) << 3);
  b[152] =
    (b[152] & 192) |
    option(firingNumbers, s.firing) |
    (option(injectorNumbers, s.injector) << 2) |
    (option(reverserNumbers, s.reverser) << 4);
  b[153] = (b[153] & 192) | option(cylinderNumbers, s.cylinders) | (ranged(s.slip, 0, 12) << 2);
  if (s.drains === "off") b[160] &= ~8;
  else {
    b[160] |= 8;
    b[161] = ranged(s.drains.seconds, 1, 60);
  }
  if (s.blowdown === "off") b[160] &= ~64;
  else {
    b[160] |= 64;
    b[162] = stepsOf(s.blowdown.every, 2.5, 1, 24);
  }
  b[171] = lampByte(s.front);
  b[172] = lampByte(s.rear);
  b[173] = lampByte(s.output3);
  b[174] = lampByte(s.output4);
  b[175] = lampByte(s.output5);
  b[176] = lampByte(s.output6);
  b[177] = lampByte(s.output7);
  b[178] = lampByte(s.output8);
  b[180] = tenthsOf(s.fade);
  b[190] = ranged(s.levels.master, 0, 100);
  b[191] = ranged(s.levels.whistle, 0, 100);
  b[192] = ranged(s.levels.bell, 0, 100);
  b[193] = ranged(s.levels.exhaust, 0, 100);
  b[194] = ranged(s.levels.pumps, 0, 100);
  b[200] = keyByte(s.keys.whistle);
  b[201] = keyByte(s.keys.bell);
  b[202] = keyByte(s.keys.drains);
  b[203] = keyByte(s.keys.mute);
  const squeal = pages["16.0"];
  squeal[43] = ranged(s.brakeSqueal.below, 0, 126);
  squeal[44] = stepsOf(s.brakeSqueal.seconds, 0.25, 0, 32);
  writePlate(pages["16.1"], s.plate);
}

/** A copy to write into. */
export const copy = ({ main, pages }) => ({
  main: main.slice(),
  pages: { "16.0": pages["16.0"].slice(), 16.1: pages["16.1"].slice() },
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
  main[141] = one(whistleNumbers);
  main[142] = rest(248) | one(bellNumbers);
  main[143] = rest(240) | one(exhaustNumbers);
  main[144] = rest(224) | one(pumpNumbers) | (one(dynamoNumbers) << 3);
  main[152] = rest(192) | one(firingNumbers) | (one(injectorNumbers) << 2) | (one(reverserNumbers) << 4);
  main[153] = rest(192) | one(cylinderNumbers) | (next(13) << 2);
  main[161] = 1 + next(60);
  main[162] = 1 + next(24);
  for (let n = 171; n <= 178; n++) main[n] = rest(128) | one(effectNumbers) | (one(wayNumbers) << 5);
  main[180] = next(51);
  for (let n = 190; n <= 194; n++) main[n] = next(101);
  for (let n = 200; n <= 203; n++) main[n] = next(30) < 29 ? next(29) : 255;
  const squeal = new Uint8Array(256);
  squeal[43] = next(127);
  squeal[44] = next(33);
  const plate = new Uint8Array(256);
  for (let i = 0, end = next(9); i < end; i++) plate[i] = 32 + next(95);
  return { main, pages: { "16.0": squeal, 16.1: plate } };
}
