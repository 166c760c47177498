import { need, needIn } from "../cv/argument.js";
import { isByte } from "../cv/cvpatch.js";
import { notAText } from "../cv/faults.js";
import type { CvReader } from "../cv/image.js";
import { CvError, fault, type Issue } from "../cv/issue.js";
import { aRun, type BytePlace, type Run } from "../cv/place.js";
import { type About, anAbout, Codec } from "./codec.js";

const badPad = /* @__PURE__ */ fault(
  "text-pad",
  "expected a whole number from 0 to 255 as the pad byte, got {found}",
);
const behindEnd = /* @__PURE__ */ fault(
  "stored-text-end",
  "every byte behind the end of the text must be {pad}, got {found}",
);
const noCharacter = /* @__PURE__ */ fault("stored-character", "a character is 32 to 126, got {found}");
const tooLong = /* @__PURE__ */ fault("text-length", "at most {length} characters fit, got {found}");
const notPrintable = /* @__PURE__ */ fault(
  "text-characters",
  "only printable ASCII characters can be stored, got {found}",
);
const endsWithPad = /* @__PURE__ */ fault(
  "text-end",
  "the text must not end with the fill character {pad}, got {found}",
);

/** The characters that can be stored. */
export const printable = /^[ -~]*$/;

/**
 * A short text in printable ASCII, one character in each CV of a run, filled up with a pad byte. Bytes
 * behind the first pad byte must be pad bytes too: anything else there would be lost on writing back, so
 * it is an error when it is read.
 * @param run The CVs.
 * @param options `pad`: the byte that fills what the text leaves over, 0-255; 0 without it. Label, note, meaning, source.
 * @throws `CvError` when the pad is not a byte.
 * @example
 * import { cv, CvSet, text } from "cvset";
 * const name = text(cv(186).through(189));
 * name.encode("No9").toJSON().cvs; // { "186": 78, "187": 111, "188": 57, "189": 0 }
 * name.decode(CvSet.from({ 186: 72, 187: 105, 188: 0, 189: 0 })); // "Hi"
 */
/* @__NO_SIDE_EFFECTS__ */
export function text(run: Run, options: About & { readonly pad?: number } = {}): Codec<string> {
  need(aRun, run, "run");
  needIn(anAbout, options, "options");
  const { pad = 0 } = options;
  const places = run.places;
  if (!isByte(pad)) throw new CvError([badPad({ found: pad }, { places: places[0]?.bitsOfCvs ?? [] })]);
  const keys = places.map(({ key }) => key);
  const length = keys.length;
  // A pad that is a character itself can be within the text, only not at its end.
  const inside = pad >= 32 && pad < 127;
  const padText = String.fromCharCode(pad);

  return new Codec<string>({
    data: { kind: "text", run, pad },
    places,
    about: options,
    read(cvs) {
      let end = length;
      while (end > 0 && cvs.get(keys[end - 1] as number) === pad) end--;
      let value = "";
      let good = true;
      for (let i = 0; i < length; i++) {
        const byte = cvs.get(keys[i] as number);
        if (byte === pad && !inside && i < end) end = i;
        good &&= i < end ? byte >= 32 && byte <= 126 : byte === pad;
        if (i < end) value += String.fromCharCode(byte);
      }
      if (!good) throw new CvError(badBytes(places, cvs, end, pad));
      return value;
    },
    write(cvs, value) {
      if (typeof value !== "string") throw new CvError([notAText({ found: value })]);
      const found = value;
      if (value.length > length) throw new CvError([tooLong({ length, found })]);
      if (!printable.test(value)) throw new CvError([notPrintable({ found })]);
      if (value.endsWith(padText)) throw new CvError([endsWithPad({ pad: padText, found })]);
      for (let i = 0; i < length; i++) {
        cvs.put(keys[i] as number, 255, i < value.length ? value.charCodeAt(i) : pad);
      }
    },
  });
}

/** The bytes that are no characters, and those behind the end that are not the pad. */
function badBytes(places: readonly BytePlace[], cvs: CvReader, end: number, pad: number): Issue[] {
  return places.flatMap((place, i) => {
    const found = cvs.get(place.key);
    const where = { places: place.bitsOfCvs };
    if (i >= end) return found === pad ? [] : [behindEnd({ pad, found }, where)];
    return found >= 32 && found <= 126 ? [] : [noCharacter({ found }, where)];
  });
}
