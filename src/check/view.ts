import { collect, tryRead } from "../codec/codec.js";
import type { CvSet } from "../cv/cvset.js";
import type { BitsOfCv, Issue } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { knownOf } from "./known.js";
import type { CheckTerms, Found, SetView, StoppingLimit } from "./rule.js";

/** A CV set under check. Settings are decoded when the first rule asks for them. */
export class View implements SetView {
  readonly forWriting: boolean;
  readonly stopping?: StoppingLimit;
  /** Which bits the rules before have spoken about. */
  readonly #masks = new Map<string, number>();
  readonly #remembered = new Map<unknown, unknown>();
  #decoded?: {
    readonly settings: Record<string, unknown>;
    readonly issues: Issue[];
    readonly partial: Set<string>;
  };

  constructor(
    readonly cvs: CvSet,
    readonly decoder: AnyDecoder,
    { forWriting = false, stopping }: CheckTerms,
  ) {
    this.forWriting = forWriting;
    if (stopping) this.stopping = stopping;
  }

  get settings(): Readonly<Record<string, unknown>> {
    return this.#read().settings;
  }

  get issues(): readonly Issue[] {
    return this.#read().issues;
  }

  get partial(): ReadonlySet<string> {
    return this.#read().partial;
  }

  readonly remember = <T>(work: (set: SetView) => T): T => {
    if (!this.#remembered.has(work)) this.#remembered.set(work, work(this));
    // What stands under a function came from that function.
    return this.#remembered.get(work) as T;
  };

  readonly spoken = (places: readonly BitsOfCv[]): boolean =>
    places.every(({ cv, mask }) => (mask & ~(this.#masks.get(cv) ?? 0)) === 0);

  /** Takes note of what a rule said. */
  speak({ places }: Found): void {
    for (const { cv, mask } of places) this.#masks.set(cv, (this.#masks.get(cv) ?? 0) | mask);
  }

  #read() {
    if (this.#decoded) return this.#decoded;
    const settings: Record<string, unknown> = {};
    const issues: Issue[] = [];
    const partial = new Set<string>();
    const { reader } = this.cvs;
    const here = (key: number): boolean => reader.peek(key) >= 0;
    for (const { name, codec, keys, alone } of knownOf(this.decoder).features) {
      // A feature that the set has nothing of is not incomplete, only absent.
      if (!keys.some(here)) continue;
      // Nor is one of which only a byte is here that others share; but what that byte says is read.
      const whole = alone.length === 0 || alone.some(here);
      const report = collect(issues);
      const value = tryRead(codec, reader, (list, path = "") => {
        partial.add(name);
        const said = whole ? list : list.filter(({ code }) => code !== "missing");
        report(said, path ? `${name}.${path}` : name);
      });
      if (value !== undefined) settings[name] = value;
    }
    this.#decoded = { settings, issues, partial };
    return this.#decoded;
  }
}
