// Runs of whole bytes in one go. A literal is many times faster than a loop that fills a list; 28 CVs are
// the speed table and 14 the function map (S-9.2.2 (July 2012), CV 67-94 and 33-46), the two runs of the standard.

/**
 * The bytes of some CVs one after the other, or undefined when one is absent or out of range.
 * @param b The bytes of all CVs, -1 where one is absent.
 * @param k The first CV.
 */
export function readRun(
  b: Int16Array,
  k: number,
  length: number,
  min: number,
  max: number,
): number[] | undefined {
  const everything = min === 0 && max === 255;
  if (everything && length === 28) return twentyEight(b, k);
  if (everything && length === 14) return fourteen(b, k);
  const values: number[] = [];
  for (let i = 0; i < length; i++) {
    const value = b[k + i] as number;
    if (value < min || value > max) return undefined;
    values.push(value);
  }
  return values;
}

/** Writes bytes into CVs one after the other; false, maybe with some written, when one is out of range. */
export function writeRun(
  b: Int16Array,
  k: number,
  values: readonly unknown[],
  min: number,
  max: number,
): boolean {
  for (let i = 0; i < values.length; i++) {
    const value = values[i];
    if (typeof value !== "number" || (value | 0) !== value || value < min || value > max) return false;
    b[k + i] = value;
  }
  return true;
}

// biome-ignore format: one number a line would hide what this is
function twentyEight(b: Int16Array, k: number): number[] | undefined {
  const v0 = b[k]!, v1 = b[k + 1]!, v2 = b[k + 2]!, v3 = b[k + 3]!,
    v4 = b[k + 4]!, v5 = b[k + 5]!, v6 = b[k + 6]!, v7 = b[k + 7]!,
    v8 = b[k + 8]!, v9 = b[k + 9]!, v10 = b[k + 10]!, v11 = b[k + 11]!,
    v12 = b[k + 12]!, v13 = b[k + 13]!, v14 = b[k + 14]!, v15 = b[k + 15]!,
    v16 = b[k + 16]!, v17 = b[k + 17]!, v18 = b[k + 18]!, v19 = b[k + 19]!,
    v20 = b[k + 20]!, v21 = b[k + 21]!, v22 = b[k + 22]!, v23 = b[k + 23]!,
    v24 = b[k + 24]!, v25 = b[k + 25]!, v26 = b[k + 26]!, v27 = b[k + 27]!;
  // An absent CV is -1, and one negative number makes all of them together negative.
  return (v0 | v1 | v2 | v3 | v4 | v5 | v6 | v7 | v8 | v9 | v10 | v11 | v12 | v13 |
    v14 | v15 | v16 | v17 | v18 | v19 | v20 | v21 | v22 | v23 | v24 | v25 | v26 | v27) < 0
    ? undefined
    : [v0, v1, v2, v3, v4, v5, v6, v7, v8, v9, v10, v11, v12, v13,
       v14, v15, v16, v17, v18, v19, v20, v21, v22, v23, v24, v25, v26, v27];
}

// biome-ignore format: as above
function fourteen(b: Int16Array, k: number): number[] | undefined {
  const v0 = b[k]!, v1 = b[k + 1]!, v2 = b[k + 2]!, v3 = b[k + 3]!,
    v4 = b[k + 4]!, v5 = b[k + 5]!, v6 = b[k + 6]!, v7 = b[k + 7]!,
    v8 = b[k + 8]!, v9 = b[k + 9]!, v10 = b[k + 10]!, v11 = b[k + 11]!,
    v12 = b[k + 12]!, v13 = b[k + 13]!;
  return (v0 | v1 | v2 | v3 | v4 | v5 | v6 | v7 | v8 | v9 | v10 | v11 | v12 | v13) < 0
    ? undefined
    : [v0, v1, v2, v3, v4, v5, v6, v7, v8, v9, v10, v11, v12, v13];
}
