import { CvError, type Issue } from "../cv/issue.js";
import type { Run } from "../cv/place.js";
import { type About, Codec, definitionError, typeError } from "./codec.js";

/** What a {@link text} may say besides its run of CVs. */
export interface TextOptions extends About {
  /** The byte that fills what the text leaves over, 0-255; 0 without it. */
  readonly pad?: number;
}

const printable = /^[ -~]*$/;

/**
 * A short text in printable ASCII, one character in each CV of a run, filled up with a pad byte. Bytes
 * behind the first pad byte must be pad bytes too: anything else there would be lost on writing back, so
 * it is an error when it is read.
 * @param run The CVs.
 * @param options The pad byte.
 * @throws `CvError` when the pad is not a byte.
 * @example
 * import { cv, CvSet, text } from "cvset";
 * const name = text(cv(200).through(203));
 * name.encode("No9").toJSON().cvs; // { "200": 78, "201": 111, "202": 57, "203": 0 }
 * name.decode(CvSet.from({ 200: 72, 201: 105, 202: 0, 203: 0 })); // "Hi"
 */
/* @__NO_SIDE_EFFECTS__ */
export function text(run: Run, options: TextOptions = {}): Codec<string> {
  const { pad = 0, ...about } = options;
  const places = run.places;
  if (!Number.isInteger(pad) || pad < 0 || pad > 255) {
    throw definitionError(`pad is ${pad}; it is a byte, 0 to 255`, places[0]?.bitsOfCvs);
  }
  const length = places.length;
  // A pad that is a character itself can be within the text, only not at its end.
  const inside = pad >= 32 && pad < 127;

  return new Codec<string>({
    kind: "text",
    places,
    about,
    read(cvs) {
      const bytes = places.map((place) => cvs.get(place.key));
      let end = length;
      if (inside) while (end > 0 && bytes[end - 1] === pad) end--;
      else if (bytes.includes(pad)) end = bytes.indexOf(pad);
      const issues: Issue[] = [];
      bytes.forEach((byte, i) => {
        const wanted = i >= end ? byte === pad : byte >= 32 && byte < 127;
        if (wanted) return;
        issues.push({
          code: "content",
          path: "",
          places: places[i]?.bitsOfCvs ?? [],
          expected: i >= end ? `behind the end of the text every byte is ${pad}` : "a character is 32 to 126",
          found: byte,
        });
      });
      if (issues.length) throw new CvError(issues);
      return String.fromCharCode(...bytes.slice(0, end));
    },
    write(cvs, value) {
      if (typeof value !== "string") throw typeError(`a text of up to ${length} characters`, value);
      const fault =
        value.length > length
          ? `at most ${length} characters fit`
          : !printable.test(value)
            ? "only printable ASCII characters can be stored"
            : inside && value.endsWith(String.fromCharCode(pad))
              ? `it must not end with the fill character "${String.fromCharCode(pad)}"`
              : "";
      if (fault) throw new CvError([{ code: "content", path: "", expected: fault, found: value }]);
      places.forEach((place, i) => {
        cvs.put(place.key, 255, i < value.length ? value.charCodeAt(i) : pad);
      });
    },
    schema: () => ({ type: "string", maxLength: length, pattern: printable.source }),
    describe: () => ({ place: run.toJSON(), ...(options.pad !== undefined && { pad }) }),
  });
}
