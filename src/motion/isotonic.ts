/**
 * The non-falling sequence that lies nearest to a noisy one, in the sense of least (weighted) squares:
 * isotonic regression by pooling adjacent violators. Where the values fall, neighbours are replaced by
 * their mean. Its time grows in proportion to the number of values.
 * @param values The noisy sequence, finite numbers.
 * @param weights How much each value counts, above 0, as many as values; all alike when left out.
 */
export function isotonic(values: ArrayLike<number>, weights?: ArrayLike<number>): Float64Array {
  const n = values.length;
  // The result doubles as the stack of block means while it is being made: a block never starts
  // later in the stack than in the sequence.
  const out = new Float64Array(n);
  const weight = weights ? new Float64Array(n) : undefined;
  const size = new Uint32Array(n);
  let top = -1;
  for (let i = 0; i < n; i++) {
    let mean = values[i] as number;
    let w = weights ? (weights[i] as number) : 1;
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
