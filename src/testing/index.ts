// Testing codecs and decoders of your own

// Random values and CV sets
export { cvSetsOf } from "./cvsets.js";
export { checkLaws, type DecoderLawOptions, type LawsChecked } from "./decoder-laws.js";
// Random decoders, for tools that work with any description
export { decoders } from "./decoders.js";
export { checkCodecLaws, type LawOptions } from "./laws.js";
export type { Source } from "./source.js";
export { type ValuesOptions, valuesOf } from "./values.js";
