import { CvPatch, CvSet } from "cvset";
import { accessPackets, packetFromText, packetText, parseTrackPacket } from "cvset/packets";
import { type DecoderModel, plan } from "cvset/plan";
import { SimulatedDecoder } from "cvset/simulator";
import {
  type Address,
  type AddressLike,
  accessoryAddress,
  accessoryAddressInUse,
  address,
  addressInUse,
} from "cvset/standard";
import { describe, expect, test } from "vitest";
import { saidBy } from "../support/said.js";

// One answer for the address in use: from the standard's facts, a plan on the main, its packets, and a
// simulated decoder.

const onMain = { mode: "main", changeAddress: true } as const;
/** The bytes, but for CVs that are not there. */
const set = (cvs: Readonly<Record<number, number | undefined>>): CvSet =>
  CvSet.from(
    Object.entries(cvs).flatMap(([cv, value]) => (value === undefined ? [] : [[cv, value] as const])),
  );

// Both ends of every range of CV 1, 9, 17 and 18, and what lies beside them.
const primaries = [undefined, 0, 1, 3, 63, 64, 111, 112, 127, 128, 255];
const highs = [undefined, 0, 7, 8, 191, 192, 196, 231, 232, 255];
const lows = [undefined, 0, 1, 210, 255];

describe("the address in use", () => {
  const differing = (
    kind: DecoderModel["kind"],
    cvs: Readonly<Record<number, number | undefined>>,
  ): string[] => {
    const from = set(cvs);
    const expected = kind === "accessory" ? accessoryAddressInUse(from) : addressInUse(from);
    const made = saidBy(() => {
      const [step] = plan(from, CvSet.from({ 3: 9 }), { ...onMain, kind }).steps;
      const [packet = ""] = step?.packets ?? [];
      const simulated = new SimulatedDecoder({ kind, factory: from.with(3, 0) });
      if (JSON.stringify(step?.address) !== JSON.stringify(expected)) throw new Error("the plan");
      if (JSON.stringify(simulated.address) !== JSON.stringify(expected))
        throw new Error("the simulated decoder");
      for (let i = 0; i < 2; i++) simulated.receive(packetFromText(packet));
      if (simulated.cvs.get(3) !== 9) throw new Error("the packet");
    });
    // Without an address there is no plan, and it says so.
    const refused = made.length === 1 && made[0]?.includes("the decoder's address is needed");
    return (expected === undefined) === (refused === true) ? [] : [`${JSON.stringify(cvs)}: ${made.join()}`];
  };

  test("multi-function: the ends of the ranges of CV 1, 17 and 18, and all values of CV 29", () => {
    const wrong: string[] = [];
    for (const configuration of [undefined, 2, 34]) {
      for (const primary of primaries) {
        for (const high of highs) {
          for (const low of lows) {
            wrong.push(...differing("multifunction", { 1: primary, 17: high, 18: low, 29: configuration }));
          }
        }
      }
    }
    for (let configuration = 0; configuration < 128; configuration++) {
      for (const [primary, high] of [
        [3, 196],
        [0, 196],
        [3, 191],
      ] as const) {
        wrong.push(...differing("multifunction", { 1: primary, 17: high, 18: 210, 29: configuration }));
      }
    }
    expect(wrong).toEqual([]);
  });

  test("accessory: CV 29 bits 5 and 6, with the ends of the ranges of CV 1 and 9", () => {
    const wrong: string[] = [];
    for (const configuration of [undefined, 128, 136, 160, 192, 224]) {
      for (const low of primaries) {
        for (const high of highs)
          wrong.push(...differing("accessory", { 1: low, 9: high, 29: configuration }));
      }
    }
    expect(wrong).toEqual([]);
  });

  test("after each write that changes it, as the standard's facts and a simulated decoder have it", () => {
    const wrong: unknown[] = [];
    let changes = 0;
    const check = (kind: DecoderModel["kind"], from: CvSet, to: CvSet): void => {
      for (const clearsOnMain of [false, true]) checkDecoder(kind, from, to, clearsOnMain);
    };
    const checkDecoder = (
      kind: DecoderModel["kind"],
      from: CvSet,
      to: CvSet,
      clearsOnMain: boolean,
    ): void => {
      const simulated = new SimulatedDecoder({ kind, factory: from }, CvSet.empty, { clearsOnMain });
      let steps: ReturnType<typeof plan>["steps"] = [];
      // An address that cannot be known in between makes a plan impossible.
      const issues = saidBy(() => ({ steps } = plan(from, to, { ...onMain, kind })));
      if (issues.length) {
        if (!issues.every((issue) => issue.startsWith("address: "))) wrong.push(issues);
        return;
      }
      let now: Address | "unknown" | undefined = simulated.address;
      for (const { packets, address: sentTo, answersTo, cv } of steps) {
        // Where it can have one of two addresses, the write goes to both.
        if (now !== "unknown" && JSON.stringify(sentTo) !== JSON.stringify(now)) {
          wrong.push([from, to, cv, sentTo, now]);
        }
        for (const packet of packets) for (let i = 0; i < 2; i++) simulated.receive(packetFromText(packet));
        now = answersTo ?? now;
        if (answersTo) changes++;
        if (now !== "unknown" && JSON.stringify(now) !== JSON.stringify(simulated.address)) {
          wrong.push([from, to, cv, now, simulated.address]);
        }
      }
      if (now === "unknown" && simulated.address) wrong.push([from, to, simulated.address]);
      for (const [cv, value] of to) if (simulated.cvs.get(cv) !== value) wrong.push([from, to, cv]);
    };
    const configurations = [2, 34, 6, 38];
    for (const from29 of configurations) {
      for (const to29 of configurations) {
        for (const to1 of [0, 3, 9, 127]) {
          for (const [to17, to18] of [
            [192, 0],
            [196, 210],
            [196, 211],
            [231, 255],
          ] as const) {
            const from = CvSet.from({ 1: 3, 17: 196, 18: 210, 19: 0, 29: from29 });
            check("multifunction", from, CvSet.from({ 1: to1, 17: to17, 18: to18, 29: to29 }));
          }
        }
      }
    }
    for (const from29 of [128, 192, 160, 224]) {
      for (const to29 of [128, 192, 160, 224]) {
        for (const [low, high] of [
          [5, 2],
          [6, 2],
          [5, 1],
          [200, 0],
          [0, 0],
        ] as const) {
          check(
            "accessory",
            CvSet.from({ 1: 5, 9: 2, 29: from29 }),
            CvSet.from({ 1: low, 9: high, 29: to29 }),
          );
        }
      }
    }
    expect(wrong.slice(0, 5)).toEqual([]);
    expect(changes).toBeGreaterThan(200);
  });
});

describe("an address as an argument", () => {
  const to = CvSet.from({ 2: 1 });
  const packetsTo = (given: AddressLike, kind: DecoderModel["kind"] = "multifunction") =>
    plan(CvSet.empty, to, { mode: "main", address: given, kind }).steps.map(({ packets }) => packets);

  test("a decoded address setting goes straight into a plan, and into packets", () => {
    for (const cvs of [
      { 1: 3, 17: 196, 18: 210, 29: 2 },
      { 1: 3, 17: 196, 18: 210, 29: 34 },
      { 1: 127, 17: 231, 18: 255, 29: 32 },
    ]) {
      const setting = address.decode(CvSet.from(cvs));
      const [[packet = ""] = []] = packetsTo(setting);
      expect(packet).toBe(
        packetText(accessPackets("main", { operation: "write", cv: 2, value: 1 }, setting)[0] ?? []),
      );
      expect(parseTrackPacket(packetFromText(packet)).to).toEqual(setting);
    }
    const accessory = accessoryAddress.decode(CvSet.from({ 1: 5, 9: 2, 29: 128 }));
    expect(packetsTo(accessory, "accessory")).toEqual(packetsTo(133, "accessory"));
    const output = accessoryAddress.decode(CvSet.from({ 1: 2, 9: 2, 29: 192 }));
    expect(packetsTo(output, "accessory")).toEqual(
      packetsTo({ kind: "accessory", number: 129, output: 2 }, "accessory"),
    );
  });

  test("an address of an accessory decoder tells the kind of decoder, where nothing else does", () => {
    const { kind } = plan(CvSet.empty, to, { mode: "main", address: { kind: "accessory", number: 133 } });
    expect(kind).toBe("accessory");
  });

  const kinds = 'is not an option; the options are "primary", "extended", ';
  test.each([
    [{ type: "long", number: 1234 }, `address.kind: {"type":"long","number":1234} ${kinds}`],
    [{ kind: "long", number: 1234 }, `address.kind: "long" ${kinds}`],
    [
      { kind: "extended", number: "1234" },
      'address.number: expected a whole number from 0 to 10239, got "1234"',
    ],
    [{ kind: "extended", number: 10240 }, "address.number: 10240 is out of range"],
    [
      { kind: "primary", number: "alternate-power" },
      'address.number: expected a whole number from 1 to 127, got "alternate-power"',
    ],
    [{ kind: "primary" }, "address.number: expected a whole number from 1 to 127, got undefined"],
    ["1234", `address.kind: "1234" ${kinds}`],
    [null, `address.kind: null ${kinds}`],
    [[], `address.kind: [] ${kinds}`],
    [true, `address.kind: true ${kinds}`],
    [{ kind: "broadcast" }, "address: all decoders cannot be the address of one decoder"],
    [{ kind: "consist", number: 32 }, "address: a decoder obeys no CV access at the address of its consist"],
    [
      { kind: "accessory", number: 5 },
      "address: accessory decoder address 5 is not an address of a multi-function decoder",
    ],
  ])("a bad address from JavaScript is a CvError: %j", (given, says) => {
    const issues = saidBy(() => packetsTo(given as AddressLike));
    expect(issues.length).toBe(1);
    expect(issues[0]?.startsWith(says), issues[0]).toBe(true);
  });

  test("CV 29 in single bits: bit 5 alone changes the address", () => {
    const bits = (mask: number, value: number) => CvPatch.from({ bits: [{ cv: "29", mask, value }] });
    const from = CvSet.from({ 17: 196, 18: 210 });
    const answersTo = (patch: CvPatch) =>
      plan(from, patch, { ...onMain, address: 3 }).steps.map((step) => step.answersTo);
    expect(answersTo(bits(1, 1))).toEqual([undefined]);
    expect(answersTo(bits(32, 0))).toEqual([undefined]);
    expect(answersTo(bits(33, 33))).toEqual([{ kind: "extended", number: 1234 }]);
  });

  test("CV 29 in single bits on the main: the bit that changes the address is sent last", () => {
    const from = CvSet.from({ 1: 3, 17: 196, 18: 210, 29: 0 });
    const patch = CvPatch.from({ bits: [{ cv: "29", mask: 0b0110_0001, value: 0b0110_0001 }] });
    const simulated = new SimulatedDecoder({ kind: "multifunction", factory: from });
    const [step] = plan(CvSet.from({ 17: 196, 18: 210 }), patch, { ...onMain, address: 3 }).steps;
    for (const packet of step?.packets ?? []) {
      for (let i = 0; i < 2; i++) simulated.receive(packetFromText(packet));
    }
    expect(simulated.cvs.get(29)).toBe(0b0110_0001);
    // Of an accessory decoder two bits change the address, so that both must be in one byte.
    const both = CvPatch.from({ bits: [{ cv: "29", mask: 96, value: 96 }] });
    const accessory = { ...onMain, kind: "accessory", address: 133 } as const;
    expect(saidBy(() => plan(CvSet.empty, both, accessory))[0]).toContain("CV 29 bits 0-4, 7: not known");
    expect(plan(CvSet.from({ 29: 128 }), both, accessory).steps.length).toBe(1);
  });
});
