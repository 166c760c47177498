// What a broken law says, word for word: it is all that somebody who describes a decoder gets to see.
import { type AnyCodec, CvError, cv, defineCodec, defineCodecKind, defineDecoder, flag, level } from "cvset";
import { checkCodecLaws, checkLaws } from "cvset/testing";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Codec } from "../../src/codec/codec.js";
import { fault } from "../../src/cv/issue.js";

const low = cv(50).bits(0, 3);
const onlyOne = fault("custom", "expected 1");

/** A codec of four bits, as this library makes them, with something else in its place. */
const tried = (more: Partial<Codec<number>["spec"]>): AnyCodec =>
  new Codec<number>({
    kind: "tried",
    data: { kind: "custom", parts: {} },
    places: [low],
    read: (cvs) => low.read(cvs),
    write: (cvs, n) => low.write(cvs, n as number),
    ...more,
  }) as AnyCodec;

const refuse = (): never => {
  throw new CvError([onlyOne({})]);
};
let calls = 0;

test.each<[what: string, codec: AnyCodec, options: object, lines: string[]]>([
  [
    "a value that does not come back",
    tried({ write: (cvs, n) => low.write(cvs, (n as number) & 7) }),
    {},
    [
      "decode(encode(v)) is v",
      "it came back as something else: 8 came back as 0",
      "value: 8",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "what is decoded and written as something else",
    tried({ tryRead: (cvs) => low.read(cvs) ^ 1 }),
    {},
    ["encoding what was decoded changes nothing", "decoded 1; CV 50 went from 0 to 1", 'CVs: { "50": 0 }'],
  ],
  [
    "a value that is written otherwise the next time",
    tried({ read: () => 0, write: (cvs, n) => n && low.write(cvs, 3 - (calls++ % 2)) }),
    { equal: () => true },
    // Which of the two comes first depends on how many calls there were before.
    ["encoding twice is the same as encoding once", "CV 50 went from 3 to 2", "value: 1", 'CVs: { "50": 0 }'],
  ],
  [
    "bits of others",
    tried({
      read: (cvs) => (low.read(cvs) === 9 && cvs.get(cv(99).key) !== 1 ? refuse() : low.read(cvs)),
      write(cvs, n) {
        low.write(cvs, n as number);
        if (n === 9) cvs.put(cv(99).key, 255, 1);
      },
    }),
    {},
    [
      "it touches only its own bits",
      "CV 50 went from 0 to 9, CV 99 went from absent to 1",
      "value: 9",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "decode gives a value, and tryDecode none",
    tried({ tryRead: (cvs) => (low.read(cvs) > 3 ? undefined : low.read(cvs)) }),
    {},
    [
      "tryDecode and tryEncode agree with decode and encode",
      "decode gives 4, tryDecode undefined",
      "value: 0",
      'CVs: { "50": 4 }',
    ],
  ],
  [
    "decode refuses what tryDecode reads",
    tried({ read: (cvs) => (low.read(cvs) > 3 ? refuse() : low.read(cvs)), tryRead: (cvs) => low.read(cvs) }),
    { values: fc.constant(1) },
    [
      "tryDecode and tryEncode agree with decode and encode",
      "decode and tryDecode differ: only decode refuses it",
      "value: 1",
      'CVs: { "50": 244 }',
    ],
  ],
  [
    "decode and tryDecode give two values",
    tried({
      tryRead: (cvs) => String(low.read(cvs)) as never,
      write: (cvs, n) => low.write(cvs, Number(n)),
    }),
    {},
    [
      "tryDecode and tryEncode agree with decode and encode",
      'decode gives 0, tryDecode "0"',
      "value: 0",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "a check that is stricter than writing, with many words",
    tried({
      check(value, report) {
        if (value !== 1) report(Array.from({ length: 7 }, () => onlyOne({})));
      },
    }),
    {},
    [
      "tryDecode and tryEncode agree with decode and encode",
      "tryEncode refuses it: expected 1",
      ...Array.from({ length: 4 }, () => "expected 1"),
      "and 2 more",
      "value: 0",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "a check that is milder than writing",
    tried({ check: () => {} }),
    {},
    [
      "what is accepted can be decoded, and what is not is a CvError",
      'encode and the check of a value differ: expected a whole number from 0 to 15, got ""',
      'value: ""',
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "what is accepted and cannot be decoded",
    tried({ read: (cvs) => (low.read(cvs) > 8 ? refuse() : low.read(cvs)) }),
    { values: fc.constant(1) },
    [
      "what is accepted can be decoded, and what is not is a CvError",
      "it cannot be decoded: expected 1",
      "value: 9",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "tryEncode refuses what encode writes",
    tried({
      read: () => 1,
      write: () => {},
      check(value, report) {
        if (value !== 1) report([onlyOne({})]);
      },
    }),
    { values: fc.constant(1) },
    [
      "what is accepted can be decoded, and what is not is a CvError",
      "encode and tryEncode differ: expected 1",
      "value: 0",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "tryDecode refuses what decode reads",
    tried({ tryRead: (cvs, report) => (low.read(cvs) ? low.read(cvs) : void report([onlyOne({})])) }),
    {},
    [
      "tryDecode and tryEncode agree with decode and encode",
      "decode and tryDecode differ: expected 1",
      "value: 0",
      'CVs: { "50": 0 }',
    ],
  ],
  [
    "an error that is no CvError",
    tried({}),
    {
      equal() {
        throw new TypeError("no");
      },
    },
    ["decode(encode(v)) is v", "TypeError: no", "value: 0", 'CVs: { "50": 0 }'],
  ],
  [
    "something thrown that is no error",
    tried({}),
    {
      equal() {
        throw "odd";
      },
    },
    ["decode(encode(v)) is v", "odd", "value: 0", 'CVs: { "50": 0 }'],
  ],
])("%s", (_, codec, options, lines) => {
  const check = (): void =>
    checkCodecLaws(codec, { seed: 1, values: fc.integer({ min: 0, max: 15 }), ...options } as never);
  let message = "";
  try {
    check();
  } catch (error) {
    message = (error as Error).message;
  }
  expect(message.replace("from 2 to 3", "from 3 to 2").split("\n")).toEqual([
    `codec "tried" breaks a law: ${lines[0]}`,
    ...lines.slice(1),
    "seed: 1",
  ]);
});

test("each law is tried 200 times, or as often as is said", () => {
  // Two of the laws compare values.
  const compared = (options: object): number => {
    let count = 0;
    const equal = () => ++count > 0;
    checkCodecLaws(tried({}), { values: fc.constant(1), equal, ...options } as never);
    return count / 2;
  };
  expect([compared({}), compared({ runs: 3 })]).toEqual([200, 3]);
});

test("the same seed finds the same, and without one the message names it", () => {
  const odd = tried({ read: (cvs) => (low.read(cvs) === 5 ? 4 : low.read(cvs)) });
  const message = (options: object): string => {
    try {
      checkCodecLaws(odd, options);
    } catch (error) {
      return (error as Error).message;
    }
    return "";
  };
  const seed = Number(/\nseed: (-?\d+)$/.exec(message({}))?.[1]);
  expect(Number.isInteger(seed)).toBe(true);
  expect(message({ seed })).toBe(message({ seed }));
  expect(message({ seed })).toMatch(new RegExp(`\nseed: ${seed}$`));
});

describe("a decoder whose description in JSON makes another one", () => {
  const place = cv(60);
  type Ways = {
    readonly read?: (n: number) => number;
    readonly write?: (n: number) => number;
    readonly json?: () => { readonly [key: string]: number };
  };
  const made = ({ read = (n) => n, write = (n) => n, json = () => ({}) }: Ways): AnyCodec =>
    defineCodec<number>({
      kind: "made",
      places: [place],
      read: (cvs) => read(place.read(cvs)),
      write: (cvs, n) => place.write(cvs, write(n)),
      json,
    }) as AnyCodec;
  const even = (n: number): number => (n % 2 ? refuse() : n);

  test.each<[what: string, described: Ways, again: Ways, wrong: string[]]>([
    [
      "another description",
      {},
      { json: () => ({ size: 3 }) },
      [
        'its own description differs: {"id":"tried","name":"Tried","kind":"multifunction","features":{"lamp":{"codec":"flag","place":{"cv":61,"bit":0}},"made":{"codec":"made","size":3},"volume":{"codec":"level","place":62}}}',
        "settings: {}",
      ],
    ],
    [
      "another value",
      {},
      { read: (n) => n ^ 1, write: (n) => n ^ 1 },
      [
        'decoded: {"lamp":false,"made":0,"volume":0}; after JSON: {"lamp":false,"made":1,"volume":0}',
        "settings: {}",
      ],
    ],
    [
      "no value",
      {},
      { read: (n) => (n > 4 ? refuse() : n), write: (n) => (n > 4 ? refuse() : n) },
      ["only one of them can encode it", 'settings: {"made":141}'],
    ],
    ["other CVs", {}, { write: (n) => n & 127 }, ["CV 60 went from 141 to 13", 'settings: {"made":141}']],
    ["no CVs", {}, { write: even }, ["only one of them can encode it", 'settings: {"made":141}']],
    ["nothing", {}, {}, []],
  ])("%s", (_, described, again, wrong) => {
    const kind = defineCodecKind({ needs: {}, may: { size: "number" }, make: () => made(again) });
    const decoder = defineDecoder({
      id: "tried",
      name: "Tried",
      kind: "multifunction",
      features: { lamp: flag(cv(61).bit(0)), made: made(described), volume: level(cv(62)) },
    });
    let message = "";
    try {
      checkLaws(decoder, { codecs: { made: kind }, seed: 1, runs: 60 });
    } catch (error) {
      message = (error as Error).message;
    }
    const lines = [
      'decoder "tried" breaks a law: its description in JSON makes the same decoder',
      ...wrong,
      'CVs: { "60": 0, "61": 0, "62": 0 }',
      "to see it again: checkLaws(decoder, { seed: 1 })",
    ];
    expect(message.split("\n")).toEqual(wrong.length ? lines : [""]);
  });
});
