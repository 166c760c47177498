// The plain job (tests/bench/hand/plain.mjs) with general-purpose libraries for binary data. Each does the whole job:
// what the library lacks (bits of a byte, options, ranges, bytes that stay as they are) is done beside it by hand.
import { Parser } from "binary-parser";
import * as P from "micro-packed";
import * as r from "restructure";
import * as bin from "typed-binary";
import { bad, bit, option, options, ranged } from "../hand/common.mjs";
import { shades, whistles } from "../hand/plain.mjs";

const [shadeNames, shadeNumbers] = options(shades);
const [whistleNames, whistleNumbers] = options(whistles);
const flagNames = Array.from({ length: 8 }, (_, i) => `flag${i}`);

/** A number that must lie in a range, as a reader gives it. */
const within = (value, min, max) => (value < min || value > max ? bad(`${value}`) : value);
const optionOf = (names, number) => names[number] ?? bad(`${number}`);

// --- binary-parser: reading only ------------------------------------------------------------------------

const asFlag = { formatter: (one) => one === 1 };
/** From CV 0 on; a byte's first bits are its highest. */
const parser = new Parser()
  .endianness("big")
  .seek(49)
  .nest("flags", {
    type: [...flagNames].reverse().reduce((flags, name) => flags.bit1(name, asFlag), new Parser()),
  })
  .seek(52)
  .uint8("start")
  .uint8("up")
  .uint8("down")
  .uint8("top")
  .uint8("middle")
  .seek(21)
  .uint8("whistle", { formatter: (number) => optionOf(whistleNames, number) })
  .seek(21)
  .bit5("reverb", { formatter: (number) => within(number, 0, 20) })
  .bit3("volume")
  .uint8("delay", { formatter: (number) => within(number, 1, 200) })
  .nest("shade", {
    type: new Parser().bit4("high").bit2("shade").bit2("low"),
    formatter: ({ shade }) => shadeNames[shade],
  })
  .seek(64)
  .nest("address", { type: new Parser().bit2("high").bit14("number"), formatter: ({ number }) => number })
  .nest("consist", { type: new Parser().bit1("reversed", asFlag).bit7("number") })
  .seek(213)
  .array("outputs", { type: "uint8", length: 14 })
  .seek(120)
  .array("speeds", { type: "uint8", length: 28 });

export const binaryParser = { decode: ({ main }) => parser.parse(main) };

// --- Runs of bytes, for the libraries without bits --------------------------------------------------------

/** The flags of a byte. */
const flagsOf = (byte) => ({
  flag0: (byte & 1) !== 0,
  flag1: (byte & 2) !== 0,
  flag2: (byte & 4) !== 0,
  flag3: (byte & 8) !== 0,
  flag4: (byte & 16) !== 0,
  flag5: (byte & 32) !== 0,
  flag6: (byte & 64) !== 0,
  flag7: (byte & 128) !== 0,
});

/** The settings from the runs: one literal, since copies of objects would cost more than all reading. */
const fromRuns = (flags, levels, whistle, sound, address, outputs, speeds) => ({
  start: levels.start,
  up: levels.up,
  down: levels.down,
  top: levels.top,
  middle: levels.middle,
  volume: sound.both & 7,
  reverb: within(sound.both >> 3, 0, 20),
  delay: within(sound.delay, 1, 200),
  whistle,
  shade: shadeNames[(sound.shade >> 2) & 3],
  address: ((address.high & 63) << 8) | address.low,
  consist: { number: address.consist & 127, reversed: (address.consist & 128) !== 0 },
  flags,
  outputs,
  speeds,
});

const byte = (value) => ranged(value, 0, 255);
/** A list of bytes of this length. */
function bytes(list, length) {
  if (list.length !== length) bad("length");
  for (let i = 0; i < length; i++) byte(list[i]);
  return list;
}

const flagsByte = (flags) =>
  bit(flags.flag0, 1) |
  bit(flags.flag1, 2) |
  bit(flags.flag2, 4) |
  bit(flags.flag3, 8) |
  bit(flags.flag4, 16) |
  bit(flags.flag5, 32) |
  bit(flags.flag6, 64) |
  bit(flags.flag7, 128);

const levelsOf = ({ start, up, down, top, middle }) => ({
  start: byte(start),
  up: byte(up),
  down: byte(down),
  top: byte(top),
  middle: byte(middle),
});

const soundOf = (main, { volume, reverb, delay, shade }) => ({
  both: ranged(volume, 0, 7) | (ranged(reverb, 0, 20) << 3),
  delay: ranged(delay, 1, 200),
  shade: (main[152] & ~12) | (option(shadeNumbers, shade) << 2),
});

function addressOf(main, { address, consist }) {
  const number = ranged(address, 0, 16383);
  return {
    high: (main[217] & 192) | (number >> 8),
    low: number & 255,
    consist: ranged(consist.number, 0, 127) | bit(consist.reversed, 128),
  };
}

// --- typed-binary: no bits, no ranges ---------------------------------------------------------------------

const { u8 } = bin;
const typedLevels = bin.object({ start: u8, up: u8, down: u8, top: u8, middle: u8 });
const typedSound = bin.object({ both: u8, delay: u8, shade: u8 });
const typedAddress = bin.object({ high: u8, low: u8, consist: u8 });
const typedOutputs = bin.arrayOf(u8, 14);
const typedSpeeds = bin.arrayOf(u8, 28);

export const typedBinary = {
  decode({ main }) {
    const reader = new bin.BufferReader(main.buffer);
    const at = (schema, cv) => {
      reader.seekTo(main.byteOffset + cv);
      return schema.read(reader);
    };
    return fromRuns(
      flagsOf(at(u8, 49)),
      at(typedLevels, 102),
      optionOf(whistleNames, at(u8, 128)),
      at(typedSound, 150),
      at(typedAddress, 217),
      at(typedOutputs, 433),
      at(typedSpeeds, 567),
    );
  },
  encode({ main }, settings) {
    const writer = new bin.BufferWriter(main.buffer);
    const at = (schema, cv, value) => {
      writer.seekTo(main.byteOffset + cv);
      schema.write(writer, value);
    };
    at(u8, 49, flagsByte(settings.flags));
    at(typedLevels, 102, levelsOf(settings));
    at(u8, 128, option(whistleNumbers, settings.whistle));
    at(typedSound, 150, soundOf(main, settings));
    at(typedAddress, 217, addressOf(main, settings));
    at(typedOutputs, 433, bytes(settings.outputs, 14));
    at(typedSpeeds, 567, bytes(settings.speeds, 28));
  },
};

// --- restructure: no ranges, and bits only as flags ---------------------------------------------------------

const structLevels = new r.Struct({
  start: r.uint8,
  up: r.uint8,
  down: r.uint8,
  top: r.uint8,
  middle: r.uint8,
});
const structSound = new r.Struct({ both: r.uint8, delay: r.uint8, shade: r.uint8 });
const structAddress = new r.Struct({ high: r.uint8, low: r.uint8, consist: r.uint8 });
const structFlags = new r.Bitfield(r.uint8, flagNames);
const structWhistle = new r.Enum(r.uint8, whistleNames);
const structOutputs = new r.Array(r.uint8, 14);
const structSpeeds = new r.Array(r.uint8, 28);

export const restructure = {
  decode({ main }) {
    const stream = new r.DecodeStream(main);
    const at = (type, cv) => {
      stream.pos = cv;
      return type.decode(stream);
    };
    const flags = at(structFlags, 49);
    const levels = at(structLevels, 102);
    const whistle = at(structWhistle, 128);
    // A number that is no option is given as it is.
    if (typeof whistle !== "string") bad(`${whistle}`);
    const sound = at(structSound, 150);
    const address = at(structAddress, 217);
    const outputs = at(structOutputs, 433);
    return fromRuns(flags, levels, whistle, sound, address, outputs, at(structSpeeds, 567));
  },
  encode({ main }, settings) {
    const stream = new r.EncodeStream(main);
    const at = (type, cv, value) => {
      stream.pos = cv;
      type.encode(stream, value);
    };
    // Anything that is true sets a flag; so they are checked.
    flagsByte(settings.flags);
    at(structFlags, 49, settings.flags);
    at(structLevels, 102, levelsOf(settings));
    at(structWhistle, 128, settings.whistle);
    at(structSound, 150, soundOf(main, settings));
    at(structAddress, 217, addressOf(main, settings));
    at(structOutputs, 433, bytes(settings.outputs, 14));
    at(structSpeeds, 567, bytes(settings.speeds, 28));
  },
};

// --- micro-packed: bits, options and strict checks ----------------------------------------------------------

const ranges = (min, max) => (value) => ranged(value, min, max);
const boolean = P.apply(P.bits(1), { encode: (one) => one === 1, decode: (value) => bit(value, 1) });
/** All CVs from 0 on; what lies between is kept as it is. */
const packed = P.struct({
  gap0: P.bytes(49),
  flags: P.bitset([...flagNames].reverse()),
  gap1: P.bytes(52),
  start: P.U8,
  up: P.U8,
  down: P.U8,
  top: P.U8,
  middle: P.U8,
  gap2: P.bytes(21),
  whistle: P.map(P.U8, whistles),
  gap3: P.bytes(21),
  reverb: P.validate(P.bits(5), ranges(0, 20)),
  volume: P.bits(3),
  delay: P.validate(P.U8, ranges(1, 200)),
  shadeHigh: P.bits(4),
  shade: P.map(P.bits(2), shades),
  shadeLow: P.bits(2),
  gap4: P.bytes(64),
  addressHigh: P.bits(2),
  address: P.bits(14),
  consist: P.struct({ reversed: boolean, number: P.bits(7) }),
  gap5: P.bytes(213),
  outputs: P.array(14, P.U8),
  gap6: P.bytes(120),
  speeds: P.array(28, P.U8),
  gap7: P.bytes(430),
});

export const microPacked = {
  decode({ main }) {
    const {
      start,
      up,
      down,
      top,
      middle,
      volume,
      reverb,
      delay,
      whistle,
      shade,
      address,
      consist,
      flags,
      outputs,
      speeds,
    } = packed.decode(main);
    return {
      start,
      up,
      down,
      top,
      middle,
      volume,
      reverb,
      delay,
      whistle,
      shade,
      address,
      consist,
      flags,
      outputs,
      speeds,
    };
  },
  encode({ main }, settings) {
    const gap = (from, length) => main.subarray(from, from + length);
    main.set(
      packed.encode({
        gap0: gap(0, 49),
        flags: settings.flags,
        gap1: gap(50, 52),
        start: settings.start,
        up: settings.up,
        down: settings.down,
        top: settings.top,
        middle: settings.middle,
        gap2: gap(107, 21),
        whistle: settings.whistle,
        gap3: gap(129, 21),
        reverb: settings.reverb,
        volume: settings.volume,
        delay: settings.delay,
        shadeHigh: main[152] >> 4,
        shade: settings.shade,
        shadeLow: main[152] & 3,
        gap4: gap(153, 64),
        addressHigh: main[217] >> 6,
        address: settings.address,
        consist: settings.consist,
        gap5: gap(220, 213),
        outputs: settings.outputs,
        gap6: gap(447, 120),
        speeds: settings.speeds,
        gap7: gap(595, 430),
      }),
    );
  },
};
