import * as core from "cvset";
import { CvSet, cv, decoderFromJson, describe as descriptionOf, partsOf } from "cvset";
import * as check from "cvset/check";
import * as connection from "cvset/connection";
import * as files from "cvset/files";
import * as meaning from "cvset/meaning";
import * as motion from "cvset/motion";
import * as packets from "cvset/packets";
import * as plan from "cvset/plan";
import * as sheet from "cvset/sheet";
import * as simulator from "cvset/simulator";
import * as standard from "cvset/standard";
import * as testing from "cvset/testing";
import { describe, expect, test } from "vitest";
import { dunlin } from "../src/demo/dunlin-m6.js";
import { quillback } from "../src/demo/quillback-s8.js";
import { ruin } from "./support/ruin.js";

const entries = {
  core,
  standard,
  motion,
  check,
  packets,
  plan,
  simulator,
  connection,
  meaning,
  sheet,
  files,
  testing,
};

/** The paths of everything that could be changed, in what can be reached from a value by its properties. */
function openIn(value: unknown, path: string, seen = new Set<unknown>()): string[] {
  if (typeof value !== "object" || value === null || seen.has(value)) return [];
  seen.add(value);
  const open: string[] = Object.isFrozen(value) ? [] : [path];
  // Freezing keeps nobody from changing what these hold.
  if (value instanceof Map || value instanceof Set || ArrayBuffer.isView(value))
    open.push(`${path} (entries)`);
  for (const key of Reflect.ownKeys(value)) {
    const inner: unknown = Object.getOwnPropertyDescriptor(value, key)?.value;
    open.push(...openIn(inner, `${path}.${String(key)}`, seen));
  }
  return open;
}

describe("what is exported cannot be changed", () => {
  test.each(Object.entries(entries))("%s: frozen through and through, or a function or class", (_, entry) => {
    const open = Object.entries<unknown>(entry).flatMap(([name, value]) => openIn(value, name));
    expect(open).toEqual([]);
  });

  test("places, and the decoders of the demonstration", () => {
    expect(openIn([cv(29).bit(5), cv(17).with(cv(18)), cv(67).through(94)], "").slice(1)).toEqual([]);
    expect(openIn(quillback, "quillback")).toEqual([]);
    expect(openIn(dunlin, "dunlin")).toEqual([]);
  });
});

describe("what functions give can be changed without changing what they give next", () => {
  const cvs = CvSet.from({ 1: 3, 3: 4, 17: 196, 18: 210, 29: 38, 67: 1, 94: 255 });
  const json = descriptionOf(quillback);
  const read = decoderFromJson(JSON.parse(JSON.stringify(json)));
  const calls: Readonly<Record<string, () => unknown>> = {
    "describe a built-in decoder": () => descriptionOf(standard.nmra),
    "describe a decoder with rules": () => descriptionOf(quillback),
    "describe a decoder from JSON": () => descriptionOf(read),
    "the rules of a decoder from JSON": () => read.rules,
    "the parts of a codec": () => partsOf(standard.locomotive.speed),
    "JSON of a codec": () => core.jsonOf(standard.locomotive.functionMap),
    "a JSON Schema": () => core.settingsSchema(quillback),
    explain: () => core.explain(standard.nmra, cvs),
    "decoded settings": () => standard.nmra.tryDecode(cvs),
    "factory values": () => quillback.defaults().toJSON(),
    issues: () => quillback.tryEncode({ whistle: "x", no: 1 }),
    "facts about every CV": () =>
      Array.from({ length: 1024 }, (_, i) => [
        standard.describeCv(i + 1),
        standard.describeCv(i + 1, "accessory"),
      ]),
    addresses: () => [standard.addressInUse(cvs), standard.consistInUse(cvs)],
    "momentum and curve": () => [standard.momentumInUse(cvs, "acceleration"), standard.curveInUse(cvs)],
    "the list of rules": () => check.ruleList(undefined, [quillback]),
    findings: () => check.checkSet(CvSet.from({ 1: 0, 19: 5, 29: 255 }), { decoder: quillback }),
    packets: () => [
      packets.servicePacket({ kind: "reset" }),
      packets.factoryResetSequence(),
      ...packets.accessModes.map(packets.openingSequence),
    ],
    "a plan": () => plan.plan(cvs, cvs.with(29, 6), { decoder: quillback }).toJSON(),
    "steps for reading": () => plan.readSteps("direct", ["1", 29, "300@16.0"]),
  };

  test.each(Object.entries(calls))("%s", (_, call) => {
    const before = JSON.stringify(call());
    ruin(call());
    expect(JSON.stringify(call())).toBe(before);
  });
});
