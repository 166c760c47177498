/** How to read a file. */
export interface ReadOptions {
  /** What the file is called; it is put into every issue. */
  readonly file?: string;
  /** The most UTF-16 units that are read; 16,777,216 if not given. */
  readonly maxLength?: number;
}

/** How long a text may be, in UTF-16 units. */
export function maxLengthOf({ maxLength = 16_777_216 }: ReadOptions): number {
  return maxLength;
}
