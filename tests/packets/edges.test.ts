import { nextInReading, servicePacket, trackPacket } from "cvset/packets";
import { expect, test } from "vitest";
import { saidBy } from "../support/said.js";

// What is no packet and no guess.

test("guesses that are no byte are passed over, and each is asked for once", () => {
  const asked = (guesses: readonly number[], answers: readonly boolean[] = []) => {
    const next = nextInReading({ mode: "register", cv: 1, guesses }, answers);
    return "ask" in next ? next.ask.value : next;
  };
  expect(asked([-1, 256, 1.5, 9])).toBe(9);
  expect(asked([255])).toBe(255);
  expect(asked([9, 9, 7], [false])).toBe(7);
  expect(asked([9, 9, 7], [false, true])).toEqual({ value: 7 });
  expect(asked([0], [true])).toEqual({ value: 0 });
});

test("an instruction of an unknown kind, or for an unknown group of functions, is refused", () => {
  for (const kind of ["", "dirct", "direct "]) {
    const [said] = saidBy(() => servicePacket({ kind } as never));
    expect(said).toContain(
      `${JSON.stringify(kind)} is not an option; the options are "reset", "direct", "register"`,
    );
  }
  for (const group of ["F1-F4", "toString", ""]) {
    const instruction = { kind: "functions", group, on: [1] } as never;
    const [said] = saidBy(() =>
      trackPacket({ to: { kind: "primary", number: 3 }, instructions: [instruction] }),
    );
    expect(said).toContain(
      `${JSON.stringify(group)} is not an option; the options are "F0-F4", "F5-F8", "F9-F12"`,
    );
  }
});
