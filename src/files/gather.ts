import { CvImage } from "../cv/image.js";
import { nameOf, numberOf } from "../cv/name.js";
import type { Complaints } from "./fileissue.js";

/** The CVs of a list as they are found, with their places, so that none stands twice unnoticed. */
export class Gathered {
  readonly image = new CvImage();
  /** The offset of each CV, by key. */
  readonly offsets = new Map<number, number>();

  constructor(readonly complaints: Complaints) {}

  /** Takes a CV that stands at an offset of the text. */
  add(key: number, value: number, offset: number): void {
    const first = this.offsets.get(key);
    if (first === undefined) {
      this.image.set(key, value);
      this.offsets.set(key, offset);
      return;
    }
    const line = this.complaints.lines.at(first).line;
    const before = this.image.peek(key);
    if (before === value) {
      this.complaints.note(
        offset,
        "duplicate",
        `CV ${nameOf(key)} = ${value} stands twice, first on line ${line}`,
      );
      return;
    }
    const number = numberOf(key);
    // CV 31 and 32 turn pages, so a list that means to fill several pages repeats them.
    const pages =
      number === 31 || number === 32 || number >= 257
        ? "; to tell index pages apart write CV 300 of the page CV 31 = 16, CV 32 = 0 as 300@16.0"
        : "; keep one of the two";
    this.complaints.error(offset, "duplicate", {
      code: "content",
      path: "",
      places: [{ cv: nameOf(key), mask: 255 }],
      expected: `it stands twice with different values, ${before} on line ${line} and ${value} here${pages}`,
    });
  }
}
