import { fault } from "./issue.js";

// The kinds of fault that several files share; one that a single file makes stands in that file.

/** Not the name of a CV. */
export const notACv = /* @__PURE__ */ fault(
  "cv",
  'expected a CV number from 1 to 1024, or "300@16.0" for a CV of an index page, got {found}',
);
/** Not a byte. */
export const notAByte = /* @__PURE__ */ fault("byte", "expected a whole number from 0 to 255, got {found}");
/** Not true or false. */
export const notABoolean = /* @__PURE__ */ fault("expected-boolean", "expected true or false, got {found}");
/** Not a number. */
export const notANumber = /* @__PURE__ */ fault("expected-number", "expected a number, got {found}");
/** Not a text. */
export const notAText = /* @__PURE__ */ fault("expected-text", "expected a text, got {found}");
/** Not a list. */
export const notAList = /* @__PURE__ */ fault("expected-list", "expected a list, got {found}");
/** Not an object. */
export const notAnObject = /* @__PURE__ */ fault("expected-object", "expected an object, got {found}");
/** A getter, an iterator or a proxy of the caller that throws. */
export const unreadable = /* @__PURE__ */ fault("unreadable", "the input cannot be read: {reason:text}");
/** The CV set lacks a CV. */
export const missingCv = /* @__PURE__ */ fault("missing-cv", "not in the CV set");
/** A setting that is needed is not there. */
export const missingValue = /* @__PURE__ */ fault("missing-value", "a value is needed");
/** Some bits of a CV would be written while the others are not known. */
export const unknownBits = /* @__PURE__ */ fault(
  "unknown-bits",
  "not known, and the other bits of the CV are to be written: give the present CVs as the base",
);
/** A setting or key that does not exist. */
export const unknownName = /* @__PURE__ */ fault(
  "unknown-name",
  "there is no such name; the names are {allowed:list}",
);
/** An option that does not exist. */
export const notAnOption = /* @__PURE__ */ fault(
  "option",
  "{found} is not an option; the options are {allowed}",
);
/** A number out of range. */
export const outOfRange = /* @__PURE__ */ fault(
  "range",
  "{found} is out of range; allowed is {min} to {max}{unit:text}",
);
