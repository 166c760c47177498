// Reading: one file of any kind, one of a certain kind, or a file of many

// Writing, and changing a settings file in place
export { editSettings } from "./edit.js";
// What is wrong in a file, with its place
export { type FileIssue, type FileResult, fileMessage } from "./file-issue.js";
export type { FileHead } from "./head.js";
export { type AnyFile, type CvSetFile, readAny, readCvSet, readSettings, type SettingsFile } from "./read.js";
export { readMany } from "./read-many.js";
export { writeCvSet, writeSettings } from "./write.js";
