import { reasonOf } from "../cv/show.js";
import { CallFailed, callbackFailed, nonsense, rejected, timedOut } from "./faults.js";
import type { JournalEntry } from "./journal.js";

/** Every call of a connection goes through here: time-out, check of the answer, journal, count and time. */
export class Calls {
  readonly #timeout: number;
  readonly #journal: ((line: string) => void | Promise<void>) | undefined;
  /** How many calls there were. */
  count = 0;
  /** Milliseconds that they took in all. */
  spent = 0;

  constructor(timeout: number, journal: ((line: string) => void | Promise<void>) | undefined) {
    this.#timeout = timeout;
    this.#journal = journal;
  }

  /** Adds a line to the journal. */
  async note(entry: JournalEntry): Promise<void> {
    if (!this.#journal) return;
    try {
      await this.#journal(JSON.stringify(entry));
    } catch (error) {
      throw new CallFailed(callbackFailed({ name: "the journal", reason: reasonOf(error) }), true);
    }
  }

  /**
   * One call.
   * @param sent What the journal says of it.
   * @param run The call.
   * @param isAnswer Whether an answer is one that is expected.
   * @param expected That in words.
   * @throws `CallFailed` when there is no answer, none that is expected, or the connection rejects.
   */
  async call<Answer>(
    sent: Extract<JournalEntry, { sent: unknown }>,
    run: () => unknown,
    isAnswer: (answer: unknown) => answer is Answer,
    expected: string,
  ): Promise<Answer> {
    await this.note(sent);
    const begun = performance.now();
    let answer: unknown;
    try {
      answer = await this.#inTime(run);
    } catch (error) {
      const failure =
        error instanceof CallFailed ? error : new CallFailed(rejected({ reason: reasonOf(error) }), false);
      await this.note({ failed: failure.issue.code, reason: reasonOf(error) });
      throw failure;
    } finally {
      this.count++;
      this.spent += performance.now() - begun;
    }
    if (!isAnswer(answer)) {
      const failure = new CallFailed(nonsense({ found: answer, expected }), true);
      await this.note({ failed: failure.issue.code });
      throw failure;
    }
    await this.note({ answer: (answer as boolean | number | undefined) ?? null });
    return answer;
  }

  async #inTime(run: () => unknown): Promise<unknown> {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(
        () => reject(new CallFailed(timedOut({ milliseconds: this.#timeout }), true)),
        this.#timeout,
      );
    });
    try {
      // The one that loses is heard as well, so that a late failure is not an unhandled one.
      return await Promise.race([(async () => run())(), late]);
    } finally {
      clearTimeout(timer);
    }
  }
}

/** Waits. */
export function wait(milliseconds: number): Promise<void> {
  return milliseconds > 0
    ? new Promise((resolve) => void setTimeout(resolve, milliseconds))
    : Promise.resolve();
}

export const isBoolean = (answer: unknown): answer is boolean => typeof answer === "boolean";
/** The answer of a write says nothing. */
export const isAnything = (answer: unknown): answer is undefined => answer !== undefined || true;
