import { need } from "../cv/argument.js";
import { notAList } from "../cv/faults.js";
import { CvImage, type CvReader } from "../cv/image.js";
import { CvError, fault } from "../cv/issue.js";
import { lastCv } from "../cv/name.js";
import { aRun, type Run } from "../cv/place.js";
import { badStored, storedNumber } from "./amount.js";
import { type About, Codec, issuesOf, reportMissing } from "./codec.js";
import { readRun, writeRun } from "./run.js";
import { needScaleOptions, Scale, type ScaleOptions } from "./scale.js";

const wrongLength = /* @__PURE__ */ fault("table-length", "expected {length} numbers, got {found}");

/**
 * A list of numbers, one in each CV of a run.
 * @param run The CVs.
 * @param options Range, unit and scale of each number; label, note, meaning, source.
 * @throws `CvError` when min is above max, or either does not fit a byte.
 * @example
 * import { cv, CvSet, table } from "cvset";
 * const notches = table(cv(120).through(123), { max: 9 });
 * notches.encode([0, 3, 6, 9]).toJSON().cvs; // { "120": 0, "121": 3, "122": 6, "123": 9 }
 * notches.decode(CvSet.from({ 120: 1, 121: 2, 122: 3, 123: 4 })); // [1, 2, 3, 4]
 */
/* @__NO_SIDE_EFFECTS__ */
export function table(run: Run, options: ScaleOptions & About = {}): Codec<readonly number[]> {
  need(aRun, run, "run");
  needScaleOptions(options);
  const { label, note, means, source, ...scaleOptions } = options;
  const places = run.places;
  const keys = places.map((place) => place.key);
  const length = keys.length;
  const scale = new Scale(scaleOptions, 255, places[0]?.bitsOfCvs ?? []);
  const { min, max, plain } = scale;
  const valueAt = (cvs: CvReader, i: number): number => {
    const stored = cvs.get(keys[i] as number);
    const value = plain ? stored : scale.valueOf(stored);
    if (value < min || value > max) {
      throw new CvError([badStored(scale, stored, { places: places[i]?.bitsOfCvs ?? [] })]);
    }
    return value;
  };
  const first = keys[0] as number;
  // Stored numbers are the values, and CVs are not on a page: the bytes can be taken as they lie.
  const inRow = plain && (keys[length - 1] as number) <= lastCv;
  const readSlowly = (cvs: CvReader): number[] => keys.map((_, i) => valueAt(cvs, i));

  const codec: Codec<readonly number[]> = new Codec<readonly number[]>({
    data: { kind: "table", run, scale },
    places,
    about: options,
    read(cvs) {
      const values = inRow && cvs instanceof CvImage && readRun(cvs.bytes, first, length, min, max);
      return values || readSlowly(cvs);
    },
    tryRead(cvs, report) {
      if (reportMissing(codec, cvs, report)) return undefined;
      const values: number[] = [];
      for (let i = 0; i < length; i++) {
        try {
          values.push(valueAt(cvs, i));
        } catch (error) {
          report(issuesOf(error, "table"), String(i));
        }
      }
      return values.length === length ? values : undefined;
    },
    write(cvs, values) {
      checkLength(values, length);
      if (inRow && cvs instanceof CvImage && writeRun(cvs.bytes, first, values, min, max)) return;
      for (let i = 0; i < length; i++) {
        cvs.put(keys[i] as number, 255, storedNumber(scale, values[i], cvs.nearest));
      }
    },
    check(values, report, { nearest = false }) {
      checkLength(values, length);
      for (let i = 0; i < length; i++) {
        try {
          storedNumber(scale, values[i], nearest);
        } catch (error) {
          report(issuesOf(error, "table"), String(i));
        }
      }
    },
  });
  return codec;
}

function checkLength(values: unknown, length: number): asserts values is readonly unknown[] {
  if (!Array.isArray(values)) throw new CvError([notAList({ found: values })]);
  if (values.length !== length) throw new CvError([wrongLength({ length, found: values.length })]);
}
