import { fault, type Issue, under } from "./issue.js";

/** How many issues one call gives; beyond that they are only counted. */
export const mostIssues = 1000;

const more = /* @__PURE__ */ fault("more-issues", "issues that are not listed: {count}");

/** Collects issues, up to a limit: untrusted input must not fill the memory with issues. */
export class IssueList {
  readonly #issues: Issue[] = [];
  #more = 0;

  /** Whether there is any issue. */
  get some(): boolean {
    return this.#issues.length > 0;
  }

  /** Adds an issue. */
  add(issue: Issue): void {
    this.addAll([issue]);
  }

  /** Adds issues, with a path put before theirs. */
  addAll(issues: readonly Issue[], path = ""): void {
    const room = mostIssues - this.#issues.length;
    const listed = issues.slice(0, room);
    this.#issues.push(...(path ? under(path, listed) : listed));
    for (const { code, params } of issues.slice(room)) {
      // The last of another list that was full counts for all that it left out.
      this.#more += code === "more-issues" ? Number(params["count"]) : 1;
    }
  }

  /** The issues; where some are not listed, the last one has their number. */
  done(): Issue[] {
    return this.#more ? [...this.#issues, more({ count: this.#more })] : this.#issues;
  }
}
