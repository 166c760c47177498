import { defineCodec, defineCodecKind } from "cvset";

/** Something that the decoder obeys only while a place holds a key; the key is written with it. */
export const guarded = defineCodecKind({
  needs: { item: "codec", place: "place", key: "number" },
  schema: { key: { type: "integer", minimum: 0, maximum: 255, description: "What the place must hold." } },
  note: "What is in it counts only while a place holds a key.",
  make({ item, place, key }, about) {
    if (!Number.isInteger(key) || key < 0 || key > place.max) throw new Error(`the key must be 0 to ${place.max}`);
    return defineCodec({
      kind: "guarded",
      item,
      places: [place],
      about,
      read(cvs, inner) {
        if (place.read(cvs) !== key) throw new Error(`${place} must hold ${key}, else the decoder ignores it`);
        return inner.read(cvs);
      },
      write(cvs, value, inner) {
        place.write(cvs, key);
        inner.write(cvs, value);
      },
      json: (inner) => ({ item: inner, place: place.toJSON(), key }),
    });
  },
});
