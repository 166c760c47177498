export { decodeText } from "./bytes.js";
export { type CvSetFile, type CvSetFormat, type ReadCvSetOptions, readCvSet } from "./cvsetfile.js";
export type { FileHead } from "./envelope.js";
export { type FileIssue, type FileIssueKind, type FileResult, fileMessage } from "./fileissue.js";
export { type JsonDocument, type JsonLimits, readJson } from "./json.js";
export type { JsonMember, JsonNode } from "./jsonnode.js";
export type { Position } from "./lines.js";
export { readSettings, type SettingsFile } from "./settingsfile.js";
export {
  type CvSetEntry,
  readCvSetFrom,
  readCvSets,
  readSettingsFrom,
  readText,
  type Source,
} from "./stream.js";
export {
  type CvSetContent,
  type SettingsContent,
  writeCsv,
  writeCvSet,
  writeCvSetLine,
  writeCvSets,
  writeList,
  writeSettings,
} from "./write.js";
