import type { Term } from "./term.js";
import { aspects, general, motion, outputs } from "./terms-control.js";
import { lampEffects, lamps } from "./terms-light.js";
import { engineSounds, primeFacts, signals } from "./terms-sound.js";

/**
 * The shared vocabulary: words of the trade that mean the same for every decoder. A feature, an option or the
 * name of a number says with them what it `means`. A whole number is a word too, for a choice that counts:
 * `"2"`. Other terms are passed where they are needed.
 * @example
 * import { vocabulary } from "cvset/meaning";
 * vocabulary.find(({ name }) => name === "oil lamp")?.kindOf; // "flicker"
 */
export const vocabulary: readonly Term[] = /* @__PURE__ */ allTerms();

// Bundlers drop a call that is marked as pure, but no list with a spread.
function allTerms(): readonly Term[] {
  return Object.freeze([
    ...signals,
    ...engineSounds,
    ...primeFacts,
    ...lamps,
    ...lampEffects,
    ...aspects,
    ...motion,
    ...outputs,
    ...general,
  ]);
}
