import type { Rule } from "../check/rule.js";
import type { Fields } from "../codec/fields.js";
import type { CodecKinds } from "../decoder/codec-kind.js";
import type { Term } from "../meaning/term.js";

/** What plug-ins add to what is built in. */
export interface PlugIns {
  /** The files that it comes from. */
  readonly files: readonly string[];
  /** Kinds of codec that descriptions may name. */
  readonly codecs: CodecKinds;
  /** Sets of features that descriptions may name. */
  readonly parts: Readonly<Record<string, Fields>>;
  /** Rules of `check`. */
  readonly rules: readonly Rule[];
  /** Terms of meaning. */
  readonly terms: readonly Term[];
}

/** Nothing. */
export const noPlugIns: PlugIns = { files: [], codecs: {}, parts: {}, rules: [], terms: [] };
