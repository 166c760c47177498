import { type AnyCodec, defineCodecKind, derived } from "cvset";

/** The check byte of some bytes: polynomial 0x31, from 0, bits first to last. */
export function crc8(bytes: readonly number[]): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = (crc & 128 ? (crc << 1) ^ 0x31 : crc << 1) & 255;
  }
  return crc;
}

/** A check byte over other CVs: nobody gives it, it is written last, and it is checked on reading. */
export const crc8Kind = defineCodecKind({
  needs: { place: "place", from: "places" },
  note: "A check byte over other CVs.",
  make: ({ place, from }, about) =>
    derived(place, {
      ...about,
      from,
      by: crc8,
      kind: "crc8",
      json: () => ({ place: place.toJSON(), from: from.map((one) => one.toJSON()) }),
    }) as AnyCodec,
});
