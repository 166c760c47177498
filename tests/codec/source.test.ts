import { CvSet, choice, cv, level, messageOf, record } from "cvset";
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
