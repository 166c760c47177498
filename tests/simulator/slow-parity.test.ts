import { CvSet } from "cvset";
import { type AccessMode, packetText } from "cvset/packets";
import { type DecoderModel, SimulatedDecoder } from "cvset/simulator";
import { expect, test } from "vitest";
import { SlowDecoder, type SlowOptions } from "./slow-decoder.js";

// The simulated decoder and the slow one, which was written from the texts by themselves, get the same random
// packets. They must acknowledge the same packets, and be the same at the end. A failure shows the packets.

/** A small generator with a seed, so that every run has the same streams. */
function random(seed: number): (below: number) => number {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) % below;
  };
}

type Random = ReturnType<typeof random>;

const pick = <Item>(next: Random, items: readonly Item[]): Item => items[next(items.length)] as Item;
const closed = (...bytes: readonly number[]): number[] => [
  ...bytes,
  bytes.reduce((xor, byte) => xor ^ byte, 0),
];

const locomotiveCvs: Record<string, number> = {
  1: 3,
  2: 10,
  3: 5,
  4: 5,
  7: 1,
  8: 13,
  15: 0,
  16: 0,
  17: 192,
  18: 0,
  19: 0,
  21: 0,
  22: 0,
  23: 0,
  24: 0,
  29: 6,
  31: 16,
  32: 0,
  50: 7,
  1024: 9,
  "257@16.0": 1,
  "257@16.1": 2,
};
const accessoryCvs: Record<string, number> = { 1: 5, 3: 0, 7: 1, 8: 13, 9: 2, 29: 128, 33: 4 };

const slowKey = (cv: string): string => {
  const [number, page] = cv.split("@");
  const [high, low] = (page ?? "").split(".");
  return page === undefined ? cv : `${Number(high) * 256 + Number(low)}:${number}`;
};
const slowCvs = (cvs: Record<string, number>): Record<string, number> =>
  Object.fromEntries(Object.entries(cvs).map(([cv, value]) => [slowKey(cv), value]));

const written = [1, 1, 2, 7, 8, 15, 16, 17, 18, 19, 21, 22, 23, 29, 29, 31, 32, 50, 60, 257, 258, 1024];

function value(next: Random, cv: number): number {
  if (cv === 1) return pick(next, [0, 3, 5, 100, 112, 127, 128, 200]);
  if (cv === 8) return pick(next, [8, 8, 13, 255]);
  if (cv === 15 || cv === 16) return next(2);
  if (cv === 17) return pick(next, [192, 196, 231]);
  if (cv === 18) return pick(next, [0, 3, 210]);
  if (cv === 19) return pick(next, [0, 3, 32, 160]);
  if (cv === 29) return next(64);
  if (cv === 31) return pick(next, [16, 16, 17]);
  if (cv === 32) return next(3);
  return pick(next, [0, 1, 5, 7, 10, 13, 255, next(256)]);
}

function servicePacket(next: Random): number[] {
  const cv = pick(next, written);
  const at = cv - 1;
  switch (next(4)) {
    case 0:
      return closed(0x78 | (at >> 8), at & 255, 0xe0 | next(32));
    case 1:
      return closed(0x70 | next(16), pick(next, [value(next, 1), value(next, 29), next(256), 1, 8, 13]));
    case 2:
      return closed(pick(next, [0x7d, 0x7d, 0x75]), pick(next, [0, 1, 1, 5, 8, 13, 65]));
    default:
      return closed(pick(next, [0x74, 0x7c, 0x7c, 0x70]) | (at >> 8), at & 255, value(next, cv));
  }
}

function instruction(next: Random): number[] {
  const cv = pick(next, written);
  const at = cv - 1;
  switch (next(12)) {
    case 0:
      return [pick(next, [0x00, 0x01, 0x0a, 0x0b, 0x0e, 0x0f, 0x02])];
    case 1:
      return [pick(next, [0x12, 0x13]), pick(next, [0, 3, 32, 200])];
    case 2:
      return [0x3f, next(256)];
    case 3:
      return [0x3d, next(3), next(256)];
    case 4:
    case 5:
      return [0x40 | next(64)];
    case 6:
      return [0x80 | next(64)];
    case 7:
      return [pick(next, [0xde, 0xdf]), next(256)];
    case 8:
      return next(2)
        ? [0xdd, pick(next, [0, 128, 5, 133, 255])]
        : [0xc0, pick(next, [0, 1, 128, 129]), next(2)];
    case 9:
      return [pick(next, [0xf2, 0xf3, 0xf9, 0xf1]), next(256)];
    case 10:
      return [0xe8 | (at >> 8), at & 255, 0xe0 | next(32)];
    default:
      return [pick(next, [0xec, 0xec, 0xec, 0xe4, 0xe0]) | (at >> 8), at & 255, value(next, cv)];
  }
}

function mainPacket(next: Random): number[] {
  const address = pick(next, [[3], [3], [5], [32], [0], [100], [112], [127], [192, 0], [196, 210], [192, 3]]);
  const first = instruction(next);
  const bytes = [...address, ...first];
  // The texts do not say whether what stands behind a change of CV 19 or 29 in one packet is read by the new value.
  const changesCvs = (first[0] as number) < 0x20 || (first[0] as number) >= 0xe0;
  if (!changesCvs && next(4) === 0) {
    const more = instruction(next);
    if (bytes.length + more.length <= 5) bytes.push(...more);
  }
  return closed(...bytes);
}

function accessoryPacket(next: Random): number[] {
  const [number, high] = pick(next, [
    [5, 2],
    [5, 2],
    [6, 2],
    [63, 7],
    [5, 1],
  ] as const);
  const head = [128 | number, 128 | ((~high & 7) << 4)] as const;
  if (next(2)) return closed(head[0], head[1] | next(16));
  const cv = pick(next, [1, 3, 3, 7, 8, 9, 29, 33, 40]);
  const data = cv === 1 ? pick(next, [5, 6, 63]) : cv === 9 ? pick(next, [1, 2]) : cv === 29 ? 128 : next(3);
  const access = next(3)
    ? [0xec, cv - 1, data]
    : pick(next, [
        [0xe8, cv - 1, 0xe0 | (next(4) << 3) | 3],
        [0xe4, cv - 1, data],
      ]);
  // Bit 3 of CV 1 and 3; bits 5 and 6 of CV 29 stay 0, so that the address is a decoder address.
  if (access[0] === 0xe8 && (cv === 9 || cv === 29)) access[0] = 0xe4;
  return closed(head[0], head[1] | pick(next, [0, 0, 8 | next(8), next(8)]), ...access);
}

/** Time in milliseconds before a packet, a packet, or a power cycle. */
type Event = { readonly wait: number; readonly packet: readonly number[] } | "power-cycle";

function stream(next: Random, kind: "multifunction" | "accessory", length: number): Event[] {
  const events: Event[] = [];
  const add = (packet: readonly number[], times = 1): void => {
    for (let i = 0; i < times; i++) {
      events.push({ wait: pick(next, [5, 5, 5, 5, 5, 5, 5, 12, 19, 20, 25]), packet });
    }
  };
  while (events.length < length) {
    const times = pick(next, [1, 2, 2, 2, 3]);
    switch (next(10)) {
      case 0:
        add([0, 0, 0]);
        break;
      case 1:
        if (next(6) === 0) events.push("power-cycle");
        else add([255, 0, 255]);
        break;
      case 2:
      case 3:
        add([0, 0, 0]);
        add(servicePacket(next), times);
        break;
      case 4:
        add(servicePacket(next), times);
        break;
      case 5: {
        const broken = [...mainPacket(next)];
        broken[next(broken.length)] = next(256);
        add(broken);
        break;
      }
      default:
        add(kind === "accessory" ? accessoryPacket(next) : mainPacket(next), times);
    }
  }
  return events;
}

const modeLists: readonly (readonly Exclude<AccessMode, "main">[])[] = [
  ["direct", "paged", "register", "address-only"],
  ["direct"],
  ["paged"],
  ["register"],
  ["address-only"],
];

const shown = (event: Event): string =>
  event === "power-cycle" ? event : `${event.wait} ms ${packetText(event.packet)}`;

/** Plays one stream to both; returns what differs, or undefined. */
function difference(seed: number, length: number): string | undefined {
  const next = random(seed);
  const kind = next(8) === 0 ? "accessory" : "multifunction";
  const cvs = kind === "accessory" ? accessoryCvs : locomotiveCvs;
  const service = pick(next, modeLists);
  const clearsOnMain = next(2) === 0;
  const held: Record<string, number> = {};
  if (kind === "multifunction") {
    for (const cv of ["1", "17", "18", "19", "21", "22", "29", "15"] as const) {
      if (next(3) === 0) held[cv] = value(next, Number(cv));
    }
    if ((held["1"] ?? 0) > 127) delete held["1"];
  }
  const options: SlowOptions = { kind, factory: slowCvs(cvs), held: slowCvs(held), service, clearsOnMain };
  const slow = new SlowDecoder(options);
  const model: DecoderModel = { kind, factory: CvSet.from(cvs), modes: [...service, "main"] };
  const simulated = new SimulatedDecoder(model, CvSet.from(held), { clearsOnMain });
  const events = stream(next, kind, length);
  let at = 0;
  const tell = (what: string, upTo: number): string =>
    [
      `stream ${seed}: ${what}`,
      JSON.stringify({ kind, service, held, clearsOnMain }),
      ...events.slice(0, upTo + 1).map(shown),
    ].join("\n");
  for (let i = 0; i < events.length; i++) {
    const event = events[i] as Event;
    if (event === "power-cycle") {
      slow.powerCycle();
      simulated.powerCycle();
      continue;
    }
    at += event.wait;
    simulated.wait(event.wait);
    const mine = simulated.receive(event.packet);
    const other = slow.packet(event.packet, at);
    if (mine !== other) return tell(`acknowledged ${mine}, by the slow one ${other}`, i);
    if (i % 4 !== 3 && i !== events.length - 1) continue;
    for (const [cv, byte] of simulated.cvs) {
      if (slow.cvs.get(slowKey(cv)) !== byte)
        return tell(`CV ${cv} is ${byte}, in the slow one ${slow.cvs.get(slowKey(cv))}`, i);
    }
    const one = running(simulated);
    const two = slow.running();
    if (one !== two) return tell(`${one}\nby the slow one ${two}`, i);
  }
  return undefined;
}

/** What a decoder does, as text. */
function running({ state }: SimulatedDecoder): string {
  const { step, steps, emergency, forward, functions, binaryStates, analogOutputs, outputs } = state;
  const states = `${binaryStates.length}:${binaryStates.slice(0, 9)}`;
  const analog = Object.entries(analogOutputs).map((pair) => pair.join("="));
  return [step, steps, emergency, forward, `F${functions}`, states, `A${analog}`, `O${outputs}`].join(" ");
}

const streams = 20 * Number(process.env["CVSET_RUNS"] ?? 100);

test(`${streams} random packet streams: the simulated decoder and the slow one agree`, {
  timeout: 600_000,
}, () => {
  const seed = Number(process.env["CVSET_SEED"] ?? 20_120_713);
  const found: string[] = [];
  for (let i = 0; i < streams && found.length < 1; i++) {
    const each = difference((seed + i * 2_654_435_761) >>> 0, 30);
    if (each !== undefined) found.push(each);
  }
  expect(found).toEqual([]);
});
