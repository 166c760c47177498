import { CvSet, choice, cv, defineCodec, level, messageOf, record, table } from "cvset";
import { expect, test } from "vitest";

const fire = record(
  {
    oil: level(cv(1), { max: 9, source: "Rulebook (1912), page 3" }),
    coal: choice(cv(2), { lump: 1 }),
  },
  { source: "Rulebook (1912), chapter 2" },
);

test("an issue says where its rule is laid down: the codec's own, else that of the codec around it", () => {
  const read = fire.tryDecode(CvSet.from({ 1: 10, 2: 7 }));
  expect(read.ok || read.issues.map(({ path, source }) => [path, source])).toEqual([
    ["oil", "Rulebook (1912), page 3"],
    ["coal", "Rulebook (1912), chapter 2"],
  ]);
  const written = fire.tryEncode({ oil: 10.5, coal: "dust" });
  expect(written.ok || written.issues.map(({ path, source }) => [path, source])).toEqual([
    ["oil", "Rulebook (1912), page 3"],
    ["coal", "Rulebook (1912), chapter 2"],
  ]);
  expect(() => fire.decode(CvSet.from({ 1: 10, 2: 1 }))).toThrow("(Rulebook (1912), page 3)");
  expect(() => fire.encode({ oil: 10 })).toThrow("(Rulebook (1912), page 3)");
});

test("what no source is the reason of has none", () => {
  const jammed = defineCodec<number>({
    kind: "gear",
    places: [cv(3)],
    read() {
      throw new Error("jammed");
    },
    write() {
      throw new Error("jammed");
    },
  });
  const train = record({ jammed }, { source: "Rulebook (1912), chapter 3" });
  const many = record(
    { list: table(cv(1).through(1024), { max: 1 }) },
    { source: "Rulebook (1912), chapter 4" },
  );
  const tooMany = many.tryEncode({ list: new Array(1024).fill(9) });
  expect(tooMany.ok || tooMany.issues.slice(-2).map(({ code, source }) => [code, source])).toEqual([
    ["range", "Rulebook (1912), chapter 4"],
    ["more-issues", undefined],
  ]);
  for (const result of [train.tryDecode(CvSet.from({ 3: 1 })), train.tryEncode({ jammed: 1 })]) {
    expect(result.ok || result.issues.map((issue) => [issue.code, issue.source])).toEqual([
      ["custom", undefined],
    ]);
  }
  for (const result of [
    fire.tryDecode(CvSet.from({ 2: 1 })),
    fire.tryEncode({ gas: 1 }),
    fire.tryEncode({ oil: "much" }),
    fire.tryEncode(7),
  ]) {
    expect(result.ok || result.issues.map((issue) => issue.source)).toEqual([undefined]);
    expect(result.ok || result.issues.map((issue) => messageOf(issue)).join()).not.toContain("Rulebook");
  }
});
