import { CvError, cv, page } from "cvset";
import { describe, expect, test } from "vitest";
import { CvImage } from "../../src/cv/image.js";

const paged = page(16, 0).cv(300).key;

describe("CvImage", () => {
  test("a new one holds nothing", () => {
    const image = new CvImage();
    expect([...image.keys()]).toEqual([]);
    expect([image.peek(1), image.peek(1024), image.peek(paged), image.nearest]).toEqual([-1, -1, -1, false]);
    expect(() => image.get(29)).toThrow("CV 29: not in the CV set");
    expect(() => image.get(paged)).toThrow("CV 300@16.0: not in the CV set");
  });

  test("put: a whole byte anywhere, some bits only where the rest is known", () => {
    for (const key of [29, paged, cv(1024).key, page(255, 255).cv(512).key]) {
      const image = new CvImage();
      expect(() => image.put(key, 0b110, 0b100)).toThrow(
        /bits 0, 3-7: not known, and the other bits of the CV are to be written/,
      );
      expect(image.peek(key)).toBe(-1);
      image.put(key, 255, 0b1000_0001);
      expect(image.get(key)).toBe(0b1000_0001);
      image.put(key, 0b0000_0111, 0b0000_0010);
      expect(image.get(key)).toBe(0b1000_0010);
      image.put(key, 255, 0);
      expect([image.get(key), image.peek(key)]).toEqual([0, 0]);
    }
  });

  test("a copy shares nothing, pages neither", () => {
    const image = new CvImage();
    image.set(29, 6);
    image.set(paged, 7);
    const copy = new CvImage(image);
    copy.set(29, 34);
    copy.set(paged, 8);
    copy.set(paged + 1, 9);
    expect([image.get(29), image.get(paged), image.peek(paged + 1)]).toEqual([6, 7, -1]);
    expect([...copy.keys()]).toEqual([29, paged, paged + 1]);
  });

  test("keys come in CV order, pages last and in their order, the ends of each included", () => {
    const image = new CvImage();
    const keys = [
      1,
      257,
      512,
      1024,
      page(0, 0).cv(257).key,
      page(0, 0).cv(512).key,
      page(0, 1).cv(257).key,
      page(0, 9).cv(257).key,
      page(0, 10).cv(257).key,
      page(255, 255).cv(512).key,
    ];
    for (const key of [...keys].reverse()) image.set(key, 1);
    expect([...image.keys()]).toEqual(keys);
  });

  test("errors are CvErrors with the places", () => {
    try {
      new CvImage().put(29, 1, 1);
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(CvError);
      expect((error as CvError).issues[0]).toMatchObject({
        code: "unknown-bits",
        places: [{ cv: "29", mask: 254 }],
      });
    }
  });
});
