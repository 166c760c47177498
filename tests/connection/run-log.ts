import { CvSet, messageOf } from "cvset";
import {
  type CarryOutOptions,
  type CarryOutResult,
  type Connection,
  type CvConnection,
  carryOut,
  type PacketConnection,
  type ReadOutOptions,
  type ReadOutResult,
  readOut,
  simulatedConnection,
  simulatedStation,
} from "cvset/connection";
import type { Sequence } from "cvset/packets";
import type { Plan } from "cvset/plan";
import type { SimulatedDecoder } from "cvset/simulator";

/** Everything that happens in a run, line by line: the journal, what the connection does, progress, the result. */
export class RunLog {
  readonly lines: string[] = [];

  readonly journal = (line: string): void => {
    this.lines.push(line);
  };

  /** The packets of a decoder's connection; `answer` may change what is heard. */
  packets(
    decoder: SimulatedDecoder,
    {
      answer = (heard) => heard,
      faults = {},
      ...more
    }: {
      readonly answer?: (heard: boolean, call: number, sent: string) => boolean;
      readonly faults?: Parameters<typeof simulatedConnection>[1];
    } & Partial<PacketConnection> = {},
  ): PacketConnection {
    const inner = simulatedConnection(decoder, faults);
    let call = 0;
    return {
      repliesOnMain: true,
      send: async (sequence) => {
        const sent = inWords(sequence);
        this.lines.push(`  ${sent}`);
        return answer(await inner.send(sequence), call++, sent);
      },
      powerCycle: async () => {
        this.lines.push("  power off and on");
        await inner.powerCycle?.();
      },
      ...more,
    };
  }

  /** A station, with some of its functions. */
  station(
    decoder: SimulatedDecoder,
    has: readonly (keyof CvConnection)[],
    options: Parameters<typeof simulatedStation>[1] = {},
  ): CvConnection {
    const inner = simulatedStation(decoder, options);
    const shown = (value: unknown): string =>
      typeof value === "object" ? JSON.stringify(value) : String(value);
    return Object.fromEntries(
      has.map((name) => [
        name,
        async (...args: never[]) => {
          this.lines.push(`  ${[name, ...args.filter((one) => one !== undefined).map(shown)].join(" ")}`);
          return (inner[name] as (...args: never[]) => Promise<unknown>)(...args);
        },
      ]),
    ) as never;
  }

  async carriedOut(
    plan: Plan,
    connection: Connection,
    options: CarryOutOptions = {},
  ): Promise<CarryOutResult> {
    const result = await carryOut(plan, connection, {
      pause: 0,
      journal: this.journal,
      onProgress: ({ step, ended, of }) =>
        this.lines.push(`  ${ended} of ${of}: CV ${step.cv} ${step.state}`),
      ...options,
    });
    this.carriedOutWith(result);
    return result;
  }

  carriedOutWith({ done, steps, holds, rest, issues }: CarryOutResult): void {
    this.lines.push(
      `= ${done}`,
      ...steps.map(
        ({ cv, value, mask, state, attempts }) => `${bits(cv, mask)} = ${value} ${state}, ${attempts} tries`,
      ),
      `holds ${JSON.stringify(holds)}`,
      `rest ${rest ? rest.steps.map(({ cv, value, mask }) => `${bits(cv, mask)} = ${value}`).join(", ") : "none"}`,
      ...issues.map((issue) => `${issue.code}: ${messageOf(issue)}`),
    );
  }

  async readOut(
    connection: Connection,
    what: Parameters<typeof readOut>[1],
    options: ReadOutOptions = {},
  ): Promise<ReadOutResult> {
    const result = await readOut(connection, what, {
      pause: 0,
      journal: this.journal,
      onProgress: ({ cv, value, ended, of, fits }) =>
        this.lines.push(
          `  ${ended} of ${of}: CV ${cv} ${value}${fits === undefined ? "" : `, fits: ${fits}`}`,
        ),
      ...options,
    });
    const { cvs, silent, fits, complete, issues } = result;
    this.lines.push(
      `= ${complete ? "complete" : "not complete"}, fits: ${fits}`,
      `cvs ${JSON.stringify(cvs)}`,
      `silent ${silent.join(", ") || "none"}`,
      ...issues.map((issue) => `${issue.code}: ${messageOf(issue)}`),
    );
    return result;
  }

  get text(): string {
    return this.lines.join("\n");
  }
}

const bits = (cv: string, mask: number): string => (mask === 255 ? `CV ${cv}` : `CV ${cv} & ${mask}`);

/** A sequence on one line: `!` where its acknowledgement is the answer, `?` where it ends what is repeated. */
function inWords({ preambleBits, parts }: Sequence): string {
  const told = parts.map(
    ({ times, packet, answers, untilAcknowledged, onlyAcknowledged }) =>
      `${onlyAcknowledged ? "then " : ""}${times} x ${packet}${untilAcknowledged ? "?" : ""}${answers ? "!" : ""}`,
  );
  return `(${preambleBits}) ${told.join(", ")}`;
}

export const factory = CvSet.from({
  ...{ 1: 3, 3: 5, 4: 5, 7: 1, 8: 13, 15: 0, 16: 0, 17: 192, 18: 3, 19: 0, 29: 6, 31: 16, 32: 0 },
  ...{ 60: 9, "300@16.0": 1, "301@16.0": 2, "300@17.4": 3 },
});
