import { choice, cv, level, record, switched, variant } from "cvset";
import { expect, test } from "vitest";
import { keyName, keySettings } from "../../src/decoder/function-keys.js";

// Settings that hold the number of a function key are told by their meaning.

test("a level whose meaning ends in the word key, however deep it stands", () => {
  const key = (at: number, means: string) => level(cv(at), { max: 28, means });
  const features = {
    whistle: key(1, "whistle key"),
    any: key(2, "key"),
    turkey: key(3, "turkey"),
    keyed: key(4, "key of something"),
    none: level(cv(5)),
    option: choice(cv(6), { a: 0 }, { means: "bell key" }),
    keys: record({ bell: key(7, "bell key"), other: record({ horn: key(8, "horn key") }) }),
    pump: switched(cv(9).bit(0), record({ by: key(10, "pump key") })),
    bell: switched(cv(14).bit(0), key(15, "bell key")),
    clank: switched(cv(16).bit(0), key(17, "bell"), { means: "coupler key", label: "Coupler" }),
    lamp: variant(cv(11), {
      on: { value: 0, fields: { key: key(12, "lamp key") } },
      off: { value: 1, fields: { key: key(13, "lamp key") } },
    }),
  };
  expect(
    keySettings(features).map(({ path, codec }) => `${path}: CV ${codec.bits[0]?.cv}, ${codec.about.label}`),
  ).toEqual([
    "whistle: CV 1, undefined",
    "any: CV 2, undefined",
    "keys.bell: CV 7, undefined",
    "keys.other.horn: CV 8, undefined",
    "pump.by: CV 10, undefined",
    "bell: CV 15, undefined",
    "clank: CV 16, Coupler",
    "lamp.key: CV 12, undefined",
    "lamp.key: CV 13, undefined",
  ]);
  expect(keySettings({})).toEqual([]);
});

test("the name of a key", () => {
  expect([0, 1, 28].map(keyName)).toEqual(["FL", "F1", "F28"]);
});
