import { placesText } from "cvset";
import { describe, expect, test } from "vitest";

describe("bits as people say them", () => {
  test.each<[[cv: string, mask: number][], string]>([
    [[], ""],
    [[["29", 255]], "CV 29"],
    [[["29", 32]], "CV 29 bit 5"],
    [[["29", 1]], "CV 29 bit 0"],
    [[["29", 128]], "CV 29 bit 7"],
    [[["246", 224]], "CV 246 bits 5-7"],
    [[["29", 0b1001_0110]], "CV 29 bits 1-2, 4, 7"],
    [
      [
        ["17", 255],
        ["18", 255],
      ],
      "CV 17, CV 18",
    ],
    [
      [
        ["67", 255],
        ["68", 255],
        ["69", 255],
      ],
      "CV 67-69",
    ],
    [
      [
        ["67", 255],
        ["68", 254],
        ["69", 255],
      ],
      "CV 67, CV 68 bits 1-7, CV 69",
    ],
    [
      [
        ["66", 1],
        ["67", 255],
        ["68", 255],
      ],
      "CV 66 bit 0, CV 67, CV 68",
    ],
    [
      [
        ["2", 255],
        ["5", 255],
        ["6", 255],
        ["7", 255],
        ["9", 1],
      ],
      "CV 2, CV 5-7, CV 9 bit 0",
    ],
    [
      [
        ["7", 255],
        ["6", 255],
        ["5", 255],
      ],
      "CV 7, CV 6, CV 5",
    ],
    [
      [
        ["300@16.0", 255],
        ["301@16.0", 255],
        ["302@16.0", 255],
      ],
      "CV 300@16.0-302@16.0",
    ],
    [
      [
        ["300@16.0", 255],
        ["301@16.0", 255],
        ["302@16.1", 255],
      ],
      "CV 300@16.0, CV 301@16.0, CV 302@16.1",
    ],
    [
      [
        ["300", 255],
        ["301", 255],
        ["302@16.0", 255],
      ],
      "CV 300, CV 301, CV 302@16.0",
    ],
  ])("%j", (bits, text) => {
    expect(placesText(bits.map(([cv, mask]) => ({ cv, mask })))).toBe(text);
  });

  test("of more than twelve pieces the rest is counted; a run is one piece", () => {
    const every = (step: number, count: number) =>
      Array.from({ length: count }, (_, i) => ({ cv: String(1 + i * step), mask: 255 }));
    expect(placesText(every(2, 12))).toBe(
      every(2, 12)
        .map(({ cv }) => `CV ${cv}`)
        .join(", "),
    );
    expect(placesText(every(2, 13))).toMatch(/^CV 1, CV 3, .*, CV 23 and 1 more$/);
    expect(placesText(every(2, 512))).toMatch(/, CV 23 and 500 more$/);
    expect(placesText(every(1, 1024))).toBe("CV 1-1024");
  });
});
