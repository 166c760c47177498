import { EventEmitter } from "node:events";
import { describe, expect, test } from "vitest";
import { streamsOf } from "../../src/cli/process-streams.js";

// Streams of a process that the test holds both ends of; tests/cli/process.test.ts has those of a real one.

class Output extends EventEmitter {
  readonly written: string[] = [];
  isFull = false;
  isTTY: true | undefined;
  columns: number | undefined;
  write(text: string): boolean {
    this.written.push(text);
    return !this.isFull;
  }
}

function opened(
  env: Readonly<Record<string, string>> = {},
  how: Partial<Output> = {},
  errHow: Partial<Output> = {},
) {
  const stdout = Object.assign(new Output(), how);
  const stderr = Object.assign(new Output(), errHow);
  const stdin = new EventEmitter();
  const left: string[] = [];
  const outside = { stdin, stdout, stderr, env } as object as Parameters<typeof streamsOf>[0];
  const streams = streamsOf(outside, (text) => void left.push(text));
  return { stdin, stdout, stderr, left, streams };
}
const failing = (code: string): Error => Object.assign(new Error(code), { code });
/** Whether it is done by now. */
const isDone = (what: Promise<unknown>): Promise<boolean> =>
  Promise.race([what.then(() => true), new Promise<boolean>((resolve) => setImmediate(resolve, false))]);

test("texts go to the two outputs, an empty one to none; standard input is that of the process", async () => {
  const { stdin, stdout, stderr, streams } = opened();
  await streams.out("CV1 = 3\n");
  await streams.out("");
  streams.err("note\n");
  expect({ out: stdout.written, err: stderr.written }).toEqual({ out: ["CV1 = 3\n"], err: ["note\n"] });
  expect(streams.stdin()).toBe(stdin);
  expect(streams.isClosed()).toBe(false);
});

test("while standard output is full, it is waited for", async () => {
  const { stdout, streams } = opened({}, { isFull: true });
  const written = streams.out("much");
  expect(await isDone(written)).toBe(false);
  stdout.emit("drain");
  expect(await isDone(written)).toBe(true);
});

describe("a reader that has gone", () => {
  test("is not waited for, gets nothing more, and ends nothing", async () => {
    const { stdout, left, streams } = opened({}, { isFull: true });
    const written = streams.out("much");
    stdout.emit("error", failing("EPIPE"));
    expect(await isDone(written)).toBe(true);
    expect(streams.isClosed()).toBe(true);
    expect(await isDone(streams.out("more"))).toBe(true);
    expect({ written: stdout.written, left }).toEqual({ written: ["much"], left: [] });
  });

  test("of standard error ends nothing", () => {
    const { stderr, left } = opened();
    stderr.emit("error", failing("EPIPE"));
    expect(left).toEqual([]);
  });
});

test("an output that cannot be written ends the process; of standard output it is said why", () => {
  const { stdout, stderr, left } = opened();
  stdout.emit("error", failing("ENOSPC"));
  stderr.emit("error", failing("ENOSPC"));
  expect(left).toEqual(["standard output: it cannot be written (ENOSPC)\n", ""]);
});

test.each<
  [title: string, isTerminal: true | undefined, env: Readonly<Record<string, string>>, colour: boolean]
>([
  ["a terminal", true, { TERM: "xterm" }, true],
  ["a terminal of which nothing is known", true, {}, true],
  ["a terminal without colours", true, { TERM: "dumb" }, false],
  ["a terminal, and no colour wanted", true, { NO_COLOR: "1" }, false],
  ["a terminal, and NO_COLOR without a value", true, { NO_COLOR: "" }, true],
  ["no terminal", undefined, { TERM: "xterm" }, false],
])("colours on %s", (_, isTTY, env, colour) => {
  expect(opened(env, { isTTY }).streams.colour).toBe(colour);
});

test("how far work has come is shown where standard error is a terminal", () => {
  expect(opened({}, {}, { isTTY: true }).streams.progress).toBe(true);
  expect(opened({}, { isTTY: true }).streams.progress).toBe(false);
});

test.each<[title: string, columns: number | undefined, env: Readonly<Record<string, string>>, width: number]>(
  [
    ["of the terminal, whatever COLUMNS says", 70, { COLUMNS: "90" }, 70],
    ["of COLUMNS without a terminal", undefined, { COLUMNS: "90" }, 90],
    ["100 without either", undefined, {}, 100],
    ["100 where COLUMNS is no number", undefined, { COLUMNS: "wide" }, 100],
  ],
)("the width is that %s", (_, columns, env, width) => {
  expect(opened(env, { columns }).streams.width).toBe(width);
});
