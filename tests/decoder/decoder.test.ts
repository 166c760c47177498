import {
  type AnyCodec,
  CvError,
  CvSet,
  choice,
  converted,
  cv,
  defineCodec,
  defineDecoder,
  derived,
  describe as describeDecoder,
  diff,
  explain,
  flag,
  flags,
  jsonOf,
  level,
  linesOf,
  messageOf,
  page,
  record,
  schemaOf,
  settingsSchema,
  switched,
  table,
  textOf,
  withJsonSchema,
} from "cvset";
import { describe, expect, test } from "vitest";
import { rootOf } from "../../src/decoder/decoder.js";

const decoder = defineDecoder({
  id: "example-x1",
  name: "Example X1",
  kind: "multifunction",
  note: "Invented.",
  features: {
    whistle: choice(cv(218), {
      "one-note": 6,
      "three-chime": { value: 5, label: "Three chime, for the valley" },
    }),
    fuel: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }),
    cylinders: choice(cv(246).bits(2, 3), { two: 1, three: 2, four: 3 }),
    drains: switched(
      cv(252).bit(1),
      record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
    ),
    front: record({
      effect: choice(cv(216).bits(1, 4), { plain: 7, flickers: 2 }),
      forLed: flag(cv(243).bit(7), { inverted: true }),
    }),
    coupler: level(page(73, 9).cv(389).bits(0, 3)),
    outputs: flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]),
    notches: table(cv(120).through(122), { max: 9 }),
    pause: level(cv(239), { step: 0.1, unit: "s" }),
  },
  factory: {
    216: 0x6e,
    218: 6,
    243: 0xff,
    246: 0b1101_0100,
    249: 40,
    252: 0xf0,
    35: 4,
    120: 1,
    121: 2,
    122: 3,
    239: 0,
    "389@73.9": 0x50,
    8: 13,
  },
});

const defaults = {
  whistle: "one-note",
  fuel: "slabwood",
  cylinders: "two",
  drains: "off",
  front: { effect: "plain", forLed: false },
  coupler: 0,
  outputs: [3],
  notches: [1, 2, 3],
  pause: 0,
} as const;

describe("a decoder", () => {
  test("says what it is", () => {
    expect([decoder.id, decoder.name, decoder.kind, decoder.note]).toEqual([
      "example-x1",
      "Example X1",
      "multifunction",
      "Invented.",
    ]);
    expect(defineDecoder({ id: "a", name: "A", kind: "accessory", features: {} }).note).toBe("");
    expect(Object.keys(decoder.features)).toEqual(Object.keys(defaults));
    expect(decoder.featuresOf(246)).toEqual(["fuel", "cylinders"]);
    expect(decoder.featuresOf("389@73.9")).toEqual(["coupler"]);
    expect(decoder.featuresOf(389)).toEqual([]);
    expect(() => decoder.featuresOf(0)).toThrow(CvError);
    expect(decoder.bits.map(({ cv: name, mask }) => `${name}/${mask}`).join(" ")).toBe(
      "35/255 120/255 121/255 122/255 216/30 218/255 239/255 243/128 246/236 249/255 252/2 389@73.9/15",
    );
  });

  test("decodes its factory defaults, and encoding those changes nothing", () => {
    expect(decoder.decode(decoder.defaults())).toEqual(defaults);
    expect(decoder.encode(defaults).equals(decoder.defaults())).toBe(true);
    expect(decoder.encode({}).equals(decoder.defaults())).toBe(true);
    expect(decoder.defaults().get(8)).toBe(13);
  });

  test("changes the named features and no other bit", () => {
    const after = decoder.encode({
      fuel: "oil",
      drains: { seconds: 20 },
      coupler: 9,
      front: { forLed: true },
    });
    const changed = [...after].filter(([name, value]) => decoder.defaults().get(name) !== value);
    expect(changed).toEqual([
      ["243", 0x7f],
      ["246", 0b0011_0100],
      ["249", 80],
      ["252", 0xf2],
      ["389@73.9", 0x59],
    ]);
    expect(decoder.decode(after)).toEqual({
      ...defaults,
      fuel: "oil",
      drains: { seconds: 20 },
      coupler: 9,
      front: { effect: "plain", forLed: true },
    });
    // Turning something off leaves its CVs as they are.
    expect(decoder.encode({ drains: "off" }, after).get(249)).toBe(80);
  });

  test("a base of one's own instead of the factory defaults", () => {
    const base = CvSet.from({ 218: 6, 1: 3 });
    expect(decoder.encode({ whistle: "three-chime" }, base).toJSON()).toEqual({ 1: 3, 218: 5 });
    expect(base.toJSON()).toEqual({ 1: 3, 218: 6 });
  });

  test("a patch has the bits of the settings and no others", () => {
    expect(decoder.patch({ fuel: "oil", whistle: "one-note", cylinders: "four" }).toJSON()).toEqual({
      cvs: { 218: 6 },
      bits: [{ cv: "246", mask: 0b1110_1100, value: 0b0010_1100 }],
    });
    expect(decoder.patch({}).size).toBe(0);
  });

  test("a bit that is not known is an error that names it, never a silent 0", () => {
    const message = (): string => {
      try {
        decoder.encode(
          { fuel: "oil", whistle: "three-chime", coupler: 1, drains: "off" },
          CvSet.from({ 1: 3 }),
        );
      } catch (error) {
        return String(error);
      }
      return "";
    };
    expect(message()).toBe(
      "CvError: CV 246 bits 0-4: not known, and the other bits of the CV are to be written: give the present CVs as the base\n" +
        "CV 252 bits 0, 2-7: not known, and the other bits of the CV are to be written: give the present CVs as the base\n" +
        "CV 389@73.9 bits 4-7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
    );
    const tried = decoder.tryEncode({ fuel: "oil" }, CvSet.empty);
    expect(tried).toMatchObject({
      ok: false,
      issues: [{ code: "unknown-bits", places: [{ cv: "246", mask: 0b0001_1111 }] }],
    });
  });

  test("the bits of a CV that features give together need no base", () => {
    const whole = defineDecoder({
      id: "a",
      name: "A",
      kind: "multifunction",
      features: { low: level(cv(5).bits(0, 3)), high: level(cv(5).bits(4, 7)) },
    });
    expect(whole.encode({ low: 2, high: 1 }).toJSON()).toEqual({ 5: 18 });
    expect(whole.tryEncode({ low: 2, high: 1 })).toEqual({ ok: true, value: CvSet.from({ 5: 18 }) });
    expect(() => whole.encode({ low: 2 })).toThrow(
      "CV 5 bits 4-7: not known, and the other bits of the CV are to be written",
    );
  });

  test("every wrong setting is named; nothing is encoded", () => {
    const settings = JSON.parse(
      '{"wistle":"three-chime","whistle":"three-chim","fuel":3,"drains":{"seconds":41},"front":{"effect":"flikkers","__proto__":1},"coupler":1.5,"outputs":[9],"notches":[1,2],"pause":0.25}',
    );
    const lines = [
      'wistle: there is no such name; the names are whistle, fuel, cylinders, drains, front, coupler, outputs, notches, pause; nearest: "whistle"',
      'whistle: "three-chim" is not an option; the options are "one-note", "three-chime"; nearest: "three-chime"',
      'fuel: 3 is not an option; the options are "slabwood", "coal", "oil"',
      "drains.seconds: 41 is out of range; allowed is 1.5 to 40 s",
      "front.__proto__: there is no such name; the names are effect, forLed",
      'front.effect: "flikkers" is not an option; the options are "plain", "flickers"; nearest: "flickers"',
      "coupler: 1.5 cannot be stored exactly; the nearest are 1 and 2",
      "outputs.0: 9 is not an option; the options are 1, 2, 3, 4, 5, 6, 7, 8",
      "notches: expected 3 numbers, got 2",
      "pause: 0.25 cannot be stored exactly; the nearest are 0.2 s and 0.3 s",
    ];
    expect(() => decoder.encode(settings)).toThrow(lines.join("\n"));
    expect(() => decoder.patch(settings)).toThrow(lines.join("\n"));
    const result = decoder.tryEncode(settings);
    expect(result.ok ? [] : result.issues.map((issue) => new CvError([issue]).message)).toEqual(lines);
    for (const value of [null, 7, "x", [], undefined]) {
      expect(decoder.tryEncode(value)).toMatchObject({
        ok: false,
        issues: [{ code: "expected-settings", path: "" }],
      });
    }
    expect(() => decoder.encode(null as never)).toThrow(
      "expected an object with settings (whistle, fuel, cylinders, drains, front, coupler, outputs, notches, pause), got null",
    );
  });

  test("a CV whose value no option has, and everything else still decoded", () => {
    const cvs = decoder.defaults().with(218, 9).with(249, 0).with(252, 2).without(122);
    const result = decoder.tryDecode(cvs);
    const { whistle: _, drains: __, notches: ___, ...rest } = defaults;
    expect(result.value).toEqual(rest);
    expect(result.ok ? [] : result.issues.map((issue) => new CvError([issue]).message)).toEqual([
      "whistle: CV 218: no option has the stored number 9; the options are 6 one-note, 5 three-chime",
      "drains.seconds: CV 249: the stored number 0 is out of range; allowed is 6 to 160, for 1.5 to 40 s",
      "notches: CV 122: not in the CV set",
    ]);
    expect(() => decoder.decode(cvs)).toThrow("whistle: CV 218: no option has the stored number 9");
    // What could be read can be written again as it is.
    expect(decoder.encode(result.value ?? {}, cvs).equals(cvs)).toBe(true);
  });

  test("a CV set that lacks CVs: the list of what is missing, feature by feature", () => {
    const result = decoder.tryDecode(CvSet.empty);
    expect(result.ok ? [] : result.issues.map(({ code, path }) => `${code} ${path}`)).toEqual([
      "missing-cv whistle",
      "missing-cv fuel",
      "missing-cv cylinders",
      "missing-cv drains",
      "missing-cv front.effect",
      "missing-cv front.forLed",
      "missing-cv coupler",
      "missing-cv outputs",
      "missing-cv notches",
      "missing-cv pause",
    ]);
    expect(result.value).toEqual({ front: {} });
  });

  test("nearest is asked for, and does not stick to the set", () => {
    const set = decoder.encode({ pause: 0.26 }, undefined, { nearest: true });
    expect(set.get(239)).toBe(3);
    expect(() => decoder.encode({ pause: 0.21 }, set)).toThrow("0.21 cannot be stored exactly");
    expect(decoder.patch({ pause: 0.24 }, { nearest: true }).toJSON().cvs).toEqual({ 239: 2 });
    expect(decoder.tryEncode({ pause: 0.24 }, undefined, { nearest: true })).toMatchObject({ ok: true });
    expect(decoder.tryEncode({ pause: 0.24 })).toMatchObject({ ok: false });
  });

  test("a factory map that is changed afterwards does not change the decoder", () => {
    const factory = { 1: 3 };
    const one = defineDecoder({
      id: "a",
      name: "A",
      kind: "multifunction",
      features: { a: level(cv(1)) },
      factory,
    });
    factory[1] = 9;
    expect(one.defaults().get(1)).toBe(3);
    expect(one.decode(one.defaults())).toEqual({ a: 3 });
  });

  test("it is immutable", () => {
    const features = { a: level(cv(1)) };
    const one = defineDecoder({ id: "a", name: "A", kind: "multifunction", features });
    Object.assign(features, { b: level(cv(2)) });
    expect(Object.keys(one.features)).toEqual(["a"]);
    for (const each of [one, one.features, one.rules]) expect(Object.isFrozen(each)).toBe(true);
  });

  test("an error that is no CvError while defining goes on as it is", () => {
    const broken = {
      get a(): never {
        throw new TypeError("broken getter");
      },
    };
    expect(() => defineDecoder({ id: "a", name: "A", kind: "multifunction", features: broken })).toThrow(
      "broken getter",
    );
  });
});

test("a base that is none is named, whether values are worked out or not", () => {
  const worked = defineDecoder({
    id: "example-x2",
    name: "Example X2",
    kind: "multifunction",
    features: { pitch: level(cv(120)), sum: derived(cv(121), { from: [cv(120)], by: "sum" }) },
  });
  for (const encode of [
    () => worked.encode({ pitch: 1 }, 5 as never),
    () => decoder.encode({ fuel: "oil" }, 5 as never),
  ]) {
    expect(encode).toThrow(/^base: expected an object with CV numbers as keys, got 5$/);
  }
});

const aDecoder = "expected a decoder, as defineDecoder or decoderFromJson makes it, got 5";
const aCodec = "expected a codec, such as flag(cv(29).bit(5)), got 5";
const someCvs = "expected an object with CV numbers as keys, got 5";
const lamp = flag(cv(1).bit(0)) as AnyCodec;
const no = 5 as never;

test.each<[string, () => unknown]>([
  [`decoder: ${aDecoder}`, () => explain(no, {})],
  [`decoder: ${aDecoder}`, () => diff(no, {}, {})],
  [`decoder: ${aDecoder}`, () => settingsSchema(no)],
  [`decoder: ${aDecoder}`, () => describeDecoder(no)],
  [`codec: ${aCodec}`, () => linesOf(no, {})],
  [`codec: ${aCodec}`, () => textOf(no, no)],
  [`codec: ${aCodec}`, () => schemaOf(no)],
  [`codec: ${aCodec}`, () => jsonOf(no)],
  [`source: ${aCodec}`, () => withJsonSchema(no)],
  ["path: expected a text, got 5", () => linesOf(lamp, {}, no)],
  ["whole: expected true or false, got 5", () => schemaOf(lamp, no)],
  [`cvs: ${someCvs}`, () => explain(decoder, no)],
  [`cvs: ${someCvs}`, () => linesOf(lamp, no)],
  [`cvs: ${someCvs}`, () => decoder.decode(no)],
  [`from: ${someCvs}`, () => diff(decoder, no, {})],
  [`to: ${someCvs}`, () => diff(decoder, {}, no)],
  ["options: expected an object, got 5", () => decoder.encode({}, {}, no)],
  ["options: expected an object, got 5", () => decoder.patch({}, no)],
  ["nearest: expected true or false, got 5", () => decoder.encode({}, {}, { nearest: no })],
])("an argument that is none is named: %s (%#)", (words, call) => {
  let message = "taken";
  try {
    call();
  } catch (error) {
    message = (error as CvError).message;
  }
  expect(message).toBe(words);
});

test("what throws within settings is told of the decoder, and of the part where it is in one", () => {
  const thrown = (key: string) =>
    Object.defineProperty({}, key, {
      get() {
        throw new Error("dropped");
      },
      enumerable: true,
    });
  for (const [settings, words] of [
    [thrown("whistle"), "decoder: dropped"],
    [{ front: thrown("effect") }, "front: record: dropped"],
  ] as const) {
    const result = decoder.tryEncode(settings);
    expect(result.ok || result.issues.map((issue) => messageOf(issue))).toEqual([words]);
    expect(() => decoder.encode(settings as never)).toThrow(words);
  }
});

test("what holds code is named with its path, all of it", () => {
  const code = (place: number) =>
    defineCodec({
      kind: "code",
      places: [cv(place)],
      read: (cvs) => cv(place).read(cvs),
      write: (cvs, value: number) => cv(place).write(cvs, value),
    });
  const holds = 'a codec of kind "code" holds code and cannot be written as JSON';
  const features = {
    a: code(1),
    b: record({ c: code(2), d: switched(cv(3).bit(0), code(4)) }),
    e: flag(cv(5).bit(0)),
    f: converted(code(6), [[7, "seven"]]),
  };
  const made = defineDecoder({ id: "x", name: "X", kind: "multifunction", features });
  expect(() => describeDecoder(made)).toThrow(
    new RegExp(
      `^features.a: ${holds}\nfeatures.b.c: ${holds}\nfeatures.b.d: ${holds}\nfeatures.f: ${holds}$`,
    ),
  );
});

test("a decoder that another copy of the library made is taken as one of this copy", () => {
  /** What a caller sees of a decoder, without what only its own copy can see. */
  class Other {
    readonly id = decoder.id;
    readonly name = decoder.name;
    readonly kind = decoder.kind;
    readonly note = decoder.note;
    readonly rules = decoder.rules;
    readonly features = decoder.features;
    readonly bits = decoder.bits;
    get "~cvset"(): "Decoder" {
      return "Decoder";
    }
    defaults = () => decoder.defaults();
  }
  const other = new Other() as unknown as typeof decoder;
  const cvs = decoder.encode({ fuel: "oil" }).with(250, 7);
  // Twice: its root is made once, and kept.
  for (let i = 0; i < 2; i++) {
    expect(explain(other, cvs)).toEqual(explain(decoder, cvs));
    expect(diff(other, decoder.defaults(), cvs)).toEqual(diff(decoder, decoder.defaults(), cvs));
    expect(settingsSchema(other)).toEqual(settingsSchema(decoder));
    expect(describeDecoder(other)).toEqual(describeDecoder(decoder));
    expect(rootOf(other).decode(cvs)).toEqual(decoder.decode(cvs));
  }
  expect(rootOf(other)).toBe(rootOf(other));
});
