import { fault } from "../cv/issue.js";

// Every kind of fault of the readers, by what it is about. docs/files.md lists them.

// The whole file

/** A byte that is not UTF-8. */
export const notUtf8 = /* @__PURE__ */ fault(
  "encoding-not-utf",
  "the byte {byte:text} is not UTF-8 here; save the file as UTF-8",
);
/** Another encoding, by its mark. */
export const utf16 = /* @__PURE__ */ fault(
  "encoding-utf-sixteen",
  "this is UTF-16, by its byte-order mark; save the file as UTF-8",
);
/** Another encoding, by its zeros. */
export const utf16Bare = /* @__PURE__ */ fault(
  "encoding-utf-sixteen-unmarked",
  "this looks like UTF-16 without a byte-order mark; save the file as UTF-8",
);
/** A file that is not a text. */
export const notText = /* @__PURE__ */ fault(
  "not-text",
  "this is not a text: it has the character U+0000, as binary files and UTF-16 have",
);
/** More than is read. */
export const tooLong = /* @__PURE__ */ fault(
  "too-long",
  "this is longer than {max} characters, the most that is read; split the file",
);
/** A file without content. */
export const emptyFile = /* @__PURE__ */ fault("empty-file", "the file is empty");
/** Errors that are only counted. */
export const moreErrors = /* @__PURE__ */ fault(
  "more-errors",
  "{count} more errors are not listed; the first {kept} are",
);
/** Notes that are only counted. */
export const moreNotes = /* @__PURE__ */ fault(
  "more-notes",
  "{count} more notes are not listed; the first {kept} are",
);

// What kind of file it is

/** A file of another kind. */
export const wrongKind = /* @__PURE__ */ fault(
  "wrong-file-kind",
  "this is {found:text}; expected {expected:text}",
);
/** Keys of two kinds of file. */
export const bothKinds = /* @__PURE__ */ fault(
  "two-file-kinds",
  'this has both "cvs" and "settings"; a file has one of them',
);
/** JSON that is none of the files. */
export const unknownKind = /* @__PURE__ */ fault(
  "unknown-file-kind",
  'it cannot be told what this file is: expected the key "cvs", "settings", "features" or "steps", or CV numbers as keys; the keys are {keys}',
);
/** A value that no file starts with. */
export const notAFile = /* @__PURE__ */ fault(
  "not-an-object",
  'expected an object with the key "cvs" or "settings", got {found}',
);
/** More than one document. */
export const severalDocuments = /* @__PURE__ */ fault(
  "several-documents",
  "a second document starts here; expected one",
);
/** More than one locomotive. */
export const severalLocomotives = /* @__PURE__ */ fault(
  "several-locomotives",
  "this has {count} locomotives ({names:list}); expected one",
);

// JSON

/** Nested too deeply. */
export const tooDeep = /* @__PURE__ */ fault(
  "too-deep",
  "lists and objects are nested more than {max} levels deep here",
);
/** The same key again. */
export const duplicateKey = /* @__PURE__ */ fault(
  "duplicate-key",
  "the key {key} is given twice, first on line {line}; keep one of the two",
);
/** Something else where a key belongs. */
export const jsonKey = /* @__PURE__ */ fault(
  "json-key",
  'expected a key in double quotes, as in "29": 34, got {found}',
);
/** No colon after a key. */
export const jsonColon = /* @__PURE__ */ fault(
  "json-colon",
  "expected a colon between the key {key} and its value, got {found}",
);
/** No comma after a value. */
export const jsonComma = /* @__PURE__ */ fault(
  "json-comma",
  "expected a comma or a closing {bracket:text}, got {found}",
);
/** A comma too many. */
export const jsonLastComma = /* @__PURE__ */ fault(
  "json-last-comma",
  "there is a comma before this closing {bracket:text}; take it out",
);
/** Something else where a value belongs. */
export const jsonValue = /* @__PURE__ */ fault(
  "json-value",
  "expected a value (a number, true, false, null, or a text in double quotes), got {found}",
);
/** Nothing where a value belongs. */
export const jsonNoValue = /* @__PURE__ */ fault(
  "json-no-value",
  "a value is missing before this {found:text}",
);
/** The end where a value belongs. */
export const jsonNothing = /* @__PURE__ */ fault("json-nothing", "expected a value, but the text ends");
/** The end before a bracket. */
export const jsonOpen = /* @__PURE__ */ fault(
  "json-open",
  "the text ends here, but the {bracket:text} that closes line {line} is missing",
);
/** Something behind the end. */
export const jsonAfter = /* @__PURE__ */ fault(
  "json-after",
  "nothing may follow the end of the {kind:text}, got {found}",
);
/** A remark. */
export const jsonRemark = /* @__PURE__ */ fault(
  "json-remark",
  'there are no remarks in JSON; use the key "note"',
);
/** `True` for `true`. */
export const jsonWord = /* @__PURE__ */ fault("json-word", "write {word:text} in small letters");
/** Other quotes. */
export const jsonQuotes = /* @__PURE__ */ fault(
  "json-quotes",
  'texts are written in straight double quotes: "like this"',
);
/** A number in another notation. */
export const jsonNumber = /* @__PURE__ */ fault(
  "json-number",
  "{found} is not a number of JSON: digits, no zero or + in front, no hexadecimal",
);
/** A text without an end. */
export const jsonUnclosed = /* @__PURE__ */ fault(
  "json-unclosed",
  "the closing double quote of this text is missing",
);
/** A text that goes on over the line end. */
export const jsonLineBreak = /* @__PURE__ */ fault(
  "json-line-break",
  'the closing double quote is missing on this line; a line break in a text is written "\\n"',
);
/** A control character in a text. */
export const jsonControl = /* @__PURE__ */ fault(
  "json-control",
  'the control character {character:text} in a text is written "{escape:text}"',
);
/** A backslash before something else. */
export const jsonEscape = /* @__PURE__ */ fault(
  "json-escape",
  'expected " \\ / b f n r t or u and four hexadecimal digits after a backslash; the backslash itself is written \\\\',
);

// The keys of a file

/** A key that no file has. */
export const unknownKey = /* @__PURE__ */ fault(
  "unknown-key",
  "the key {key} is not known; a file of this kind may have {allowed}",
);
/** Keys of the command's own output that are not read again. */
export const unreadKeys = /* @__PURE__ */ fault("unread-keys", "keys not read: {keys}");
/** A text that is empty or something else. */
export const emptyText = /* @__PURE__ */ fault(
  "empty-text",
  "expected a text in double quotes that is not empty, got {found}",
);
/** A map of CVs that is something else. */
export const notAMap = /* @__PURE__ */ fault(
  "not-a-cv-map",
  "expected an object with CV numbers as keys and values from 0 to 255, got {found}",
);
/** Settings that are something else. */
export const notSettings = /* @__PURE__ */ fault(
  "not-settings",
  "expected an object with the names of settings as keys, got {found}",
);
/** A list of bits that is something else. */
export const notBits = /* @__PURE__ */ fault(
  "not-bits",
  'expected a list of objects with "cv", "mask" and "value", got {found}',
);
/** A bare map with another key. */
export const keyAmongCvs = /* @__PURE__ */ fault(
  "key-among-cvs",
  'the key {key} is not a CV; a file with other keys has its CVs under "cvs"',
);
/** A number that JavaScript would change. */
export const tooLarge = /* @__PURE__ */ fault(
  "number-too-large",
  "{number:text} is too large a number to be kept exactly",
);

// CVs and values

/** A value that is no byte, in a list. */
export const badListValue = /* @__PURE__ */ fault(
  "list-value",
  "expected a whole number from 0 to 255, as in 34, 0x22 or 0b100010, got {found}",
);
/** A value that may be binary. */
export const ambiguousValue = /* @__PURE__ */ fault(
  "ambiguous-value",
  "{found} can be read as binary ({binary}) or as decimal ({decimal}); write {written:text} for the binary number",
);
/** A byte in another spelling, in JSON. */
export const valueSpelling = /* @__PURE__ */ fault(
  "value-spelling",
  "expected a whole number from 0 to 255 without sign, point or exponent, got {number:text}",
);
/** A byte in quotes, in JSON. */
export const valueQuoted = /* @__PURE__ */ fault(
  "value-quoted",
  "expected a whole number from 0 to 255 without quotes, got {found}",
);
/** Bits that a CV does not have. */
export const badBits = /* @__PURE__ */ fault(
  "list-bits",
  "expected a bit from 0 to 7, or two as in bits 0-2, got {found}",
);
/** A number that does not fit into its bits. */
export const badBitsValue = /* @__PURE__ */ fault(
  "list-bits-value",
  "expected a whole number from 0 to {max}, got {found}",
);
/** Two values for one CV. */
export const cvTwice = /* @__PURE__ */ fault(
  "cv-twice",
  "given twice with different values, {before} on line {line} and {value} here; keep one of the two",
);
/** Two values for a CV that may be of several pages. */
export const pagedCvTwice = /* @__PURE__ */ fault(
  "paged-cv-twice",
  "given twice with different values, {before} on line {line} and {value} here; to tell index pages apart write CV 300 of the page CV 31 = 16, CV 32 = 0 as 300@16.0",
);
/** The same again. */
export const cvAgain = /* @__PURE__ */ fault("cv-again", "{value} is given twice, first on line {line}");
/** CVs of the indexed area without their page. */
export const unpaged = /* @__PURE__ */ fault(
  "unpaged-cvs",
  "CV {cvs:list}: indexed CVs without an index page, kept as they are; where a page is meant, write it as in {example:text}",
);
/** The same, where the file has CV 31 and CV 32. */
export const unpagedWithPage = /* @__PURE__ */ fault(
  "unpaged-cvs-with-page",
  "CV {cvs:list}: indexed CVs without an index page, kept as they are; if the page of CV 31 and CV 32 in this file is meant, write it as in {example:text}",
);
/** A file without CVs. */
export const noCvs = /* @__PURE__ */ fault("no-cvs", "there is no CV in it");

// Lists

/** Something that is no line of a list. */
export const notUnderstood = /* @__PURE__ */ fault(
  "not-understood",
  "{found} is not understood; write one CV a line, as in CV29 = 34; remarks start with # or ;",
);
/** Something behind a CV. */
export const notUnderstoodAfter = /* @__PURE__ */ fault(
  "not-understood-after",
  "{found} is not understood after {what:text}; write one CV a line, as in CV29 = 34; remarks start with # or ;",
);
/** A CV alone. */
export const noValue = /* @__PURE__ */ fault(
  "no-value",
  "{cv:text} has no value; write one CV a line, as in CV29 = 34; remarks start with # or ;",
);
/** A CV with only a remark behind it. */
export const noValueButRemark = /* @__PURE__ */ fault(
  "no-value-but-remark",
  "{cv:text} has no value, for a semicolon starts a remark; write one CV a line, as in CV29 = 34",
);
/** A CV behind a semicolon. */
export const cvInRemark = /* @__PURE__ */ fault(
  "cv-in-remark",
  "a remark starts at the semicolon, but what follows looks like a CV; give it a line of its own",
);
/** Nothing in the file is a line of a list. */
export const notAListOfCvs = /* @__PURE__ */ fault(
  "not-a-cv-list",
  "{lines} lines, and not one is understood; a list of CVs has lines such as CV29 = 34, a table has a header such as CV,Value, and JSON starts with {brace:text}",
);
/** A character that looks like a line break. */
export const looksLikeLineEnd = /* @__PURE__ */ fault(
  "line-look-alike",
  "the character {character:text} looks like a line break in some programs, but ends no line; put a line break in its place",
);
/** A name or decoder without a text. */
export const emptyLabel = /* @__PURE__ */ fault(
  "empty-label",
  "the {label:text} is empty; write it, or take the line out",
);
/** A quoted name that is wrong. */
export const badLabel = /* @__PURE__ */ fault(
  "bad-label",
  "the text after {label:text} does not end with a double quote, or has a wrong \\",
);
/** Two names. */
export const labelTwice = /* @__PURE__ */ fault(
  "label-twice",
  "the {label:text} is given twice, {before} and {value}; keep one of the two",
);
/** The same name again. */
export const labelAgain = /* @__PURE__ */ fault("label-again", "the {label:text} is given twice");

// Tables

/** A quote without an end. */
export const cellUnclosed = /* @__PURE__ */ fault(
  "cell-unclosed",
  "the double quote that opens this cell is never closed",
);
/** Text behind a quote. */
export const cellAfterQuote = /* @__PURE__ */ fault(
  "cell-after-quote",
  "after the closing double quote of a cell a {delimiter:text} must follow",
);
/** A row that is too long. */
export const rowTooLong = /* @__PURE__ */ fault(
  "row-too-long",
  "this row has {cells} cells instead of {width}",
);
/** A row that is too long, of a table without a header. */
export const rowWithoutHeader = /* @__PURE__ */ fault(
  "row-without-header",
  "this row has {cells} cells instead of {width}; name the columns in a first row, as in CV,Value",
);
/** A row without a value. */
export const noValueInRow = /* @__PURE__ */ fault(
  "no-value-in-row",
  "{cv:text} has no value; it must be in column {column}, after a {delimiter:text}",
);
/** A column of the same kind again. */
export const columnTwice = /* @__PURE__ */ fault(
  "second-column",
  "{column} is a second column of its kind; rename or remove it",
);
/** Columns that are not read. */
export const unreadColumns = /* @__PURE__ */ fault("unread-columns", "columns not read: {columns}");

// Writing and changing files

/** A value that JSON does not have. */
export const notJson = /* @__PURE__ */ fault(
  "not-json",
  "expected a number, a text, true, false, null, a list or a plain object, got {found}",
);
/** A list or object within itself. */
export const circular = /* @__PURE__ */ fault("circular", "the value contains itself");
/** A value that is nested too deeply to be read again. */
export const nestedTooDeep = /* @__PURE__ */ fault("value-too-deep", "nested more than {max} levels deep");
/** An empty text, where one may be left out. */
export const emptyHead = /* @__PURE__ */ fault(
  "empty-head",
  "expected a text that is not empty; leave it out, or write one",
);
/** An item behind the end of a list. */
export const noSuchItem = /* @__PURE__ */ fault(
  "no-such-item",
  "the list has {count} items, and no item {item}",
);
/** An item alone, to be removed. */
export const itemStays = /* @__PURE__ */ fault(
  "list-item-stays",
  "an item of a list cannot be removed alone; give the whole list",
);
/** All settings at once. */
export const settingsStay = /* @__PURE__ */ fault(
  "settings-stay",
  "expected the path of a setting, got {found}",
);
