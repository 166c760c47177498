// A program as a user of the package writes it: something of every entry point that a browser may use. It is compiled
// as ESM and as CommonJS, bundled, and run in Node and in a browser; the results must be the same everywhere.
import {
  CvError,
  choice,
  cv,
  decoderFromJson,
  defineDecoder,
  describe,
  diff,
  explain,
  flag,
  level,
  messageOf,
  page,
  record,
  type SettingsOf,
  settingsSchema,
  switched,
} from "cvset";
import { checkSet, countFindings, formatSarif, hasFailed } from "cvset/check";
import { carryOut, readOut, simulatedConnection, simulatedStation } from "cvset/connection";
import { fileMessage, readCvSet, writeCvSet } from "cvset/files";
import { translate } from "cvset/meaning";
import { estimateResponse, matchSpeeds, mph, speedCurve, speedPicture, targetSpeeds } from "cvset/motion";
import { packetText, parseTrackPacket, trackPacket } from "cvset/packets";
import { plan, verify } from "cvset/plan";
import { setUpSheet, sheetHtml, sheetMarkdown } from "cvset/sheet";
import { SimulatedDecoder } from "cvset/simulator";
import { addressInUse, describeCv, factoryDefaults, locomotive, nmra } from "cvset/standard";

export const decoder = defineDecoder({
  id: "packed-p1",
  name: "Packed P1",
  kind: "multifunction",
  features: {
    ...locomotive,
    whistle: choice(
      cv(218),
      { one: 6, three: { value: 5, label: "Three chime", means: "three-chime whistle" } },
      { means: "whistle" },
    ),
    volume: level(page(73, 14).cv(483).bits(0, 6), { max: 100, means: "all sounds, sound level" }),
    drains: switched(
      cv(252).bit(1),
      record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
    ),
    lamp: record({
      effect: choice(cv(216).bits(1, 4), { plain: 7, flickers: 2 }),
      led: flag(cv(243).bit(7), { inverted: true }),
    }),
  },
  factory: {
    ...factoryDefaults,
    2: 4,
    3: 5,
    4: 5,
    5: 220,
    6: 90,
    17: 192,
    18: 3,
    19: 0,
    21: 0,
    22: 0,
    29: 6,
    216: 14,
    218: 6,
    243: 255,
    249: 26,
    252: 0,
    "483@73.14": 50,
  },
});
export type Settings = SettingsOf<typeof decoder>;

const other = defineDecoder({
  id: "packed-p2",
  name: "Packed P2",
  kind: "multifunction",
  features: {
    sound: choice(cv(60), { deep: { value: 2, means: "three-chime whistle" } }, { means: "whistle" }),
    master: level(cv(61), { means: "all sounds, sound level" }),
  },
});

/** The pictures that the browser draws: of a speed table, and of a match, which has more colours. */
export function pictures(): Record<string, string> {
  const timed = [20, 45, 80, 120, 170, 220].flatMap((at) =>
    [0.995, 1.005].map((part) => ({ level: at, speed: (at - 18) * 0.11 * part, seconds: 20 })),
  );
  const forward = estimateResponse([{ level: 19, speed: 0 }, ...timed]);
  const measured = { name: "No. 9", forward };
  const target = targetSpeeds({ start: mph(1), top: mph(46) });
  const { locomotives } = matchSpeeds({ target, locomotives: [measured] });
  return {
    table: speedPicture({ title: "A table", levels: speedCurve({ start: 4, top: 255 }).levels }),
    match: speedPicture({
      title: "A match",
      target,
      locomotives: locomotives.map((matched) => ({ matched, measured })),
    }),
  };
}

const reads = (result: ReturnType<typeof nmra.tryDecode>): unknown =>
  result.ok ? result.value : result.issues;

/** What a call throws, as text. */
function thrown(call: () => unknown): string {
  try {
    call();
    return "nothing";
  } catch (error) {
    return error instanceof CvError ? error.issues.map((issue) => messageOf(issue)).join("; ") : `${error}`;
  }
}

/** Everything that the program works out, as data. */
export async function results(): Promise<Record<string, unknown>> {
  const settings = {
    address: { kind: "extended", number: 1234 },
    whistle: "three",
    drains: { seconds: 12 },
  } as const;
  const cvs = decoder.encode(settings);
  const decoded: Settings = decoder.decode(cvs);
  const before = decoder.defaults();
  const made = plan(before, cvs);
  const model = { kind: "multifunction", factory: before } as const;
  const simulated = new SimulatedDecoder(model);
  const carried = await carryOut(made, simulatedStation(simulated), { from: before });
  const readBack = await readOut(simulatedConnection(simulated), [17, 18, 29, 218]);
  const findings = checkSet(cvs.with(19, 32), { decoder });
  const sheet = setUpSheet({ name: "No. 9", decoder, cvs }, { date: "14 March 2026" });
  const packet = trackPacket({
    to: { kind: "primary", number: 3 },
    instructions: [{ kind: "speed", steps: 28, forward: true, step: 4 }],
  });
  const list = readCvSet("CV29=34\nCV 17: 196\n18,210\nCV30=300\n", { file: "list.txt" });
  return {
    cvs: cvs.toJSON(),
    decoded,
    description: describe(decoder),
    again: decoderFromJson(describe(decoder)).decode(cvs),
    schema: settingsSchema(decoder),
    explained: explain(decoder, cvs).lines,
    changes: diff(decoder, before, cvs),
    wrong: thrown(() => decoder.encode({ drains: { seconds: 90 } })),
    address: addressInUse(cvs),
    help: describeCv(29),
    standard: reads(nmra.tryDecode(cvs)),
    steps: made.steps,
    verified: verify(made, cvs),
    carried: [carried.done, carried.holds.toJSON(), readBack.cvs.toJSON()],
    findings,
    failed: hasFailed(countFindings(findings)),
    sarif: formatSarif({
      files: ["no9.json"],
      findings: findings.map((one) => ({ ...one, file: "no9.json" })),
    }),
    file: list.ok ? "read" : list.issues.map((issue) => fileMessage(issue)),
    list: writeCvSet({ cvs }, "list"),
    packet: [packetText(packet), parseTrackPacket(packet)],
    translated: translate(cvs, decoder, other),
    sheet: [sheetMarkdown([sheet]), sheetHtml([sheet])],
    pictures: pictures(),
  };
}
