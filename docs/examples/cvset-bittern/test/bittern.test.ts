import assert from "node:assert/strict";
import { test } from "node:test";
import { CvSet, decoderFromJson, describe, explain, messageOf } from "cvset";
import { checkSet, standardRules } from "cvset/check";
import { meaningNotes } from "cvset/meaning";
import { plan } from "cvset/plan";
import { checkLaws } from "cvset/testing";
import { bittern, codecs, rules, terms } from "../src/index.js";

test("the decoder keeps every law that tools rely on", () => {
  assert.deepEqual(checkLaws(bittern, { codecs, runs: 30 }).left, []);
});

test("a time is two bytes of decimal digits", () => {
  const cvs = bittern.encode({ start: "19:45" });
  assert.deepEqual([cvs.get(613), cvs.get(614)], [0x19, 0x45]);
  const wrong = bittern.tryDecode(cvs.with(613, 0x1a));
  assert.equal(wrong.ok || wrong.issues.map((issue) => messageOf(issue))[0], "start: bcd-clock: 26 is not 0 to 23 in decimal digits");
  assert.throws(() => bittern.encode({ start: "24:00" }), /start: bcd-clock: expected a time from "00:00" to "23:59"/);
});

test("what is guarded writes its key, and is refused without it; the rest is read all the same", () => {
  const cvs = bittern.encode({ strike: { bell: "small", volume: 3 } }, bittern.defaults().with(640, 0));
  assert.equal(cvs.get(640), 165);
  const without = bittern.tryDecode(cvs.with(640, 0));
  assert.deepEqual(Object.keys(without.value ?? {}), ["start", "quiet"]);
  assert.deepEqual(
    explain(bittern, cvs).lines.map(({ path, text }) => `${path}: ${text}`),
    ["start: 12:00 h", "quiet: off", "strike.bell: Small bell", "strike.volume: 3", "check: 67, worked out from CV 613-614, CV 619-620, CV 640"],
  );
});

test("the check byte follows, is checked, and is written last", () => {
  const fresh = bittern.defaults();
  const later = bittern.encode({ start: "07:30" }, fresh);
  assert.notEqual(later.get(650), fresh.get(650));
  assert.equal(bittern.tryDecode(later.with(650, 1)).ok, false);
  assert.deepEqual(
    plan(fresh, later, { decoder: bittern }).steps.map(({ cv }) => cv),
    ["613", "614", "650"],
  );
});

test("its rules and terms are known to the check and to translation", () => {
  const cvs = bittern.encode({ quiet: { from: "22:00", to: "22:00" } });
  const found = checkSet(cvs, { decoder: bittern, rules: [...standardRules, ...rules] });
  assert.deepEqual(
    found.map(({ rule }) => rule).filter((rule) => rule.startsWith("bittern/")),
    ["bittern/never-quiet"],
  );
  assert.deepEqual(meaningNotes(bittern, { terms }), []);
  assert.notDeepEqual(meaningNotes(bittern), []);
});

test("its description comes back", () => {
  const again = decoderFromJson(JSON.parse(JSON.stringify(describe(bittern))), { codecs });
  assert.deepEqual(describe(again), describe(bittern));
  assert.deepEqual(again.decode(CvSet.from({ ...bittern.defaults().toJSON() })), bittern.decode(bittern.defaults()));
});
