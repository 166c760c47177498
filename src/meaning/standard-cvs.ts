import type { CvSet } from "../cv/cvset.js";
import { fault, type Issue } from "../cv/issue.js";
import { toKey } from "../cv/name.js";
import type { DecoderKind } from "../decoder/decoder.js";
import { consistInUse } from "../standard/address-in-use.js";
import { factsOf } from "../standard/cv-facts.js";
import type { Setting } from "./settings.js";

const readOnly = /* @__PURE__ */ fault("read-only", "the decoder gives it itself; it cannot be written");
const volatile = /* @__PURE__ */ fault("volatile", "the decoder changes it by itself");
const openPage = /* @__PURE__ */ fault("open-page", "it is the index page that is open, not a setting");
const ownTable = /* @__PURE__ */ fault(
  "own-table",
  "it chooses one of the decoder's own speed tables, which differ",
);
const locked = /* @__PURE__ */ fault(
  "locked",
  "CV 15 is {key} and CV 16 is {lock}: the decoder obeys no CV write until they are equal",
);
const inConsist = /* @__PURE__ */ fault(
  "in-consist",
  "the locomotive stays in consist {number}, and obeys no speed sent to its own address",
);
const otherMotor = /* @__PURE__ */ fault(
  "other-motor-drive",
  "the numbers are the same; another motor drive runs at other speeds with them, so measure again",
);

/** Whether a CV belongs to the decoder itself: it is read-only, changes by itself, or says which page is open. */
export function isDecodersOwn(cv: string, kind: DecoderKind): boolean {
  const { readOnly: fixed, volatile: changing } = factsOf(toKey(cv), kind);
  return fixed || changing || cv === "31" || cv === "32";
}

/** Why a setting of the standard stays with its decoder; undefined for one that is carried. */
export function staysBehind({ codec }: Setting, cvs: CvSet, kind: DecoderKind): Issue | undefined {
  const keys = codec.bits.map(({ cv }) => toKey(cv));
  const source = (cv: string): { source: string } => ({ source: `S-9.2.2 (July 2012), CV ${cv}` });
  if (keys.some((key) => factsOf(key, kind).readOnly)) return readOnly({}, source("7 and 8"));
  if (keys.some((key) => factsOf(key, kind).volatile)) return volatile({}, source("880-895"));
  if (keys.every((key) => key === 31 || key === 32)) return openPage({}, source("31 and 32"));
  const cv25 = cvs.get(25) ?? 0;
  // 2 is the straight line, which is the same for all decoders.
  if (keys.every((key) => key === 25) && cv25 > 2 && cv25 < 128) return ownTable({}, source("25"));
  return undefined;
}

/** What is to be known about a setting of the standard that is carried; undefined for most. */
export function remarkOn({ codec }: Setting, cvs: CvSet): Issue | undefined {
  const owns = (...numbers: readonly number[]): boolean =>
    codec.bits.some(({ cv }) => numbers.includes(Number(cv)));
  const [key, lock] = [cvs.get(15), cvs.get(16)];
  if (owns(15, 16) && key !== undefined && lock !== undefined && key !== lock) {
    return locked({ key, lock }, { source: "S-9.2.2 (July 2012), CV 15 and 16" });
  }
  const consist = consistInUse(cvs);
  if (owns(19) && consist)
    return inConsist({ number: consist.number }, { source: "S-9.2.2 (July 2012), CV 19" });
  return owns(2, 5, 6, 9, 10, 65, 67) ? otherMotor({}) : undefined;
}
