import { CvError, CvSet } from "cvset";
import { type AccessMode, accessPackets, packetText, parseAccess } from "cvset/packets";
import { type AddressLike, address as locomotiveAddress } from "cvset/standard";
import { expect, test } from "vitest";

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

// Every CV times every value: made, then parsed, gives the same; one assertion for all.
test.each(Object.entries(reach) as [AccessMode, (typeof reach)["direct"]][])(
  "%s mode: every CV and every value",
  (mode, { cvs, highest }) => {
    const address = mode === "main" ? extended1234 : undefined;
    const wrong: string[] = [];
    let count = 0;
    for (const cv of cvs) {
      for (let value = 0; value <= highest; value++) {
        const operation = (cv + value) & 1 ? "write" : "verify";
        const packets = accessPackets(mode, { operation, cv, value }, address);
        const parsed = parseAccess(mode, packets);
        if (parsed.cv !== cv || parsed.value !== value || parsed.operation !== operation || "bit" in parsed) {
          wrong.push(`${operation} ${cv} ${value}`);
        }
        count++;
      }
    }
    expect(wrong).toEqual([]);
    expect(count).toBe(cvs.length * (highest + 1));
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

test("a CV or a bit that a mode cannot reach is refused with its name", () => {
  const at = (mode: AccessMode, cv: number, bit?: number) => () =>
    accessPackets(
      mode,
      bit === undefined ? { operation: "write", cv, value: 1 } : { operation: "write", cv, value: 1, bit },
    );
  expect(at("register", 5)).toThrow(
    "CV 5: register mode does not reach this CV, only CV 1, 2, 3, 4, 7, 8 and 29; use direct or paged mode",
  );
  expect(at("address-only", 2)).toThrow("CV 2: address-only mode does not reach this CV, only CV 1;");
  expect(() => accessPackets("address-only", { operation: "write", cv: 1, value: 128 })).toThrow("0 to 127");
  for (const mode of ["paged", "register", "address-only"] as const) {
    expect(at(mode, 1, 3)).toThrow("no access to single bits");
  }
  expect(at("main", 1)).toThrow("address: a value is needed");
  for (const cv of [0, 1025, 1.5, Number.NaN]) {
    for (const mode of ["direct", "paged"] as const) expect(at(mode, cv)).toThrow("1 to 1024");
  }
});

test("packets of another mode are refused", () => {
  const direct = accessPackets("direct", { operation: "write", cv: 3, value: 5 });
  const register5 = accessPackets("register", { operation: "write", cv: 29, value: 5 });
  const register1 = accessPackets("register", { operation: "write", cv: 1, value: 200 });
  expect(() => parseAccess("register", direct)).toThrow("not a CV access of register mode");
  expect(() => parseAccess("direct", register5)).toThrow("not a CV access of direct mode");
  expect(() => parseAccess("address-only", register5)).toThrow("not a CV access of address-only mode");
  expect(() => parseAccess("address-only", register1)).toThrow("not a CV access of address-only mode");
  expect(() => parseAccess("register", [[0x7d, 1, 0x7c]])).toThrow("not a CV access of register mode");
  expect(() => parseAccess("direct", [[0, 0, 0]])).toThrow("not a CV access of direct mode");
  expect(() => parseAccess("main", [[3, 0x3f, 0x82, 0xbe]])).toThrow("not a CV access of main mode");
  expect(() => parseAccess("direct", [])).toThrow("direct mode, which are 1, got ");
  expect(() => parseAccess("direct", [...direct, ...direct])).toThrow("direct mode, which are 1, got ");
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
  expect(() => bytes({ kind: "consist", number: 5 })).toThrow("address: a decoder obeys no CV access");
});
