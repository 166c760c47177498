// The vocabulary, and what a decoder's settings mean in it
export type { TranslationRow } from "./carry.js";
export type { Decision } from "./decisions.js";
// Sound levels
export { decibelsOf, shareOfDecibels } from "./quantity.js";
export { type MeaningOptions, meaningNotes, meaningsOf, type Setting } from "./settings.js";
export type { Term } from "./term.js";
// Settings for another decoder
export { type TranslateOptions, type Translation, translate } from "./translate.js";
export { vocabulary } from "./vocabulary.js";
