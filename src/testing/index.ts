export { type CvSetsOptions, cvSetsOf } from "./cvsets.js";
export { type DecodersOptions, decoders } from "./decoders.js";
export { checkCodecLaws, type LawOptions } from "./laws.js";
export { settingsOf } from "./settings.js";
export type { Source, ValueOfSource } from "./source.js";
export { type ValuesOptions, valuesOf } from "./values.js";
