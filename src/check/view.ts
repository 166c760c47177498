import { type AnyCodec, collect, tryRead } from "../codec/codec.js";
import type { CvSet } from "../cv/cvset.js";
import type { BitsOfCv, Issue } from "../cv/issue.js";
import type { AnyDecoder } from "../decoder/decoder.js";
import type { CheckTerms, Found, SetView, StoppingLimit } from "./rule.js";

/** A CV set under check. Settings are decoded when the first rule asks for them. */
export class View implements SetView {
  readonly forWriting: boolean;
  readonly stopping?: StoppingLimit;
  readonly #masks = new Map<string, number>();
  #decoded?: { readonly settings: Record<string, unknown>; readonly issues: Issue[] };

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
    const { reader } = this.cvs;
    for (const [name, codec] of Object.entries<AnyCodec>(this.decoder.features)) {
      // A feature that the set has nothing of is not incomplete, only absent.
      let any = false;
      for (const key of codec.owned.keys()) {
        if (reader.peek(key) < 0) continue;
        any = true;
        break;
      }
      if (!any) continue;
      const report = collect(issues);
      const value = tryRead(codec, reader, (list, path = "") =>
        report(list, path ? `${name}.${path}` : name),
      );
      if (value !== undefined) settings[name] = value;
    }
    this.#decoded = { settings, issues };
    return this.#decoded;
  }
}
