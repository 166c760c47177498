import {
  type AnyCodec,
  CvError,
  CvSet,
  cv,
  defineCodec,
  defineDecoder,
  explain,
  flag,
  jsonOf,
  level,
  linesOf,
  messageOf,
  partsOf,
  type Result,
  record,
  schemaOf,
  switched,
  textOf,
  type ValueOf,
  variant,
} from "cvset";
import { checkCodecLaws, valuesOf } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, expectTypeOf, test } from "vitest";

const chime = record(
  { tones: level(cv(131), { max: 8 }), tempo: level(cv(132), { min: 1, max: 200, unit: "/min" }) },
  { label: "Chime", source: "page 7" },
);
const pin = cv(130);

/** Its value is that of the chime, while another CV holds a number. */
const locked = defineCodec({
  kind: "locked",
  item: chime,
  places: [pin],
  read(cvs, item) {
    if (pin.read(cvs) !== 77) throw new Error("CV 130 must hold 77");
    return item.read(cvs);
  },
  write(cvs, value, item) {
    pin.write(cvs, 77);
    item.write(cvs, value);
  },
  json: (item) => ({ item, pin: pin.toJSON() }),
});

const said = (result: Result<unknown>): string[] =>
  result.ok ? [] : result.issues.map((issue) => messageOf(issue));

describe("a codec around another one", () => {
  test("has the value, the type and the bits of both", () => {
    expectTypeOf<ValueOf<typeof locked>>().toEqualTypeOf<ValueOf<typeof chime>>();
    expect(locked.encode({ tones: 3, tempo: 90 }).toJSON().cvs).toEqual({ 130: 77, 131: 3, 132: 90 });
    expect(locked.encode({ tones: 3 }).toJSON().cvs).toEqual({ 130: 77, 131: 3 });
    expect(locked.decode(CvSet.from({ 130: 77, 131: 3, 132: 90 }))).toEqual({ tones: 3, tempo: 90 });
    expect(locked.bits.map(({ cv: name }) => name)).toEqual(["130", "131", "132"]);
    checkCodecLaws(locked, { runs: 100 });
    checkCodecLaws(switched(cv(140).bit(0), locked), { runs: 60 });
  });

  test("keeps every issue of the inner codec, with its path and source", () => {
    expect(said(locked.tryEncode({ tones: 9, tempo: 0, pitch: 1 }))).toEqual([
      "pitch: there is no such name; the names are tones, tempo",
      "tones: 9 is out of range; allowed is 0 to 8 (page 7)",
      "tempo: 0 is out of range; allowed is 1 to 200 /min (page 7)",
    ]);
    expect(said(record({ locked }).tryEncode({ locked: { tones: 9 } }))).toEqual([
      "locked.tones: 9 is out of range; allowed is 0 to 8 (page 7)",
    ]);
    expect(said(locked.tryEncode(3))[0]).toContain("expected an object with settings (tones, tempo)");
    // As a whole, each field must be there.
    expect(said(switched(cv(140).bit(0), locked).tryEncode({ tones: 1 }))).toEqual([
      "tempo: a value is needed",
    ]);
  });

  test("keeps what can be read in spite of an issue, and all issues", () => {
    const result = record({ locked }).tryDecode(CvSet.from({ 130: 77, 131: 9, 132: 90 }));
    expect(result.value).toEqual({ locked: { tempo: 90 } });
    expect(said(result)).toEqual([
      "locked.tones: CV 131: the stored number 9 is out of range; allowed is 0 to 8 (page 7)",
    ]);
    expect(said(locked.tryDecode(CvSet.from({ 130: 7, 131: 9, 132: 0 })))).toEqual([
      "locked: CV 130 must hold 77",
    ]);
    expect(said(locked.tryDecode(CvSet.from({ 130: 77 })))).toHaveLength(2);
    expect(said(locked.tryDecode(CvSet.empty))).toEqual(["CV 130-132: not in the CV set"]);
    expect(() => locked.decode(CvSet.from({ 130: 77, 131: 9, 132: 90 }))).toThrow(CvError);
  });

  test("keeps lines, words, schema, parts and JSON form", () => {
    const cvs = CvSet.from({ 130: 77, 131: 3, 132: 90 });
    expect(linesOf(locked, cvs, "chime").map(({ path, text }) => `${path}: ${text}`)).toEqual([
      "chime.tones: 3",
      "chime.tempo: 90 /min",
    ]);
    const decoder = defineDecoder({ id: "x", name: "X", kind: "multifunction", features: { locked } });
    expect(explain(decoder, cvs.with(131, 9)).lines.map(({ path }) => path)).toEqual(["locked.tempo"]);
    expect(textOf(locked, { tones: 1, tempo: 2 })).toBe('{"tones":1,"tempo":2}');
    expect(schemaOf(locked)).toEqual(schemaOf(chime));
    expect(schemaOf(locked, true)).toMatchObject({ required: ["tones", "tempo"] });
    expect(partsOf(locked)).toEqual(partsOf(chime));
    expect(locked.about).toEqual({ label: "Chime", source: "page 7" });
    expect(jsonOf(locked)).toEqual({
      codec: "locked",
      item: jsonOf(chime as AnyCodec),
      pin: 130,
      label: "Chime",
      source: "page 7",
    });
    expect(() => jsonOf(defineCodec({ kind: "bare", item: chime }) as AnyCodec)).toThrow(
      'kind "bare" holds code',
    );
    const code = defineCodec({ kind: "around code", item: bcd, json: (item) => ({ item }) });
    expect(() => jsonOf(code as AnyCodec)).toThrow('kind "bcd" holds code');
  });

  test("the lines of a switch and of a variant are kept too", () => {
    const blow = variant(cv(150).bit(0), {
      timed: { value: 1, fields: { seconds: level(cv(151)) } },
      no: { value: 0, fields: {} },
    });
    const around = defineCodec({ kind: "around", item: switched(cv(150).bit(7), blow) });
    const lines = linesOf(around, CvSet.from({ 150: 129, 151: 4 }), "blow");
    expect(lines.map(({ path, text }) => `${path}: ${text}`)).toEqual([
      "blow: on",
      "blow.kind: timed",
      "blow.seconds: 4",
    ]);
    expect(Object.keys(partsOf(around))).toEqual(["seconds"]);
    expect(around.decode(CvSet.from({ 150: 129, 151: 4 }))).toEqual({ kind: "timed", seconds: 4 });
    expect(around.tryDecode(CvSet.from({ 150: 0 })).value).toBe("off");
    checkCodecLaws(around, { runs: 60 });
  });

  test("it may change values, with words, a schema and an issue of its own", () => {
    const hour = defineCodec({
      kind: "hour",
      item: level(cv(160), { max: 23 }),
      read: (cvs, item) => `${item.read(cvs)}:00`,
      write: (cvs, value: string, item) => {
        const [, hours] = /^(\d+):00$/.exec(value) ?? [];
        if (hours === undefined) throw new Error(`expected a full hour such as 7:00, got ${value}`);
        item.write(cvs, Number(hours));
      },
      text: (value) => `at ${value}`,
      schema: (_, item) => ({ type: "string", pattern: "^\\d+:00$", description: `0 to ${item["maximum"]}` }),
    });
    expectTypeOf(hour.decode(CvSet.from({ 160: 7 }))).toEqualTypeOf<string>();
    expect(hour.decode(CvSet.from({ 160: 7 }))).toBe("7:00");
    expect(hour.encode("23:00").toJSON().cvs).toEqual({ 160: 23 });
    expect(said(hour.tryEncode("24:00"))).toEqual(["24 is out of range; allowed is 0 to 23"]);
    expect(said(hour.tryEncode("noon"))).toEqual(["hour: expected a full hour such as 7:00, got noon"]);
    expect(linesOf(hour, CvSet.from({ 160: 7 }))).toMatchObject([{ path: "", text: "at 7:00" }]);
    expect(schemaOf(hour)).toEqual({ type: "string", pattern: "^\\d+:00$", description: "0 to 23" });
    checkCodecLaws(hour, { values: fc.integer({ min: 0, max: 23 }).map((n) => `${n}:00`), runs: 60 });
  });

  test("a write outside its bits and those of the inner codec is refused, also when values are only checked", () => {
    const greedy = defineCodec({
      kind: "greedy",
      item: flag(cv(170).bit(0)),
      write(cvs, value, item) {
        item.write(cvs, value);
        cv(171).write(cvs, 1);
      },
    });
    expect(said(greedy.tryEncode(true))).toEqual([
      'CV 171: a codec of kind "greedy" writes bits that it does not own',
    ]);
  });

  test("each of several values that it gives the inner codec is checked, and what it refuses itself comes after them", () => {
    const twice = (fails: boolean) =>
      defineCodec({
        kind: "twice",
        item: level(cv(172), { max: 9 }),
        write(cvs, values: readonly number[], item) {
          for (const value of values) item.write(cvs, value);
          if (fails) throw new Error("never");
        },
        read: (cvs, item) => [item.read(cvs)],
      });
    expect(said(twice(false).tryEncode([10, 11]))).toEqual([
      "10 is out of range; allowed is 0 to 9",
      "11 is out of range; allowed is 0 to 9",
    ]);
    expect(said(twice(true).tryEncode([10]))).toEqual(["10 is out of range; allowed is 0 to 9"]);
    expect(said(twice(true).tryEncode([9]))).toEqual(["twice: never"]);
  });

  test("what is put into its definition afterwards changes nothing", () => {
    const spec = {
      kind: "late",
      item: flag(cv(170).bit(0)),
      schema: () => ({ type: "boolean" }),
      json: () => ({ a: 1 }),
    };
    const late = defineCodec(spec);
    const never = (): never => {
      throw new Error("changed");
    };
    Object.assign(spec, { schema: never, json: never, read: never, write: never, item: never });
    expect(late.decode(CvSet.from({ 170: 1 }))).toBe(true);
    expect([schemaOf(late), jsonOf(late)]).toEqual([{ type: "boolean" }, { codec: "late", a: 1 }]);
  });

  test("its values are those of the inner codec as far as it takes them", () => {
    const even = defineCodec({
      kind: "even",
      item: record({ a: level(cv(1)), b: level(cv(2)), c: level(cv(3)) }),
      read(cvs, item) {
        const value = item.read(cvs);
        if (value.a % 16) throw new Error("not a multiple of 16");
        return value;
      },
      write(cvs, value, item) {
        if (typeof value?.a === "number" && value.a % 16) throw new Error("not a multiple of 16");
        item.write(cvs, value);
      },
    });
    const all = fc.sample(valuesOf(even), 100);
    expect(all.every(({ a }) => a % 16 === 0)).toBe(true);
    checkCodecLaws(even, { runs: 60 });
  });
});

const bcd = defineCodec<number>({
  kind: "bcd",
  places: [cv(180)],
  read: (cvs) => Number(cv(180).read(cvs).toString(16)),
  write: (cvs, n) => cv(180).write(cvs, Number.parseInt(`${n}`, 16)),
});
