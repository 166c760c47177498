import {
  CvError,
  CvSet,
  choice,
  cv,
  defineDecoder,
  flag,
  flags,
  level,
  page,
  record,
  switched,
  table,
} from "cvset";
import { describe, expect, test } from "vitest";

const decoder = defineDecoder({
  id: "example-x1",
  name: "Example X1",
  kind: "multifunction",
  note: "Invented.",
  features: {
    whistle: choice(cv(141), { "one-note": 0, "three-chime": { value: 6, label: "Three chime, deep" } }),
    firing: choice(cv(152).bits(0, 1), { coal: 0, wood: 1, oil: 2 }),
    cylinders: choice(cv(152).bits(2, 3), { two: 0, three: 1, four: 2 }),
    drains: switched(cv(160).bit(3), record({ seconds: level(cv(161), { unit: "s", min: 1, max: 60 }) })),
    front: record({
      effect: choice(cv(171).bits(0, 4), { steady: 0, flicker: 5 }),
      ledCorrection: flag(cv(171).bit(7)),
    }),
    coupler: level(page(16, 0).cv(300).bits(0, 3)),
    outputs: flags(cv(35), [1, 2, 3, 4, 5, 6, 7, 8]),
    notches: table(cv(120).through(122), { max: 9 }),
    pause: level(cv(162), { step: 0.1, unit: "s" }),
  },
  factory: {
    141: 0,
    152: 0b1010_0001,
    160: 0xf0,
    161: 10,
    171: 0x60,
    35: 4,
    120: 1,
    121: 2,
    122: 3,
    162: 0,
    "300@16.0": 0x50,
    8: 13,
  },
});

const defaults = {
  whistle: "one-note",
  firing: "wood",
  cylinders: "two",
  drains: "off",
  front: { effect: "steady", ledCorrection: false },
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
    expect(decoder.featuresOf(152)).toEqual(["firing", "cylinders"]);
    expect(decoder.featuresOf("300@16.0")).toEqual(["coupler"]);
    expect(decoder.featuresOf(300)).toEqual([]);
    expect(() => decoder.featuresOf(0)).toThrow(CvError);
    expect(decoder.bits.map(({ cv: name, mask }) => `${name}/${mask}`).join(" ")).toBe(
      "35/255 120/255 121/255 122/255 141/255 152/15 160/8 161/255 162/255 171/159 300@16.0/15",
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
      firing: "oil",
      drains: { seconds: 20 },
      coupler: 9,
      front: { ledCorrection: true },
    });
    const changed = [...after].filter(([name, value]) => decoder.defaults().get(name) !== value);
    expect(changed).toEqual([
      ["152", 0b1010_0010],
      ["160", 0xf8],
      ["161", 20],
      ["171", 0xe0],
      ["300@16.0", 0x59],
    ]);
    expect(decoder.decode(after)).toEqual({
      ...defaults,
      firing: "oil",
      drains: { seconds: 20 },
      coupler: 9,
      front: { effect: "steady", ledCorrection: true },
    });
    // Turning something off leaves its CVs as they are.
    expect(decoder.encode({ drains: "off" }, after).get(161)).toBe(20);
  });

  test("a base of one's own instead of the factory defaults", () => {
    const base = CvSet.from({ 141: 0, 1: 3 });
    expect(decoder.encode({ whistle: "three-chime" }, base).toJSON()).toEqual({ 1: 3, 141: 6 });
    expect(base.toJSON()).toEqual({ 1: 3, 141: 0 });
  });

  test("a patch has the bits of the settings and no others", () => {
    expect(decoder.patch({ firing: "oil", whistle: "one-note", cylinders: "four" }).toJSON()).toEqual({
      cvs: { 141: 0 },
      bits: [{ cv: "152", mask: 15, value: 0b1010 }],
    });
    expect(decoder.patch({}).size).toBe(0);
  });

  test("a bit that is not known is an error that names it, never a silent 0", () => {
    const message = (): string => {
      try {
        decoder.encode(
          { firing: "oil", whistle: "three-chime", coupler: 1, drains: "off" },
          CvSet.from({ 1: 3 }),
        );
      } catch (error) {
        return String(error);
      }
      return "";
    };
    expect(message()).toBe(
      "CvError: CV 152 bits 2-7: not known, and the other bits of the CV are to be written: give the present CVs as the base\n" +
        "CV 160 bits 0-2, 4-7: not known, and the other bits of the CV are to be written: give the present CVs as the base\n" +
        "CV 300@16.0 bits 4-7: not known, and the other bits of the CV are to be written: give the present CVs as the base",
    );
    const tried = decoder.tryEncode({ firing: "oil" }, CvSet.empty);
    expect(tried).toMatchObject({
      ok: false,
      issues: [{ code: "unknown-bits", places: [{ cv: "152", mask: 0b1111_1100 }] }],
    });
  });

  test("bits that flags features give together need no base", () => {
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
      '{"wistle":"three-chime","whistle":"three-chim","firing":3,"drains":{"seconds":61},"front":{"effect":"flikker","__proto__":1},"coupler":1.5,"outputs":[9],"notches":[1,2],"pause":0.25}',
    );
    const lines = [
      'wistle: there is no such name; the names are whistle, firing, cylinders, drains, front, coupler, outputs, notches, pause; nearest: "whistle"',
      'whistle: "three-chim" is not an option; the options are "one-note", "three-chime"; nearest: "three-chime"',
      'firing: 3 is not an option; the options are "coal", "wood", "oil"',
      "drains.seconds: 61 is out of range; allowed is 1 to 60 s",
      "front.__proto__: there is no such name; the names are effect, ledCorrection",
      'front.effect: "flikker" is not an option; the options are "steady", "flicker"; nearest: "flicker"',
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
      "expected an object with settings (whistle, firing, cylinders, drains, front, coupler, outputs, notches, pause), got null",
    );
  });

  test("a CV whose value no option has, and everything else still decoded", () => {
    const cvs = decoder.defaults().with(141, 9).with(161, 0).with(160, 8).without(122);
    const result = decoder.tryDecode(cvs);
    const { whistle: _, drains: __, notches: ___, ...rest } = defaults;
    expect(result.value).toEqual(rest);
    expect(result.ok ? [] : result.issues.map((issue) => new CvError([issue]).message)).toEqual([
      "whistle: CV 141: no option has the stored number 9; the options are 0 one-note, 6 three-chime",
      "drains.seconds: CV 161: the stored number 0 is out of range; allowed is 1 to 60 s",
      "notches: CV 122: not in the CV set",
    ]);
    expect(() => decoder.decode(cvs)).toThrow("whistle: CV 141: no option has the stored number 9");
    // What could be read can be written again as it is.
    expect(decoder.encode(result.value ?? {}, cvs).equals(cvs)).toBe(true);
  });

  test("a CV set that lacks CVs: the list of what is missing, feature by feature", () => {
    const result = decoder.tryDecode(CvSet.empty);
    expect(result.ok ? [] : result.issues.map(({ code, path }) => `${code} ${path}`)).toEqual([
      "missing-cv whistle",
      "missing-cv firing",
      "missing-cv cylinders",
      "missing-cv drains",
      "missing-cv front.effect",
      "missing-cv front.ledCorrection",
      "missing-cv coupler",
      "missing-cv outputs",
      "missing-cv notches",
      "missing-cv pause",
    ]);
    expect(result.value).toEqual({ front: {} });
  });

  test("nearest is asked for, and does not stick to the set", () => {
    const set = decoder.encode({ pause: 0.26 }, undefined, { nearest: true });
    expect(set.get(162)).toBe(3);
    expect(() => decoder.encode({ pause: 0.21 }, set)).toThrow("0.21 cannot be stored exactly");
    expect(decoder.patch({ pause: 0.24 }, { nearest: true }).toJSON().cvs).toEqual({ 162: 2 });
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
