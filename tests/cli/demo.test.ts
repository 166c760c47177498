import { afterEach, expect, test, vi } from "vitest";
import type { Io } from "../../src/cli/io.js";
import type { quillback as decoder } from "../../src/demo/quillback-s8.js";

const module = "../../src/demo/quillback-s8.js";
afterEach(() => {
  vi.doUnmock(module);
  vi.resetModules();
});

test("where the settings do not come back byte for byte, the demo shows what came, and fails", async () => {
  vi.resetModules();
  vi.doMock(module, async (original) => {
    const { quillback } = await original<{ quillback: typeof decoder }>();
    // It reads a setting that was not written.
    const decode = (cvs: Parameters<typeof quillback.decode>[0]) => ({
      ...quillback.decode(cvs),
      misread: true,
    });
    const get = (target: object, name: string): unknown => {
      const value: unknown = name === "decode" ? decode : Reflect.get(target, name, target);
      return typeof value === "function" ? value.bind(target) : value;
    };
    return { quillback: new Proxy(quillback, { get: get as never }) };
  });
  const { verb } = await import("../../src/cli/verbs/demo.js");
  const printed: string[] = [];
  const io: Pick<Io, "line" | "document" | "width"> = {
    line: (...lines) => void printed.push(...lines),
    document: (text) => void printed.push(text),
    width: 100,
  };
  const status = await verb.run({ arguments: [], options: {}, io, verbs: async () => [] } as never);
  expect(status).toBe(1);
  expect(printed.join("\n")).toContain('"misread": true');
  expect(printed.join("\n")).not.toContain("byte for byte");
});
