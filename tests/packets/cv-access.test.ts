import { CvError, CvSet } from "cvset";
import {
  type AccessMode,
  accessModes,
  accessPackets,
  type CvAccess,
  type Packet,
  packetFromText,
  packetText,
  parseAccess,
  parseServicePacket,
  parseTrackPacket,
} from "cvset/packets";
import { type AddressLike, address as locomotiveAddress } from "cvset/standard";
import { expect, test } from "vitest";
import { saidBy } from "../support/said.js";

const extended1234 = { kind: "extended", number: 1234 } as const;

// A second, slow way to the bytes, straight from the layouts: the strings of bits of S-9.2.3 (July 2012),
// section E, and S-9.2.1 (July 2012), section C.
function bitsOf(value: number, width: number): string {
  return value.toString(2).padStart(width, "0");
}
function closed(bits: string): number[] {
  const bytes = (bits.match(/.{8}/g) as string[]).map((byte) => Number.parseInt(byte, 2));
  return [...bytes, bytes.reduce((xor, byte) => xor ^ byte, 0)];
}
function reference(mode: AccessMode, operation: "write" | "verify", cv: number, value: number): number[][] {
  const write = operation === "write";
  const data = bitsOf(value, 8);
  const c = write ? "1" : "0";
  switch (mode) {
    case "direct":
      return [closed(`0111${write ? "11" : "01"}${bitsOf(cv - 1, 10)}${data}`)];
    case "main":
      return [closed(`11000100110100101110${write ? "11" : "01"}${bitsOf(cv - 1, 10)}${data}`)];
    case "address-only":
      return [closed(`0111${c}000${data}`)];
    case "register": {
      const register = { 1: 1, 2: 2, 3: 3, 4: 4, 29: 5, 7: 7, 8: 8 }[cv] as number;
      return [closed(`0111${c}${bitsOf(register - 1, 3)}${data}`)];
    }
    case "paged": {
      const page = Math.floor((cv - 1) / 4) + 1;
      const register = (cv - 1) % 4;
      return [closed(`01111101${bitsOf(page % 256, 8)}`), closed(`0111${c}${bitsOf(register, 3)}${data}`)];
    }
  }
}

const every: readonly number[] = Array.from({ length: 1024 }, (_, i) => i + 1);
const reach: Record<AccessMode, { cvs: readonly number[]; highest: number }> = {
  direct: { cvs: every, highest: 255 },
  paged: { cvs: every, highest: 255 },
  register: { cvs: [1, 2, 3, 4, 7, 8, 29], highest: 255 },
  "address-only": { cvs: [1], highest: 127 },
  main: { cvs: every, highest: 255 },
};

// Every CV with values at the edges, and every value with some CVs, one on each side of a byte or a page.
test.each(Object.entries(reach) as [AccessMode, (typeof reach)["direct"]][])(
  "%s mode: every CV and every value, made and read back",
  (mode, { cvs, highest }) => {
    const address = mode === "main" ? extended1234 : undefined;
    const wrong: string[] = [];
    const values = Array.from({ length: highest + 1 }, (_, value) => value);
    const pairs = new Set<string>();
    const tryOne = (cv: number, value: number) => {
      const operation = (cv + value) & 1 ? "write" : "verify";
      const packets = accessPackets(mode, { operation, cv, value }, address);
      const parsed = parseAccess(mode, packets);
      if (parsed.cv !== cv || parsed.value !== value || parsed.operation !== operation || "bit" in parsed) {
        wrong.push(`${operation} ${cv} ${value}`);
      }
      pairs.add(`${cv} ${value}`);
    };
    for (const cv of cvs) {
      for (const value of [0, 1, 8, 31, 127, highest - 1, highest, (cv * 7) & highest]) tryOne(cv, value);
    }
    for (const cv of cvs.filter((one) => one <= 8 || one === 29 || one % 256 < 2)) {
      for (const value of values) tryOne(cv, value);
    }
    expect(wrong).toEqual([]);
    expect(pairs.size).toBeGreaterThanOrEqual(cvs.length * 7);
  },
);

test.each(Object.entries(reach) as [AccessMode, (typeof reach)["direct"]][])(
  "%s mode: the bytes are those of the layout, for every CV",
  (mode, { cvs, highest }) => {
    const address = mode === "main" ? extended1234 : undefined;
    const wrong: string[] = [];
    for (const cv of cvs) {
      for (const value of [0, 1, 85, 127, 170 & highest, highest, (cv * 7) & highest]) {
        for (const operation of ["write", "verify"] as const) {
          const made = JSON.stringify(accessPackets(mode, { operation, cv, value }, address));
          if (made !== JSON.stringify(reference(mode, operation, cv, value)))
            wrong.push(`${cv} ${value} ${made}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  },
);

test.each(["direct", "main"] as const)("%s mode: every bit of every CV", (mode) => {
  const address = mode === "main" ? extended1234 : undefined;
  const wrong: string[] = [];
  for (const cv of every) {
    for (let bit = 0; bit < 8; bit++) {
      for (const value of [0, 1]) {
        for (const operation of ["write", "verify"] as const) {
          const access = { operation, cv, value, bit };
          const packets = accessPackets(mode, access, address);
          const data = Number.parseInt(`111${operation === "write" ? 1 : 0}${value}${bitsOf(bit, 3)}`, 2);
          const parsed = parseAccess(mode, packets);
          const packet = packets[0] as readonly number[];
          if (JSON.stringify(parsed) !== JSON.stringify(access) || packet.at(-2) !== data) {
            wrong.push(JSON.stringify(access));
          }
        }
      }
    }
  }
  expect(wrong).toEqual([]);
});

const sectionE = "(S-9.2.3 (July 2012), section E)";
const sectionC = "(S-9.2.1 (July 2012), section C)";

test("a CV, a bit or a value that a mode cannot reach is refused with its name and the source", () => {
  const at = (mode: AccessMode, access: Partial<CvAccess>) =>
    saidBy(() => accessPackets(mode, { operation: "write", cv: 1, value: 1, ...access }, 3));
  expect(at("register", { cv: 5 })).toEqual([
    `CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode ${sectionE}`,
  ]);
  expect(at("address-only", { cv: 2 })).toEqual([
    `CV 2: address-only mode does not reach this CV, only CV 1; use direct or paged mode ${sectionE}`,
  ]);
  expect(at("address-only", { value: 128 })).toEqual([
    `value: 128 is out of range; allowed is 0 to 127 ${sectionE}`,
  ]);
  for (const mode of ["paged", "register", "address-only"] as const) {
    expect(at(mode, { bit: 3 })).toEqual([`packet: ${mode} mode has no access to single bits ${sectionE}`]);
  }
  for (const mode of accessModes) {
    const source = mode === "main" ? sectionC : sectionE;
    for (const cv of [0, 1025]) {
      expect(at(mode, { cv })).toEqual([`cv: ${cv} is out of range; allowed is 1 to 1024 ${source}`]);
    }
    for (const cv of [1.5, Number.NaN]) {
      expect(at(mode, { cv })).toEqual([`cv: expected a whole number from 1 to 1024, got ${cv} ${source}`]);
    }
    const highest = mode === "address-only" ? 127 : 255;
    expect(at(mode, { value: -1 })).toEqual([
      `value: -1 is out of range; allowed is 0 to ${highest} ${source}`,
    ]);
  }
  expect(saidBy(() => accessPackets("main", { operation: "write", cv: 1, value: 1 }))).toEqual([
    "address: a value is needed",
  ]);
});

test("an access may be an instruction of a packet: its kind is that of the mode", () => {
  const read = parseTrackPacket(packetFromText("03 EC 1C 22 D1")).instructions[0] as CvAccess;
  expect(accessPackets("direct", read).map(packetText)).toEqual(["7C 1C 22 42"]);
  expect(accessPackets("main", read, 3).map(packetText)).toEqual(["03 EC 1C 22 D1"]);
  expect(accessPackets("main", read, { kind: "accessory", number: 1 }).map(packetText)).toEqual([
    "81 F0 EC 1C 22 A3",
  ]);
  const service = parseServicePacket(packetFromText("7C 1C 22 42")) as CvAccess;
  expect(accessPackets("main", service, 3).map(packetText)).toEqual(["03 EC 1C 22 D1"]);
  expect(accessPackets("paged", service).map(packetText)).toEqual(["7D 08 75", "78 22 5A"]);
});

test("packets of another mode, or too many, are refused", () => {
  const direct = accessPackets("direct", { operation: "write", cv: 3, value: 5 });
  const register5 = accessPackets("register", { operation: "write", cv: 29, value: 5 });
  const register1 = accessPackets("register", { operation: "write", cv: 1, value: 200 });
  const said = (mode: AccessMode, ...packets: Packet[]) => saidBy(() => parseAccess(mode, packets));
  const not = (mode: AccessMode) => [
    `packet: this is not a CV access of ${mode} mode ${mode === "main" ? sectionC : sectionE}`,
  ];
  expect(said("register", ...direct)).toEqual(not("register"));
  expect(said("direct", ...register5)).toEqual(not("direct"));
  expect(said("address-only", ...register5)).toEqual(not("address-only"));
  expect(said("address-only", ...register1)).toEqual(not("address-only"));
  expect(said("register", [0x7d, 1, 0x7c])).toEqual(not("register"));
  expect(said("direct", [0, 0, 0])).toEqual(not("direct"));
  expect(said("main", [3, 0x3f, 0x82, 0xbe])).toEqual(not("main"));
  expect(said("main", [255, 0, 255])).toEqual(not("main"));
  expect(said("paged", direct[0] as Packet, register1[0] as Packet)).toEqual(not("paged"));
  // A CV access and something else in one packet (to a short address, so that there is room).
  expect(said("main", [3, 0xf2, 1, 0x90, 3 ^ 0xf2 ^ 1 ^ 0x90])).toEqual(not("main"));
  for (const mode of accessModes) {
    const count = mode === "paged" ? 2 : 1;
    for (const found of [0, 3 - count, 3]) {
      const packets = Array.from({ length: found }, () => direct[0] as Packet);
      expect(said(mode, ...packets)).toEqual([
        `packet: expected the packets of one access in ${mode} mode, which are ${count}, got ${found}`,
      ]);
    }
  }
});

test("the address of an access on the main: a number, an address, a decoded setting; else a CvError", () => {
  const access = { operation: "write", cv: 29, value: 34 } as const;
  const bytes = (address: AddressLike) => accessPackets("main", access, address).map(packetText);
  expect(bytes(1234)).toEqual(["C4 D2 EC 1C 22 C4"]);
  const settings = locomotiveAddress.decode(CvSet.from({ 17: 196, 18: 210, 29: 34 }));
  expect(bytes(settings)).toEqual(["C4 D2 EC 1C 22 C4"]);
  // Output address 1 is the first pair of outputs of decoder 1 (S-9.2.2 (July 2012), CV 1, as read here): 257 of
  // decoder 65.
  expect(bytes({ kind: "accessory-output", number: 257 })).toEqual(
    bytes({ kind: "accessory", number: 65, output: 0 }),
  );
  expect(bytes({ kind: "accessory", number: 65, output: 0 })).toEqual(["81 E8 EC 1C 22 BB"]);
  expect(bytes({ kind: "accessory", number: 65, output: 7 })).toEqual(["81 EF EC 1C 22 BC"]);
  expect(bytes({ kind: "accessory", number: 65 })).toEqual(["81 E0 EC 1C 22 B3"]);
  expect(bytes({ kind: "extended-accessory", number: 4 })).toEqual(["81 71 EC 1C 22 22"]);
  expect(bytes(3)).toEqual(["03 EC 1C 22 D1"]);
  for (const bad of [
    null,
    "3",
    {},
    [],
    { type: "long", number: 3 },
    { kind: "long", number: 3 },
    { kind: "primary", number: 128 },
    { kind: "primary", number: "alternate-power" },
    { kind: "extended", number: Number.NaN },
    { kind: "accessory", number: 5, output: 8 },
    { kind: "idle" },
    { kind: "broadcast", to: "all" },
    { kind: "broadcast" },
    { kind: "broadcast", to: "accessory" },
    { kind: "accessory", number: 511 },
    0,
    Number.NaN,
  ]) {
    expect(() => accessPackets("main", access, bad as AddressLike), JSON.stringify(bad)).toThrow(CvError);
  }
  expect(saidBy(() => bytes({ kind: "consist", number: 5 }))).toEqual([
    `address: a decoder obeys no CV access at the address of its consist; give its own address ${sectionC}`,
  ]);
  expect(saidBy(() => bytes({ kind: "accessory", number: 511 }))).toEqual([
    'address: 511 is the address of all accessory decoders; give the kind "broadcast" with to: "accessory" (S-9.2.1 (July 2012), accessory packets)',
  ]);
  expect(saidBy(() => bytes({ kind: "broadcast" }))).toEqual([
    "address: a CV access goes to one decoder, and this is the address of several; give the decoder's own address",
  ]);
});
