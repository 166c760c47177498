import { CvError, type Issue } from "../cv/index.js";

/**
 * The non-falling sequence that lies nearest to a noisy one, in the sense of least (weighted) squares:
 * isotonic regression by pooling adjacent violators. Where the values fall, neighbours are replaced by
 * their mean. Its time grows in proportion to the number of values.
 * @param values The noisy sequence.
 * @param weights How much each value counts, above 0, as many as values; all alike when left out.
 * @throws `CvError` for a number that is not finite, or weights that do not fit.
 * @example
 * import { isotonic } from "cvset/motion";
 * [...isotonic(Float64Array.of(1, 3, 2, 4))]; // [1, 2.5, 2.5, 4]
 */
/* @__NO_SIDE_EFFECTS__ */
export function isotonic(values: ArrayLike<number>, weights?: ArrayLike<number>): Float64Array {
  const n = values.length;
  if (weights && weights.length !== n) throw badSequence(values, weights);
  // The result doubles as the stack of block means while it is being made: a block never starts
  // later in the stack than in the sequence.
  const out = new Float64Array(n);
  const weight = weights ? new Float64Array(n) : undefined;
  const size = new Uint32Array(n);
  let top = -1;
  for (let i = 0; i < n; i++) {
    let mean = values[i] as number;
    let w = weights ? (weights[i] as number) : 1;
    if (mean - mean !== 0 || !(w > 0) || w === Infinity) throw badSequence(values, weights);
    let count = 1;
    while (top >= 0 && (out[top] as number) >= mean) {
      const before = weight ? (weight[top] as number) : (size[top] as number);
      const both = before + w;
      mean += ((out[top] as number) - mean) * (before / both);
      w = both;
      count += size[top] as number;
      top--;
    }
    top++;
    out[top] = mean;
    size[top] = count;
    if (weight) weight[top] = w;
  }
  for (let end = n; top >= 0; top--) {
    const start = end - (size[top] as number);
    const mean = out[top] as number;
    for (let i = start; i < end; i++) out[i] = mean;
    end = start;
  }
  return out;
}

function badSequence(values: ArrayLike<number>, weights: ArrayLike<number> | undefined): CvError {
  const path = "values";
  if (weights && weights.length !== values.length) {
    const expected = `must be as many as the values, ${values.length}`;
    return new CvError([{ code: "content", path: "weights", expected, found: weights.length }]);
  }
  const issues = Array.from(values).flatMap((value, i) => {
    const at: Pick<Issue, "code" | "path"> = { code: "content", path: `${path}.${i}` };
    if (!Number.isFinite(value)) return [{ ...at, expected: "must be a finite number", found: value }];
    const weight = weights ? (weights[i] as number) : 1;
    if (weight > 0 && weight < Infinity) return [];
    return [{ ...at, path: `weights.${i}`, expected: "must be a finite number above 0", found: weight }];
  });
  return new CvError(issues);
}
