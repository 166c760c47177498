import { collect, tryRead } from "../codec/codec.js";
import { type CvSet, imageOf } from "../cv/cvset.js";
import type { Issue } from "../cv/issue.js";
import { IssueList } from "../cv/issue-list.js";
import type { BitsOfCv } from "../cv/places-text.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import { knownOf } from "./known.js";
import type { Found, SetView } from "./rule.js";

/** A CV set under check. Its settings are decoded when a rule asks for them. */
export class View implements SetView {
  readonly forWriting: boolean;
  readonly stopping?: NonNullable<SetView["stopping"]>;
  /** The bits that findings are about, by CV. */
  readonly #masks = new Map<string, number>();
  readonly #remembered = new Map<unknown, unknown>();
  #decoded?: {
    readonly settings: Record<string, unknown>;
    readonly issues: readonly Issue[];
    readonly partial: ReadonlySet<string>;
  };

  constructor(
    readonly cvs: CvSet,
    readonly decoder: AnyDecoder,
    { forWriting = false, stopping }: Pick<SetView, "forWriting" | "stopping">,
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
    // The value under a function is the result of that function.
    return this.#remembered.get(work) as T;
  };

  readonly isReported = (places: readonly BitsOfCv[]): boolean =>
    places.every(({ cv, mask }) => (mask & ~(this.#masks.get(cv) ?? 0)) === 0);

  /** Notes the bits of a finding as reported. */
  report({ places }: Found): void {
    for (const { cv, mask } of places) this.#masks.set(cv, (this.#masks.get(cv) ?? 0) | mask);
  }

  #read() {
    if (this.#decoded) return this.#decoded;
    const settings: Record<string, unknown> = {};
    const issues = new IssueList();
    const partial = new Set<string>();
    const reader = imageOf(this.cvs);
    const isHere = (key: number): boolean => reader.peek(key) >= 0;
    const report = collect(issues);
    for (const { name, codec, keys, alone } of knownOf(this.decoder).features) {
      // A feature of which the set has no CV is absent, not incomplete.
      if (!keys.some(isHere)) continue;
      // So is a feature of which the set has only CVs that others share; the settings in them are read.
      const isWhole = alone.length === 0 || alone.some(isHere);
      const value = tryRead(codec, reader, (list, path = "") => {
        partial.add(name);
        const reported = isWhole ? list : list.filter(({ code }) => code !== "missing-cv");
        report(reported, path ? `${name}.${path}` : name);
      });
      if (value !== undefined) settings[name] = value;
    }
    this.#decoded = { settings, issues: issues.done(), partial };
    return this.#decoded;
  }
}
