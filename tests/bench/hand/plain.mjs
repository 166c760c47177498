// A plain job by hand: 15 features with plain numbers, choices, flags and runs.
import { bad, bit, option, options, random, randomBytes, ranged } from "./common.mjs";

export const shades = { dark: 0, dim: 1, half: 2, bright: 3 };
export const whistles = { none: 0, plain: 2, deep: 3, long: 6, short: 9 };
const [shadeNames, shadeNumbers] = options(shades);
const [whistleNames, whistleNumbers] = options(whistles);

export function decode({ main: b }) {
  const reverb = b[150] >> 3;
  if (reverb > 20) bad("reverb");
  const delay = b[151];
  if (delay < 1 || delay > 200) bad("delay");
  const whistle = whistleNames[b[128]];
  if (whistle === undefined) bad("whistle");
  const f = b[49];
  return {
    start: b[102],
    up: b[103],
    down: b[104],
    top: b[105],
    middle: b[106],
    volume: b[150] & 7,
    reverb,
    delay,
    whistle,
    shade: shadeNames[(b[152] >> 2) & 3],
    address: ((b[217] & 63) << 8) | b[218],
    consist: { number: b[219] & 127, reversed: (b[219] & 128) !== 0 },
    // biome-ignore format: one bit a line would hide what this is
    flags: {
      flag0: (f & 1) !== 0, flag1: (f & 2) !== 0, flag2: (f & 4) !== 0, flag3: (f & 8) !== 0,
      flag4: (f & 16) !== 0, flag5: (f & 32) !== 0, flag6: (f & 64) !== 0, flag7: (f & 128) !== 0,
    },
    // biome-ignore format: a literal is many times faster than a copy of a part of the array
    outputs: [
      b[433], b[434], b[435], b[436], b[437], b[438], b[439],
      b[440], b[441], b[442], b[443], b[444], b[445], b[446],
    ],
    // biome-ignore format: as above
    speeds: [
      b[567], b[568], b[569], b[570], b[571], b[572], b[573], b[574], b[575], b[576], b[577], b[578], b[579], b[580],
      b[581], b[582], b[583], b[584], b[585], b[586], b[587], b[588], b[589], b[590], b[591], b[592], b[593], b[594],
    ],
  };
}

export function encode({ main: b }, s) {
  b[102] = ranged(s.start, 0, 255);
  b[103] = ranged(s.up, 0, 255);
  b[104] = ranged(s.down, 0, 255);
  b[105] = ranged(s.top, 0, 255);
  b[106] = ranged(s.middle, 0, 255);
  b[150] = ranged(s.volume, 0, 7) | (ranged(s.reverb, 0, 20) << 3);
  b[151] = ranged(s.delay, 1, 200);
  b[128] = option(whistleNumbers, s.whistle);
  b[152] = (b[152] & ~12) | (option(shadeNumbers, s.shade) << 2);
  const address = ranged(s.address, 0, 16383);
  b[217] = (b[217] & 192) | (address >> 8);
  b[218] = address & 255;
  b[219] = ranged(s.consist.number, 0, 127) | bit(s.consist.reversed, 128);
  const f = s.flags;
  b[49] =
    bit(f.flag0, 1) |
    bit(f.flag1, 2) |
    bit(f.flag2, 4) |
    bit(f.flag3, 8) |
    bit(f.flag4, 16) |
    bit(f.flag5, 32) |
    bit(f.flag6, 64) |
    bit(f.flag7, 128);
  if (s.outputs.length !== 14) bad("outputs");
  for (let i = 0; i < 14; i++) b[433 + i] = ranged(s.outputs[i], 0, 255);
  if (s.speeds.length !== 28) bad("speeds");
  for (let i = 0; i < 28; i++) b[567 + i] = ranged(s.speeds[i], 0, 255);
}

/** A copy to write into. */
export const copy = ({ main, pages }) => ({ main: main.slice(), pages });

/** Something small out of the settings, so that no reader can be left out by the compiler. */
export const use = (s) => s.start + s.address + s.speeds[27] + s.outputs[3] + (s.flags.flag7 ? 1 : 0);

/** CVs that the job can be read from. */
export function randomImage(seed) {
  const next = random(seed);
  const main = randomBytes(next);
  main[128] = whistleNames.indexOf(Object.keys(whistles)[next(5)]);
  main[150] = next(8) | (next(21) << 3);
  main[151] = 1 + next(200);
  return { main, pages: {} };
}
