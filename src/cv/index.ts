// CV sets, and changes to them
export { type BitChange, CvPatch, type CvPatchJson } from "./cvpatch.js";
export { CvSet } from "./cvset.js";
// What codecs of your own read from and write to
export type { CvReader, CvWriter } from "./image.js";
// What is wrong, as data and in words
export { CvError, type Issue, messageOf, type Result } from "./issue.js";
export type { CvName } from "./name.js";
// Places: the bits that a value lives in
export { type BytePlace, cv, type Place, type PlaceJson, page, type Run } from "./place.js";
export { type BitsOfCv, placesText } from "./places-text.js";
