import { shortened } from "./show.js";

/** The bits of one CV: bit n of `mask` is bit n of the CV. */
export interface BitsOfCv {
  /** The CV as text: `"29"` or `"300@16.0"`. */
  readonly cv: string;
  /** Which bits, 1-255. */
  readonly mask: number;
}

/** Whether something has the shape of bits of a CV. */
export function isBitsOfCv(value: unknown): value is BitsOfCv {
  if (typeof value !== "object" || value === null) return false;
  const { cv, mask } = value as Readonly<Record<string, unknown>>;
  return typeof cv === "string" && typeof mask === "number" && mask > 0;
}

/** Bits in words: `CV 29 bit 5`, `CV 246 bits 5-7`, `CV 17, CV 67-94`. */
export function placesInWords(places: readonly BitsOfCv[]): string {
  const texts: string[] = [];
  for (let i = 0; i < places.length; i++) {
    const { cv, mask } = places[i] as BitsOfCv;
    let last = i;
    while (mask === 255 && follows(places[last], places[last + 1])) last++;
    // Two in a row are easier to read one by one.
    if (last > i + 1) texts.push(`CV ${cv}-${places[((i = last))]?.cv}`);
    else texts.push(`CV ${cv}${bitsText(mask)}`);
  }
  return shortened(texts);
}

function follows(one: BitsOfCv | undefined, next: BitsOfCv | undefined): boolean {
  const [number, page] = one?.cv.split("@") ?? [];
  const [nextNumber, nextPage] = next?.cv.split("@") ?? [];
  return next?.mask === 255 && page === nextPage && Number(nextNumber) === Number(number) + 1;
}

function bitsText(mask: number): string {
  if (mask === 255) return "";
  const runs: string[] = [];
  for (let bit = 0; bit < 8; bit++) {
    if (!(mask & (1 << bit))) continue;
    const low = bit;
    while (mask & (1 << (bit + 1))) bit++;
    runs.push(low === bit ? `${low}` : `${low}-${bit}`);
  }
  return ` bit${runs.length === 1 && !runs[0]?.includes("-") ? "" : "s"} ${runs.join(", ")}`;
}
