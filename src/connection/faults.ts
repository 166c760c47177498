import { fault, type Issue, messageOf } from "../cv/issue.js";

// What can go wrong between here and the decoder.

/** The connection lacks a function. */
export const lacking = /* @__PURE__ */ fault(
  "connection-lacks",
  "the connection has no {needed:text}, which is needed {purpose:text}",
);
/** Something is done only when it is asked for by name. */
export const notAllowed = /* @__PURE__ */ fault(
  "not-allowed",
  '{what:text} is done only with allow: ["{permission:text}"]',
);
/** No address on the main. */
export const noAddress = /* @__PURE__ */ fault(
  "read-out-address",
  "the decoder's address is needed on the main",
);
/** No answer in time. */
export const timedOut = /* @__PURE__ */ fault(
  "connection-timeout",
  "no answer within {milliseconds} ms; whether it arrived is not known",
);
/** An answer that is none. */
export const nonsense = /* @__PURE__ */ fault(
  "connection-answer",
  "the connection answered {found}; expected {expected:text}",
);
/** The connection rejected. */
export const rejected = /* @__PURE__ */ fault("connection-failed", "the connection failed: {reason:text}");
/** A callback of the caller threw. */
export const callbackFailed = /* @__PURE__ */ fault(
  "callback-failed",
  "{name:text} failed, so the run ends: {reason:text}",
);
/** Ended by its signal. */
export const aborted = /* @__PURE__ */ fault("aborted", "ended by the caller's signal");
/** A value that could not be proved. */
export const unproved = /* @__PURE__ */ fault(
  "not-proved",
  "{value} was written, and the decoder did not confirm it in {attempts} tries",
);
/** A value that is another one. */
export const holdsOther = /* @__PURE__ */ fault(
  "holds-other",
  "should hold {value}, and holds {found:value} after {attempts} tries",
);
/** A step that depends on one that failed. */
export const dependent = /* @__PURE__ */ fault(
  "depends-on-failed",
  "not written, since CV {cvs:list} before it failed",
);
/** Something that is left between two states. */
export const halfDone = /* @__PURE__ */ fault("half-done", "left half done: {what:text}");
/** The rest cannot be planned from what is known. */
export const noRest = /* @__PURE__ */ fault(
  "rest-unknown",
  "the rest cannot be planned from what is known: {reason:text}",
);
/** Nobody answers. */
export const nobody = /* @__PURE__ */ fault(
  "no-decoder",
  "nothing answers: no decoder, a bad contact, or a mode that the decoder does not have",
);
/** The description is of another decoder. */
export const otherDecoder = /* @__PURE__ */ fault(
  "other-decoder",
  "the description has {expected} and the decoder holds {found}: they may not belong together",
);
/** Pages that a locked decoder does not show. */
export const lockedPages = /* @__PURE__ */ fault(
  "locked-pages",
  "the decoder is locked, so that no index page can be selected",
);
/** The index cannot be put back. */
export const indexUnread = /* @__PURE__ */ fault(
  "index-unread",
  "CV 31 and 32 give no answer, so that the selected page could not be put back; no index page is read",
);
/** The page register cannot be set. */
export const noPage = /* @__PURE__ */ fault(
  "page-register",
  "the decoder did not confirm the page register, so nothing was sent to its data registers",
);
/** The decoder's address may be one of several. */
export const addressOpen = /* @__PURE__ */ fault(
  "address-open",
  "a change of address was not confirmed, and the decoder answers at neither address",
);
/** Not a journal. */
export const notAJournal = /* @__PURE__ */ fault(
  "journal",
  "expected a journal of carryOut with a line that begins a run",
);
/** A line of a journal that cannot be read. */
export const badLine = /* @__PURE__ */ fault(
  "journal-line",
  "line {line} of the journal cannot be read: {found}",
);

/** A call that failed. `final`: the connection can no longer be used, or not be trusted. */
export class CallFailed extends Error {
  readonly issue: Issue;
  readonly final: boolean;
  constructor(issue: Issue, final: boolean) {
    super(messageOf(issue));
    this.issue = issue;
    this.final = final;
  }
}
