export { type BitChange, CvPatch, type CvPatchJson } from "./cvpatch.js";
export { CvSet } from "./cvset.js";
export { CvImage, type CvReader, type CvWriter } from "./image.js";
export {
  type BitsOfCv,
  CvError,
  type Issue,
  type IssueCode,
  messageOf,
  nearestNames,
  placesText,
  type Result,
} from "./issue.js";
export type { CvName } from "./name.js";
export {
  type Bit,
  BytePlace,
  cv,
  type IndexPage,
  type Part,
  Place,
  type PlaceJson,
  page,
  Run,
} from "./place.js";
