import * as cvset from "cvset";
import * as check from "cvset/check";
import * as connection from "cvset/connection";
import * as files from "cvset/files";
import * as meaning from "cvset/meaning";
import * as motion from "cvset/motion";
import * as packets from "cvset/packets";
import * as plans from "cvset/plan";
import * as sheet from "cvset/sheet";
import * as simulator from "cvset/simulator";
import * as standard from "cvset/standard";
import * as testing from "cvset/testing";
import type { Call } from "./walk.js";

// One call of every function that the package exports, and of every method of its classes.

const { CvPatch, CvSet, choice, converted, cv, defineDecoder, level, record, switched, table } = cvset;

/** Every entry point by name. */
export const entries: Readonly<Record<string, object>> = {
  cvset,
  check,
  connection,
  files,
  meaning,
  motion,
  packets,
  plan: plans,
  sheet,
  simulator,
  standard,
  testing,
};

const own = {
  whistle: choice(cv(218), { low: { value: 2, means: "whistle" }, high: 5 }),
  drains: switched(
    cv(252).bit(1),
    record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
  ),
  notches: table(cv(120).through(123), { max: 9 }),
};
const factory = { 120: 0, 121: 0, 122: 0, 123: 0, 218: 2, 252: 0, 249: 26 };
const decoder = defineDecoder({
  id: "example-x1",
  name: "Example X1",
  kind: "multifunction",
  features: { ...standard.locomotive, ...own },
  factory: { ...standard.factoryDefaults, 29: 6, ...factory },
});
const description = {
  ...cvset.describe(
    defineDecoder({
      id: "example-x2",
      name: "Example X2",
      kind: "multifunction",
      note: "a note",
      features: own,
      factory,
      rules: [{ rule: "outputs", outputs: [1] }],
    }),
  ),
  parts: ["motor"],
};
const cvs = decoder.encode({ whistle: "high" });
const from = cvs.with(218, 2);
const patch = CvPatch.from({ cvs: { 218: 5 }, bits: [{ cv: 252, mask: 2, value: 2 }] });
const codec = level(cv(249), { unit: "s", min: 1, max: 60 });
const driven = CvSet.from({ 2: 10, 5: 200, 6: 80, 29: 2 });
const small = defineDecoder({
  id: "small",
  name: "Small",
  kind: "multifunction",
  features: { seconds: codec },
});
const whole = CvSet.from({ 249: 5 });
const reader = { get: () => 1 };
const writer = { nearest: false, put: () => {} };
const made = plans.plan(from, cvs, { decoder });
const issue = { code: "example", path: "a.b", text: "got {found}", params: { found: 5 } };
const response = motion.estimateResponse([
  { level: 15, speed: 1 },
  { level: 135, speed: 13 },
  { level: 255, speed: 25 },
]);
const target = motion.targetSpeeds({ start: 1, top: 14 });
const measured = [{ name: "Mogul", forward: response }];
const matched = motion.matchSpeeds({ target, locomotives: measured }).locomotives;
const speeds = Array.from({ length: 28 }, (_, i) => i + 1);
const { levels } = motion.speedCurve({ start: 4, top: 255 });
const profile = motion.momentumProfile({ speeds, from: 28, momentum: 10 });
const findings = check.checkSet(cvs.with(19, 5), { decoder, file: "no9.txt" });
const report = { files: ["no9.txt"], findings };
const sheets = [sheet.setUpSheet({ cvs, decoder, name: "No. 9" })];
const simulated = () => new simulator.SimulatedDecoder({ kind: "multifunction", factory: cvs });
const track = () => connection.simulatedConnection(simulated());
const fast = { timeout: 50, pause: 0, retries: 0 };
const journal: string[] = [];
const readFile = (text: string) => {
  const result = files.readCvSet(text, { file: "no9.txt" });
  if (!result.ok) throw new Error("unreadable");
  return result.value;
};
const [fileIssue] = readFile("CV1 = 3\n").at([issue]);

/** Makes what takes a while to make: the journal of a run. */
export async function prepare(): Promise<void> {
  await connection.carryOut(made, track(), { ...fast, from, journal: (line) => void journal.push(line) });
}

const call = (
  parameters: string,
  of: (...args: never[]) => unknown,
  good: Call["good"],
  lenient = {},
): Call => ({
  parameters,
  call: of,
  good,
  lenient,
});

/** A method as a function of its arguments; for each call it may be of another object. */
function method<T extends object>(
  of: () => T,
  name: keyof T & string,
  parameters: string,
  good: Call["good"],
  lenient = {},
): Call {
  return call(
    parameters,
    (...args: never[]) => (of()[name] as (...args: never[]) => unknown)(...args),
    good,
    lenient,
  );
}

const found = "what was found may be anything";
const order = "whether it comes last; anything true";
const ofTheConnection = { "connection.*": "the caller's own, looked at when it is used" };
const nothing = "null in a file is as good as nothing";
const pairs = "a list of pairs is as good as a map";
const noDates = { "* = a date": "JSON has none", "* = a promise": "JSON has none" };
const leftAside = (name: string) => ({
  [`${name}.notes*`]: "left aside",
  [`${name}.estimates*`]: "left aside",
  [`${name}.steps.0.was`]: "left aside",
  [`${name}.steps.0.reason`]: "left aside",
  [`${name}.steps.0.packets*`]: "left aside",
});
const anything = "untrusted input: the result tells";
const words = "what people read; shown as it is";

const codecMethods = (of: cvset.AnyCodec, value: unknown) => ({
  encode: call(
    "value, options?",
    (...args: never[]) => of.encode(...(args as unknown as [unknown])),
    () => [value, { nearest: false }],
  ),
  tryEncode: call(
    "value, options?",
    (...args: never[]) => of.tryEncode(...(args as unknown as [unknown])),
    () => [value, { nearest: false }],
  ),
  decode: call("cvs", of.decode.bind(of), () => [cvs]),
  tryDecode: call("cvs", of.tryDecode.bind(of), () => [cvs]),
});

export const calls: Readonly<Record<string, Call>> = {
  // cvset
  "cvset.cv": call("name", cvset.cv, () => [29]),
  "cvset.page": call("high, low", cvset.page, () => [16, 0]),
  "cvset.page().cv": call("number", cvset.page(16, 0).cv, () => [300]),
  "cvset.placesText": call("places", cvset.placesText, () => [[{ cv: "29", mask: 3 }]]),
  "cvset.choice": call(
    "place, options, about?",
    cvset.choice,
    () => [cv(218), { low: 2, high: { value: 5, label: "High" } }, { label: "Whistle" }],
    { "options.high": "an option may be its number" },
  ),
  "cvset.flag": call("place, options?", cvset.flag, () => [cv(29).bit(5), { inverted: true, label: "Lamp" }]),
  "cvset.flags": call(
    "place, names, about?",
    cvset.flags,
    () => [cv(29).bits(0, 1), ["a", "b"], { label: "Lamps" }],
    { "names.0": "a name may be a number, or null for a bit that is left alone" },
  ),
  "cvset.level": call("place, options?", cvset.level, () => [
    cv(249),
    {
      min: 1,
      max: 60,
      unit: "s",
      step: 1,
      offset: 0,
      decimals: 0,
      nearest: true,
      names: { off: 0 },
      label: "Time",
    },
  ]),
  "cvset.table": call("run, options?", cvset.table, () => [
    cv(120).through(123),
    { max: 9, label: "Notches" },
  ]),
  "cvset.text": call("run, options?", cvset.text, () => [cv(120).through(123), { pad: 32, label: "Name" }]),
  "cvset.record": call("fields, about?", cvset.record, () => [{ seconds: codec }, { label: "Drains" }]),
  "cvset.switched": call("place, codec, options?", cvset.switched, () => [
    cv(252).bit(1),
    codec,
    { inverted: true, label: "Drains" },
  ]),
  "cvset.variant": call("place, cases, options?", cvset.variant, () => [
    cv(29).bit(5),
    { short: { value: 0, fields: { number: level(cv(1)) }, label: "Short" } },
    { tag: "form", label: "Address" },
  ]),
  "cvset.converted": call("codec, conversion, about?", converted, () => [
    codec,
    { decode: (value: number) => value, encode: (value: number) => value },
    { label: "Time" },
  ]),
  "cvset.converted with pairs": call("codec, conversion", converted, () => [codec, [[1, "one"]]]),
  "cvset.defineCodec": call("spec", cvset.defineCodec, () => [
    {
      kind: "ratio",
      places: [cv(50)],
      about: { label: "Ratio" },
      parts: { half: codec },
      read: () => 5,
      write: () => {},
      text: () => "",
      schema: () => ({}),
      json: () => ({}),
    },
  ]),
  "cvset.defineCodecKind": call(
    "kind",
    cvset.defineCodecKind,
    () => [
      {
        needs: { place: "place" },
        may: { unit: "text" },
        schema: { place: { description: "A CV." } },
        note: "a kind",
        make: () => codec,
      },
    ],
    { "kind.schema.place.description": "any JSON Schema" },
  ),
  "cvset.derived": call(
    "place, options",
    cvset.derived,
    () => [cv(122), { from: [cv(120).through(121)], by: "sum", start: 0, label: "Sum" }],
    { "options.by": "a function may work it out" },
  ),
  "cvset.descriptionSchema": call(
    "schema, options?",
    cvset.descriptionSchema,
    () => [
      { $defs: { codec: { properties: { codec: { enum: ["flag"] } }, allOf: [] } } },
      { codecs: { same: cvset.defineCodecKind({ needs: { place: "place" }, make: () => codec }) } },
    ],
    { "options.codecs*": "of a kind only the keys are shown" },
  ),
  "cvset.withJsonSchema": call("source", cvset.withJsonSchema, () => [codec]),
  "cvset.partsOf": call("codec", cvset.partsOf, () => [record({ seconds: codec })]),
  "cvset.defineDecoder": call(
    "spec",
    cvset.defineDecoder,
    () => [
      {
        id: "x",
        name: "X",
        kind: "multifunction",
        note: "none",
        features: { seconds: codec },
        factory: { 249: 5 },
        rules: [{ rule: "outputs", outputs: [1] }],
      },
    ],
    { "spec.factory = an empty list": pairs },
  ),
  "cvset.decoderFromJson": call(
    "json, options?",
    cvset.decoderFromJson,
    () => [description, { parts: { motor: standard.motor } }],
    noDates,
  ),
  "cvset.tryDecoderFromJson": call(
    "json, options?",
    cvset.tryDecoderFromJson,
    () => [description, { parts: { motor: standard.motor } }],
    noDates,
  ),
  "cvset.describe": call("decoder", cvset.describe, () => [decoder]),
  "cvset.jsonOf": call("codec", cvset.jsonOf, () => [codec]),
  "cvset.schemaOf": call("codec, whole?", cvset.schemaOf, () => [codec, true]),
  "cvset.settingsSchema": call("decoder", cvset.settingsSchema, () => [decoder]),
  "cvset.diff": call("decoder, from, to", cvset.diff, () => [decoder, from, cvs]),
  "cvset.explain": call("decoder, cvs", cvset.explain, () => [decoder, cvs]),
  "cvset.linesOf": call("codec, cvs, path?", cvset.linesOf, () => [codec, cvs, "seconds"]),
  "cvset.textOf": call("codec, value", cvset.textOf, () => [codec, 5], { value: words }),
  "cvset.messageOf": call("issue, wording?", cvset.messageOf, () => [issue, { example: "{found}" }], {
    "issue.params.found": found,
  }),
  "cvset.CvError": call(
    "issues",
    (issues: never) => new cvset.CvError(issues),
    () => [[issue]],
    { "issues.0.params.found": found },
  ),
  "cvset.CvSet.from": call("map", CvSet.from, () => [{ 1: 3 }], { "map = an empty list": pairs }),
  "cvset.CvSet.tryFrom": call("map", CvSet.tryFrom, () => [{ 1: 3 }], { "map = an empty list": pairs }),
  "cvset.CvSet#get": method(
    () => cvs,
    "get",
    "cv",
    () => [29],
  ),
  "cvset.CvSet#has": method(
    () => cvs,
    "has",
    "cv",
    () => [29],
  ),
  "cvset.CvSet#with": method(
    () => cvs,
    "with",
    "cv, value",
    () => [29, 5],
  ),
  "cvset.CvSet#without": method(
    () => cvs,
    "without",
    "cv",
    () => [29],
  ),
  "cvset.CvSet#apply": method(
    () => cvs,
    "apply",
    "patch",
    () => [patch],
  ),
  "cvset.CvSet#equals": method(
    () => cvs,
    "equals",
    "other",
    () => [from],
  ),
  "cvset.CvPatch.from": call("json", CvPatch.from, () => [patch.toJSON()], {
    "json.bits.0.cv": "a CV may be a number",
  }),
  "cvset.CvPatch#followedBy": method(
    () => patch,
    "followedBy",
    "next",
    () => [patch],
  ),
  "cvset.Place#with": method(
    () => cv(17).bit(5),
    "with",
    "low",
    () => [cv(18)],
  ),
  "cvset.Place#read": method(
    () => cv(17).bit(5),
    "read",
    "cvs",
    () => [reader],
  ),
  "cvset.Place#write": method(
    () => cv(17).bit(5),
    "write",
    "cvs, value",
    () => [writer, 1],
    { "cvs.nearest": "read by codecs alone" },
  ),
  "cvset.BytePlace#bit": method(
    () => cv(17),
    "bit",
    "bit",
    () => [5],
  ),
  "cvset.BytePlace#bits": method(
    () => cv(17),
    "bits",
    "low, high",
    () => [0, 5],
  ),
  "cvset.BytePlace#through": method(
    () => cv(17),
    "through",
    "last",
    () => [18],
  ),
  ...Object.fromEntries(
    Object.entries({
      level: codecMethods(codec, 5),
      record: codecMethods(record({ seconds: codec }), { seconds: 5 }),
      table: codecMethods(table(cv(120).through(123), { max: 9 }), [1, 2, 3, 4]),
    }).flatMap(([kind, all]) =>
      Object.entries(all).map(([name, one]) => [`cvset.Codec#${name} of a ${kind}`, one]),
    ),
  ),
  "cvset.Decoder#encode": method(
    () => decoder,
    "encode",
    "settings, base?, options?",
    () => [{ whistle: "high", drains: { seconds: 5 } }, cvs, { nearest: false }],
  ),
  "cvset.Decoder#tryEncode": method(
    () => decoder,
    "tryEncode",
    "settings, base?, options?",
    () => [{ whistle: "high" }, cvs, { nearest: false }],
  ),
  "cvset.Decoder#patch": method(
    () => decoder,
    "patch",
    "settings, options?",
    () => [{ whistle: "high" }, { nearest: false }],
  ),
  "cvset.Decoder#decode": method(
    () => small,
    "decode",
    "cvs",
    () => [whole],
  ),
  "cvset.Decoder#tryDecode": method(
    () => small,
    "tryDecode",
    "cvs",
    () => [whole],
  ),
  "cvset.Decoder#featuresOf": method(
    () => decoder,
    "featuresOf",
    "cv",
    () => [29],
  ),

  // cvset/standard
  "standard.accessoryAddressInUse": call("cvs", standard.accessoryAddressInUse, () => [cvs]),
  "standard.addressInUse": call("cvs", standard.addressInUse, () => [cvs]),
  "standard.consistInUse": call("cvs", standard.consistInUse, () => [cvs]),
  "standard.curveInUse": call("cvs, direction?", standard.curveInUse, () => [cvs, "forward"]),
  "standard.momentumInUse": call("cvs, change", standard.momentumInUse, () => [cvs, "acceleration"]),
  "standard.adjustedMomentum": call("rate, adjustment", standard.adjustedMomentum, () => [5, 2]),
  "standard.addressText": call("address", standard.addressText, () => [{ kind: "primary", number: 3 }]),
  "standard.describeCv": call("cv, kind?", standard.describeCv, () => [29, "multifunction"]),
  "standard.reservedUse": call("cvs, kind?", standard.reservedUse, () => [cvs, "multifunction"]),
  "standard.withoutAliases": call("cvs", standard.withoutAliases, () => [cvs]),

  // cvset/check
  "check.checkSet": call(
    "cvs, options?",
    check.checkSet,
    () => [
      cvs,
      {
        decoder,
        rules: check.standardRules,
        forWriting: true,
        stopping: { withinMm: 5, topSpeedMmPerS: 100 },
        silence: [],
        file: "a.txt",
        locate: () => undefined,
      },
    ],
    { "options.silence*": anything, "options.rules.0.last": order },
  ),
  "check.checkFleet": call(
    "members, options?",
    check.checkFleet,
    () => [
      [{ file: "a.txt", cvs, decoder, name: "No. 9", silence: [], locate: () => undefined }],
      {
        decoder,
        rules: check.standardRules,
        forWriting: true,
        stopping: { withinMm: 5, topSpeedMmPerS: 100 },
      },
    ],
    { "members.0.silence*": anything, "options.rules.0.last": order },
  ),
  "check.countFindings": call("findings", check.countFindings, () => [findings]),
  "check.defineRule": call("rule", check.defineRule, () => [
    {
      name: "own-rule",
      severity: "note",
      summary: "a rule",
      source: "none",
      fix: "none",
      kind: "multifunction",
      last: true,
      find: () => [],
    },
  ]),
  "check.formatGithub": call("report", check.formatGithub, () => [report]),
  "check.formatJson": call("report", check.formatJson, () => [report]),
  "check.formatJunit": call("report, options?", check.formatJunit, () => [
    report,
    { timestamp: "2024-05-05T00:00:00", hostname: "bench" },
  ]),
  "check.formatSarif": call("report", check.formatSarif, () => [
    { ...report, rules: check.ruleList(), version: "1.0.0" },
  ]),
  "check.formatText": call("report, options?", check.formatText, () => [
    report,
    { paint: (text: string) => text },
  ]),
  "check.hasFailed": call("counts, options?", check.hasFailed, () => [
    check.countFindings(findings),
    { strict: true },
  ]),
  "check.readingFindings": call(
    "issues, file, of?",
    check.readingFindings,
    () => [[issue], "a.txt", "file"],
    { "issues.0.params.found": found },
  ),
  "check.ruleList": call("rules?, decoders?", check.ruleList, () => [check.standardRules, [decoder]], {
    "rules.0.last": order,
    "rules.0.find": "not called",
  }),

  // cvset/meaning
  "meaning.decibelsOf": call("share", meaning.decibelsOf, () => [0.5]),
  "meaning.shareOfDecibels": call("decibels", meaning.shareOfDecibels, () => [-6]),
  "meaning.meaningNotes": call("decoder, options?", meaning.meaningNotes, () => [
    decoder,
    { terms: meaning.vocabulary },
  ]),
  "meaning.meaningsOf": call("decoder, options?", meaning.meaningsOf, () => [
    decoder,
    { terms: meaning.vocabulary },
  ]),
  "meaning.translate": call("cvs, from, to, options?", meaning.translate, () => [
    cvs,
    decoder,
    standard.nmra,
    { terms: meaning.vocabulary, decisions: [{ to: "address" }], base: cvs },
  ]),

  // cvset/packets
  "packets.accessPackets": call(
    "mode, access, address?",
    packets.accessPackets,
    () => ["main", { operation: "write", cv: 29, value: 6 }, { kind: "primary", number: 3 }],
    { address: "an address may be a number" },
  ),
  "packets.accessSequence": call("mode, access, address?", packets.accessSequence, () => [
    "main",
    { operation: "write", cv: 29, value: 6 },
    3,
  ]),
  "packets.closingSequence": call("mode", packets.closingSequence, () => ["direct"]),
  "packets.openingSequence": call("mode", packets.openingSequence, () => ["direct"]),
  "packets.factoryResetSequence": call("", packets.factoryResetSequence, () => []),
  "packets.nextInReading": call("reading, answers", packets.nextInReading, () => [
    { mode: "direct", cv: 29, guesses: [6] },
    [true],
  ]),
  "packets.packetFromText": call("text", packets.packetFromText, () => ["7C 10 C4 A8"]),
  "packets.packetText": call("packet", packets.packetText, () => [[0x7c, 0x10, 0xc4, 0xa8]]),
  "packets.parseAccess": call("mode, packets", packets.parseAccess, () => [
    "direct",
    [[0x7c, 0x10, 0xc4, 0xa8]],
  ]),
  "packets.parseServicePacket": call("packet", packets.parseServicePacket, () => [[0x7c, 0x10, 0xc4, 0xa8]]),
  "packets.parseTrackPacket": call("packet, options?", packets.parseTrackPacket, () => [
    [3, 0x61, 0x62],
    { steps: 28 },
  ]),
  "packets.servicePacket": call("instruction", packets.servicePacket, () => [
    { kind: "direct", operation: "write", cv: 17, value: 196 },
  ]),
  "packets.trackPacket": call("packet", packets.trackPacket, () => [
    { to: 3, instructions: [{ kind: "speed", steps: 28, forward: true, step: 5 }] },
  ]),

  // cvset/plan
  "plan.plan": call(
    "from, to, options?",
    plans.plan,
    () => [
      from,
      cvs,
      {
        mode: "main",
        address: { kind: "primary", number: 3 },
        all: true,
        decoder,
        undescribed: "write",
        kind: "multifunction",
        changeAddress: true,
        factoryReset: false,
      },
    ],
    { "options.address": "an address may be a number" },
  ),
  "plan.plan with a patch": call("from, to, options?", plans.plan, () => [from, patch, { decoder }], {
    "to = an empty list": pairs,
  }),
  "plan.planSequences": call("plan", plans.planSequences, () => [made]),
  "plan.readSteps": call("mode, cvs, options?", plans.readSteps, () => [
    "direct",
    [29, "300@16.0"],
    { index: { high: 16, low: 0 }, guesses: () => [6] },
  ]),
  "plan.resume": call("interrupted, readBack, options?", plans.resume, () => [made, from, { decoder }]),
  "plan.outcome": call("plan", plans.outcome, () => [made.toJSON()], leftAside("plan")),
  "plan.tryPlanFromJson": call("json", plans.tryPlanFromJson, () => [made.toJSON()], leftAside("json")),
  "plan.verify": call("wanted, readBack, options?", plans.verify, () => [made, cvs, { decoder }], {
    "wanted = an empty list": pairs,
  }),
  "plan.verify with a set": call("wanted, readBack, options?", plans.verify, () => [cvs, cvs, { decoder }]),
  "plan.verify with a patch": call(
    "wanted, readBack, options?",
    plans.verify,
    () => [patch, cvs, { decoder }],
    { "wanted = an empty list": pairs },
  ),

  // cvset/simulator
  "simulator.SimulatedDecoder": call(
    "decoder",
    ((...args: [never]) => new simulator.SimulatedDecoder(...args)) as never,
    () => [{ kind: "multifunction", factory: cvs, cvs: [1, 29], readOnly: [8], modes: ["direct"] }],
  ),
  "simulator.SimulatedDecoder of a description": call(
    "decoder",
    ((one: never) => new simulator.SimulatedDecoder(one)) as never,
    () => [decoder],
  ),
  "simulator.SimulatedDecoder#receive": method(simulated, "receive", "packet", () => [[3, 0x61, 0x62]]),
  "simulator.SimulatedDecoder#play": method(
    simulated,
    "play",
    "sequence",
    () => [packets.openingSequence("direct")],
    { "sequence.preambleBits": "for the sender alone" },
  ),
  "simulator.SimulatedDecoder#wait": method(simulated, "wait", "milliseconds", () => [5]),
  "simulator.SimulatedDecoder#powerCycle": method(simulated, "powerCycle", "", () => []),

  // cvset/connection
  "connection.simulatedConnection": call("decoder, faults?", connection.simulatedConnection, () => [
    simulated(),
    { seed: 1, lostAcknowledgements: 0.5, inARow: 2, threeRepeats: true },
  ]),
  "connection.simulatedStation": call("decoder, options?", connection.simulatedStation, () => [
    simulated(),
    { mode: "direct", faults: { seed: 1 } },
  ]),
  "connection.carryOut": call(
    "plan, connection, options?",
    connection.carryOut,
    () => [
      made,
      track(),
      { ...fast, allow: ["unlock"], from, decoder, goOn: true, onProgress: () => {}, confirmations: 1 },
    ],
    ofTheConnection,
  ),
  "connection.readOut": call(
    "connection, what, options?",
    connection.readOut,
    () => [track(), [29], { ...fast, mode: "direct", guesses: cvs, onProgress: () => {} }],
    ofTheConnection,
  ),
  "connection.takeUp": call(
    "journal, connection, options?",
    connection.takeUp,
    () => [journal, track(), { ...fast, decoder }],
    ofTheConnection,
  ),

  // cvset/files
  "files.editSettings": call(
    "text, changes, options?",
    files.editSettings,
    () => ['{ "settings": { "a": 1 } }', { a: 2 }, { file: "a.json", maxLength: 1000 }],
    { "changes.a": "any value of a setting" },
  ),
  "files.fileMessage": call("issue, wording?", files.fileMessage, () => [fileIssue, { example: "{found}" }], {
    "issue.params.found": found,
  }),
  "files.readAny": call("source, options?", files.readAny, () => [
    "CV1 = 3",
    { file: "a.txt", maxLength: 1000 },
  ]),
  "files.readCvSet": call("source, options?", files.readCvSet, () => [
    "CV1 = 3",
    { file: "a.txt", maxLength: 1000 },
  ]),
  "files.readMany": call(
    "source, options?",
    files.readMany,
    () => ["CV1 = 3", { file: "a.txt", maxLength: 1000 }],
    { "source = an empty list": "a file without a piece is empty" },
  ),
  "files.readSettings": call("source, options?", files.readSettings, () => [
    '{ "settings": {} }',
    { file: "a.json", maxLength: 1000 },
  ]),
  "files.writeCvSet": call(
    "file, format?",
    files.writeCvSet,
    () => [{ cvs, decoder: "x", name: "No. 9", note: "n", schema: "s", silence: [] }, "json"],
    { "file.silence*": anything },
  ),
  "files.writeSettings": call(
    "file",
    files.writeSettings,
    () => [{ settings: { a: 1 }, decoder: "x", name: "No. 9", note: "n", schema: "s", silence: [] }],
    { "file.silence*": anything, "file.settings.*": anything },
  ),
  "files.CvSetFile#locate": method(
    () => readFile("CV1 = 3"),
    "locate",
    "cv",
    () => [1],
    { cv: "what the file does not have is nowhere" },
  ),
  "files.CvSetFile#at": method(
    () => readFile("CV1 = 3"),
    "at",
    "issues",
    () => [[issue]],
    { "issues.0.params.found": found },
  ),

  // cvset/motion
  "motion.beatFit": call("locomotive", motion.beatFit, () => [
    { levels: [10, 20, 30], speeds: [1, 2, 2], wheel: { diameter: 0.3, beats: 4 }, perLevel: 0.1 },
  ]),
  "motion.beatsPerTurn": call("engine", motion.beatsPerTurn, () => [{ cylinders: 2, together: 1, gear: 1 }]),
  "motion.brakeToMark": call("stop", motion.brakeToMark, () => [
    { speeds, from: 28, momentum: 10, distance: 200 },
  ]),
  "motion.driveLevels": call("cvs, options?", motion.driveLevels, () => [
    driven,
    { steps: 28, direction: "forward" },
  ]),
  "motion.estimateResponse": call("samples", motion.estimateResponse, () => [
    [
      { level: 15, speed: 1, seconds: 5, deviation: 0.1, line: 1, at: "a" },
      { level: 135, speed: 13 },
      { level: 255, speed: 25 },
    ],
  ]),
  "motion.kmh": call("speed", motion.kmh, () => [5]),
  "motion.mph": call("speed", motion.mph, () => [5]),
  "motion.toKmh": call("speed", motion.toKmh, () => [5]),
  "motion.toMph": call("speed", motion.toMph, () => [5]),
  "motion.matchReport": call("content", motion.matchReport, () => [
    { title: "Match", target, locomotives: matched, measured, warnings: ["a"], unit: "mph" },
  ]),
  "motion.matchSpeeds": call("request", motion.matchSpeeds, () => [
    { target, locomotives: measured, tolerance: 0.05 },
  ]),
  "motion.measurementsFromCsv": call("text, defaults?", motion.measurementsFromCsv, () => [
    "level,seconds\n20,stands\n60,32\n130,13\n200,8\n",
    { locomotive: "A", scale: "O", distance: 2, drive: driven, steps: 28 },
  ]),
  "motion.measurementsFromJson": call(
    "json, defaults?",
    motion.measurementsFromJson,
    () => [
      {
        scale: "O",
        cm: 200,
        locomotive: "A",
        runs: [
          { level: 60, seconds: [32] },
          { level: 200, seconds: [8] },
        ],
      },
      { locomotive: "A", scale: "O", distance: 2, drive: driven, steps: 28 },
    ],
    { "json.scale = null": nothing, "json.locomotive = null": nothing },
  ),
  "motion.momentumForStop": call("stop", motion.momentumForStop, () => [{ speeds, from: 28, distance: 80 }]),
  "motion.momentumProfile": call("change", motion.momentumProfile, () => [
    { speeds, from: 28, to: 0, momentum: 10 },
  ]),
  "motion.predictSpeeds": call("levels, response", motion.predictSpeeds, () => [[20, 55, 255], response]),
  "motion.scaleRatio": call("scale", motion.scaleRatio, () => ["O"]),
  "motion.scaledCurve": call("levels, to", motion.scaledCurve, () => [levels, { top: 140, start: 4 }]),
  "motion.speedCurve": call("shape", motion.speedCurve, () => [
    { start: 4, top: 255, mid: 100, midStep: 14, shape: "linear" },
  ]),
  "motion.speedCurve through points": call("shape", motion.speedCurve, () => [
    { start: 4, top: 255, shape: "smooth", points: [{ step: 10, value: 80 }] },
  ]),
  "motion.targetSpeeds": call("shape", motion.targetSpeeds, () => [
    { start: 1, top: 14, shape: "power", gamma: 1.5 },
  ]),
  "motion.speedPicture": call("content", motion.speedPicture, () => [
    {
      title: "No. 9",
      levels,
      target,
      locomotives: [{ matched: matched[0], measured: measured[0] }],
      unit: "mph",
    },
  ]),
  "motion.speedRange": call("locomotives", motion.speedRange, () => [measured]),
  "motion.stoppingPicture": call("content", motion.stoppingPicture, () => [
    { title: "No. 9", profile, runOn: 5, mark: 200, unit: "mph", length: "cm", scale: "O" },
  ]),
  "motion.tablePatch": call("levels, options?", motion.tablePatch, () => [levels, { select: true }]),
  "motion.threePointsOf": call("levels, options?", motion.threePointsOf, () => [levels, { moveMid: true }]),
  "motion.SpeedResponse#knows": method(
    () => response,
    "knows",
    "level",
    () => [20],
  ),
  "motion.SpeedResponse#speedAt": method(
    () => response,
    "speedAt",
    "level",
    () => [20],
  ),
  "motion.SpeedResponse#deviationAt": method(
    () => response,
    "deviationAt",
    "level",
    () => [20],
  ),
  "motion.SpeedResponse#levelFor": method(
    () => response,
    "levelFor",
    "speed",
    () => [5],
  ),

  // cvset/sheet
  "sheet.roster": call("locomotives, options?", sheet.roster, () => [
    [
      {
        cvs,
        decoder,
        name: "No. 9",
        note: "n",
        fullSpeed: 10,
        findings: [{ severity: "note", message: "m" }],
      },
    ],
    { date: "2024-05-05", ratio: 48, terms: meaning.vocabulary },
  ]),
  "sheet.setUpSheet": call("locomotive, options?", sheet.setUpSheet, () => [
    { cvs, decoder, name: "No. 9", note: "n", fullSpeed: 10, findings: [{ severity: "note", message: "m" }] },
    { date: "2024-05-05", ratio: 48, terms: meaning.vocabulary },
  ]),
  "sheet.sheetCsv": call("sheets", sheet.sheetCsv, () => [sheets]),
  "sheet.sheetHtml": call("sheets", sheet.sheetHtml, () => [sheets]),
  "sheet.sheetMarkdown": call("sheets", sheet.sheetMarkdown, () => [sheets]),

  // cvset/testing
  "testing.checkCodecLaws": call("source, options?", testing.checkCodecLaws, () => [
    codec,
    { runs: 3, seed: 1, at: {}, equal: (a: unknown, b: unknown) => a === b },
  ]),
  "testing.checkLaws": call("decoder, options?", testing.checkLaws, () => [
    small,
    { runs: 3, seed: 1, at: {} },
  ]),
  "testing.cvSetsOf": call("source, options?", testing.cvSetsOf, () => [codec, { raw: true, at: {} }]),
  "testing.decoders": call("options?", testing.decoders, () => [{ maxFeatures: 2 }]),
  "testing.valuesOf": call("source, options?", testing.valuesOf, () => [codec, { partial: false, at: {} }]),
};
