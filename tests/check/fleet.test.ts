import { CvSet } from "cvset";
import { checkFleet, type Finding, type FleetMember } from "cvset/check";
import { type Address, addressText, nmra, nmraAccessory } from "cvset/standard";
import fc from "fast-check";
import { describe, expect, it, test } from "vitest";
import { Fleet } from "../../src/check/fleet.js";
import { toCvSet } from "../../src/cv/cvset.js";
import { usedMemory } from "../support/memory.js";
import { decoder, good } from "./locomotive.js";

async function all(
  members: Iterable<FleetMember> | AsyncIterable<FleetMember>,
  options = {},
): Promise<Finding[]> {
  const findings: Finding[] = [];
  for await (const finding of checkFleet(members, options)) findings.push(finding);
  return findings;
}

const across = async (members: Iterable<FleetMember>) =>
  (await all(members))
    .filter(({ rule }) => rule === "same-address" || rule === "consist-speed")
    .map(({ file, rule, severity, message, silenced }) => [file, rule, silenced ?? severity, message]);

const short = (file: string, address: number, more: Record<string, number> = {}): FleetMember => ({
  file,
  cvs: CvSet.from({ 1: address, 29: 2, ...more }),
});
const long = (file: string, address: number): FleetMember => ({
  file,
  cvs: CvSet.from({ 1: 3, 17: 192 + (address >> 8), 18: address & 255, 29: 34 }),
});

/** The address that decoded settings give; with extended packets, that of the accessory decoder. */
function expectedAddress(
  set: Readonly<Record<string, unknown>> | undefined,
  isExtended: boolean,
): Address | undefined {
  const { kind, number } = set ?? {};
  if (typeof number !== "number") return undefined;
  if (!isExtended) return { kind, number } as Address;
  // The eleven bits of the packet: output address 1 is the first pair of outputs of decoder address 1.
  return { kind: "extended-accessory", number: kind === "accessory" ? 4 * number : (number + 3) % 2048 };
}

describe("the same address", () => {
  it("is an error in each of the files that have it", async () => {
    expect(
      await across([short("a", 5), short("b", 6), long("c", 500), short("d", 5), long("e", 500)]),
    ).toEqual([
      ["a", "same-address", "error", "primary address 5 is also the address of d"],
      ["d", "same-address", "error", "primary address 5 is also the address of a"],
      ["c", "same-address", "error", "extended address 500 is also the address of e"],
      ["e", "same-address", "error", "extended address 500 is also the address of c"],
    ]);
  });

  it("is not the same when one is long and the other short", async () => {
    expect(await across([short("a", 100), long("b", 100)])).toEqual([]);
    // The short address is in CV 1 of the second too, but not in use.
    expect(await across([short("a", 3), long("b", 500)])).toEqual([]);
  });

  it("finds nothing for bytes that are no address", async () => {
    expect(await across([short("a", 0), short("b", 0), { file: "c", cvs: CvSet.empty }])).toEqual([]);
    const none = CvSet.from({ 17: 0, 18: 1, 29: 34 });
    expect(
      await across([
        { file: "a", cvs: none },
        { file: "b", cvs: none },
      ]),
    ).toEqual([]);
  });

  it("is a note when both files have the name of one locomotive", async () => {
    const named = (file: string, name: string): FleetMember => ({ ...short(file, 5), name });
    expect(await across([named("a", "No. 9"), named("b", "No. 9")])).toEqual([
      [
        "a",
        "same-address",
        "note",
        "primary address 5 is also the address of b; by their name they may be two files of one locomotive",
      ],
      [
        "b",
        "same-address",
        "note",
        "primary address 5 is also the address of a; by their name they may be two files of one locomotive",
      ],
    ]);
    const errors = async (members: FleetMember[]) =>
      (await across(members)).map(([, , severity]) => severity);
    expect(await errors([named("a", "No. 9"), named("b", "No. 11")])).toEqual(["error", "error"]);
    expect(await errors([named("a", "No. 9"), short("b", 5)])).toEqual(["error", "error"]);
    expect(await errors([named("a", "No. 9"), named("b", "No. 9"), short("c", 5)])).toEqual([
      "error",
      "error",
      "error",
    ]);
  });

  it("is found up to the last of each kind", async () => {
    const messages = (
      await across([short("a", 127), short("b", 127), long("c", 10239), long("d", 10239)])
    ).map(([, , , message]) => message);
    expect(messages.filter((_, i) => i % 2 === 0)).toEqual([
      "primary address 127 is also the address of b",
      "extended address 10239 is also the address of d",
    ]);
  });

  it("names three others at most", async () => {
    const members = ["a", "b", "c", "d", "e", "f"].map((file) => short(file, 7));
    const messages = (await across(members)).map(([, , , message]) => message);
    expect(messages[0]).toBe("primary address 7 is also the address of b, c, d and 2 more");
    expect(messages[5]).toBe("primary address 7 is also the address of a, b, c and 2 more");
  });

  it("is a note where CV 16 tells the decoders of one locomotive apart", async () => {
    const severities = async (...locks: number[]) =>
      (await across(locks.map((lock, i) => short(`${i}`, 9, { 15: lock, 16: lock })))).map(
        ([, , severity]) => severity,
      );
    expect(await severities(1, 2)).toEqual(["note", "note"]);
    expect(await severities(1, 1)).toEqual(["error", "error"]);
    expect(await severities(0, 1)).toEqual(["error", "error"]);
  });

  it("is looked for among accessory decoders too, apart from locomotives", async () => {
    const turnout = (file: string, cvs: Record<string, number>): FleetMember => ({
      file,
      cvs: CvSet.from(cvs),
      decoder: nmraAccessory,
    });
    expect(
      await across([
        short("loco", 5),
        turnout("a", { 1: 5, 9: 1, 29: 128 }),
        turnout("b", { 1: 5, 9: 1, 29: 192 }),
        turnout("c", { 1: 5, 9: 1, 29: 136 }),
        turnout("d", { 1: 5, 9: 2, 29: 128 }),
      ]),
    ).toEqual([
      ["a", "same-address", "error", "accessory decoder address 69 is also the address of c"],
      ["c", "same-address", "error", "accessory decoder address 69 is also the address of a"],
    ]);
    // The addresses that are out of range for the settings are none here either, however many have them.
    for (const cvs of [
      { 1: 0, 9: 8, 29: 192 },
      { 1: 255, 9: 255, 29: 192 },
      { 1: 69, 9: 1, 29: 128 },
    ]) {
      expect(nmraAccessory.tryDecode(CvSet.from(cvs)).value?.address).toBe(undefined);
      expect(await across([turnout("a", cvs), turnout("b", cvs)])).toEqual([]);
    }
    // A basic and an extended decoder get different packets.
    const extended = turnout("b", { 1: 5, 9: 1, 29: 160 });
    expect(await across([turnout("a", { 1: 5, 9: 1, 29: 128 }), extended])).toEqual([]);
  });

  it("can be silenced in a file, for that file", async () => {
    const silence = [{ rule: "same-address", reason: "never out together" }];
    expect(await across([{ ...short("a", 5), silence }, short("b", 5)])).toEqual([
      ["a", "same-address", "never out together", "primary address 5 is also the address of b"],
      ["b", "same-address", "error", "primary address 5 is also the address of a"],
    ]);
  });

  it("reports an entry of silence for it that was not used", async () => {
    const silence = [
      { rule: "same-address", reason: "x" },
      { rule: "decoder-lock", reason: "y" },
    ];
    const findings = await all([{ ...short("a", 5), silence }, short("b", 6)]);
    expect(findings.map(({ file, rule, message }) => [file, rule, message])).toEqual([
      ["a", "silence-unused", "silence.1: rule decoder-lock found nothing here"],
      ["a", "silence-unused", "silence.0: rule same-address found nothing here"],
    ]);
  });

  // S-9.2.2 (July 2012), CV 1, 17, 18 and 29; accessory CV 1, 9 and 29: all 256 values of CV 29 with the edges
  // of the others.
  test("is that of the settings, whatever the bytes are", () => {
    const edges = [0, 1, 63, 64, 127, 128, 255];
    const wrong: unknown[] = [];
    for (let configuration = 0; configuration < 256; configuration++) {
      for (const low of edges) {
        for (const high of [0, 7, 8, 192, 231, 232]) {
          const pairs = [
            { one: nmra, cvs: CvSet.from({ 1: low, 17: high, 18: 210, 29: configuration }) },
            { one: nmraAccessory, cvs: CvSet.from({ 1: low, 9: high, 29: configuration }) },
          ] as const;
          for (const { one, cvs } of pairs) {
            const fleet = new Fleet({ decoder: one, rules: [] });
            fleet.add({ file: "a", cvs });
            fleet.add({ file: "b", cvs });
            const [finding] = fleet.finish();
            const set = one.features.address.tryDecode(cvs).value;
            const isExtended = one === nmraAccessory && (configuration & 32) !== 0;
            const address = expectedAddress(set, isExtended);
            const expected = address && `${addressText(address)} is also the address of b`;
            if (finding?.message !== expected) wrong.push([cvs.toJSON(), finding?.message, expected]);
          }
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  // The slow and obvious way: every pair.
  test("is found as by comparing every pair", async () => {
    const member = fc.record({ address: fc.integer({ min: 1, max: 6 }), isLong: fc.boolean() });
    await fc.assert(
      fc.asyncProperty(fc.array(member, { maxLength: 12 }), async (list) => {
        const members = list.map(({ address, isLong }, i) =>
          isLong ? long(`${i}`, address) : short(`${i}`, address),
        );
        const slow = list.flatMap((one, i) =>
          list.some((other, j) => i !== j && one.address === other.address && one.isLong === other.isLong)
            ? [`${i}`]
            : [],
        );
        const found = (await across(members)).map(([file]) => String(file));
        expect(found.sort()).toEqual(slow.sort());
      }),
      { numRuns: 100 },
    );
  });
});

describe("members of one consist", () => {
  const member = (file: string, cvs: CvSet): FleetMember => ({ file, cvs, decoder });
  const one = good.with(19, 20);
  const other = good.with(18, 211).with(19, 148);

  it("may have the same speed table, running either way", async () => {
    expect(await across([member("a", one), member("b", other)])).toEqual([]);
  });

  it("differ most at the step that is named", async () => {
    expect(
      await across([
        member("a", one),
        member("b", other.with(80, 130).with(81, 132)),
        member("c", other.with(19, 21).with(18, 5).with(80, 9)),
      ]),
    ).toEqual([
      [
        "b",
        "consist-speed",
        "warning",
        "in consist 20 with a, but at step 14 it has level 130 and the other one 121",
      ],
    ]);
  });

  it("are compared with their trims, and with three points as well", async () => {
    const trimmed = other.with(66, 64);
    expect(await across([member("a", one), member("b", trimmed)])).toEqual([
      [
        "b",
        "consist-speed",
        "warning",
        "in consist 20 with a, but at step 28 it has level 124 and the other one 247",
      ],
    ]);
    // 4 to 247 by way of 121 is the same straight line (step 14 of 28 is the middle).
    const points = other.with(29, 0b100010).with(2, 4).with(6, 121).with(5, 247);
    expect(await across([member("a", one), member("b", points)])).toEqual([]);
    // Without a middle point too, and with a trim of 0, which is none.
    expect(await across([member("a", one.with(66, 0)), member("b", points.with(6, 0))])).toEqual([]);
    expect(await across([member("a", one), member("b", other.with(80, 122))])).toEqual([
      [
        "b",
        "consist-speed",
        "warning",
        "in consist 20 with a, but at step 14 it has level 122 and the other one 121",
      ],
    ]);
    const cvsOf = async (cvs: CvSet) =>
      (await all([member("a", one), member("b", cvs)]))
        .filter(({ rule }) => rule === "consist-speed")
        .map((finding) => finding.cvs);
    expect(await cvsOf(trimmed)).toEqual([["19", "67", "94"]]);
    expect(await cvsOf(points.with(6, 100))).toEqual([["19", "2", "5", "6"]]);
    expect(await across([member("a", one), member("b", points.with(6, 100))])).toEqual([
      [
        "b",
        "consist-speed",
        "warning",
        "in consist 20 with a, but at step 14 it has level 100 and the other one 121",
      ],
    ]);
  });

  it("have the middle point where CV 25 puts it", async () => {
    const points = other.with(29, 0b100010).with(2, 4).with(6, 121).with(5, 247);
    // Step 14 as without it, and so are 0, 1 and what is out of range.
    for (const value of [0, 1, 141, 155, 255]) {
      expect(await across([member("a", one), member("b", points.with(25, value))])).toEqual([]);
    }
    const at = async (value: number) => across([member("a", one), member("b", points.with(25, value))]);
    expect(await at(153)).toEqual([
      [
        "b",
        "consist-speed",
        "warning",
        "in consist 20 with a, but at step 26 it has level 121 and the other one 229",
      ],
    ]);
    expect((await at(128))[0]?.[3]).toContain("at step 2 it has level 126 and the other one 13");
    // Vmid left out: CV 25 then moves nothing.
    expect(await across([member("a", one), member("b", points.with(6, 0).with(25, 150))])).toEqual([]);
    const [finding] = (await all([member("a", one), member("b", points.with(25, 153))])).filter(
      ({ rule }) => rule === "consist-speed",
    );
    expect(finding?.cvs).toEqual(["19", "2", "5", "6", "25"]);
  });

  it("are not compared where a table of the decoder's own is selected", async () => {
    const points = other.with(29, 0b100010).with(2, 4).with(6, 9).with(5, 247);
    for (const value of [2, 127]) {
      expect(await across([member("a", one), member("b", points.with(25, value))])).toEqual([]);
    }
    expect(await across([member("a", one), member("b", points)])).toHaveLength(1);
    // CV 29 bit 4 calls for the table in CV 67-94, whatever CV 25 says.
    expect(await across([member("a", one), member("b", other.with(80, 122).with(25, 2))])).toHaveLength(1);
  });

  it("are not compared where a curve is not known", async () => {
    expect(await across([member("a", one), member("b", other.without(70))])).toEqual([]);
    expect(await across([member("a", one), member("b", CvSet.from({ 19: 20 }))])).toEqual([]);
  });
});

describe("a fleet", () => {
  it("takes sets from a stream, and gives findings as they are made", async () => {
    const order: string[] = [];
    async function* stream() {
      for (const address of [0, 5, 5]) {
        order.push(`read ${address}`);
        yield short(`${order.length}`, address);
      }
    }
    for await (const { rule } of checkFleet(stream())) order.push(rule);
    expect(order).toEqual(["read 0", "primary-address", "read 5", "read 5", "same-address", "same-address"]);
  });

  it("gives the line of those that come later", () => {
    const fleet = new Fleet();
    const locate = () => ({ line: 4, column: 2 });
    fleet.add({ ...short("a", 5), locate });
    fleet.add({ ...short("b", 5), locate });
    expect(fleet.finish().map(({ file, line, column, cvs }) => [file, line, column, cvs])).toEqual([
      ["a", undefined, undefined, ["1"]],
      ["b", 4, 2, ["1"]],
    ]);
  });

  it("looks lines up at once, so that no text is kept, and only where one is needed", () => {
    const fleet = new Fleet();
    const seen: number[] = [];
    for (const [i, address] of [4, 5, 6, 5, 5].entries()) {
      const locate = () => {
        seen.push(i);
        return { line: 1, column: 1 };
      };
      fleet.add({ ...short(`${i}`, address), locate });
    }
    expect(seen).toEqual([3, 4]);
    expect(fleet.finish().map(({ file, line }) => [file, line])).toEqual([
      ["1", undefined],
      ["3", 1],
      ["4", 1],
    ]);
    expect(seen).toEqual([3, 4]);
  });

  it("keeps every name as it was given", async () => {
    const names = [
      "a:1",
      "a:2",
      "b",
      "b",
      "a:3",
      "a:03",
      "a:0",
      "a",
      "C:\\x:12",
      ":5",
      "",
      "a:1234567890",
      "a\n:4",
    ];
    const messages = (await across(names.map((name) => short(name, 9)))).map(([file]) => file);
    expect(messages).toEqual(names);
  });

  it("keeps less than 50 bytes of each of 200,000 sets", () => {
    // Without the rules about one set, and with the sets made once: what is kept is the fleet's own.
    const fleet = new Fleet({ rules: [] });
    const sets = Array.from({ length: 500 }, (_, i) =>
      toCvSet(long("", 200 + i).cvs).with(19, 1 + (i % 127)),
    );
    const before = usedMemory();
    const many = 200_000;
    for (let i = 0; i < many; i++)
      fleet.add({ file: `fleet.jsonl:${i}`, cvs: sets[i % 500] as CvSet, name: `No. ${i}` });
    expect((usedMemory() - before) / many).toBeLessThan(50);
    const across = fleet.across();
    expect(across.next().value?.message).toBe(
      "extended address 200 is also the address of fleet.jsonl:500, fleet.jsonl:1000, fleet.jsonl:1500 and 396 more",
    );
  });

  it("stops with what the source throws", async () => {
    async function* broken() {
      yield short("a", 0);
      throw new Error("the drive went away");
    }
    const findings: Finding[] = [];
    await expect(async () => {
      for await (const finding of checkFleet(broken())) findings.push(finding);
    }).rejects.toThrow("the drive went away");
    expect(findings.map(({ rule }) => rule)).toEqual(["primary-address"]);
  });
});
