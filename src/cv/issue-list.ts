import { fault, type Issue, under } from "./issue.js";

/** How many issues one call gives; beyond that they are only counted. */
export const mostIssues = 1000;

const more = /* @__PURE__ */ fault("more-issues", "{count} more issues are not listed");

/** Collects issues, up to a limit: a hostile file must not fill the memory with complaints. */
export class IssueList {
  readonly #issues: Issue[] = [];
  #more = 0;

  /** Whether there is any issue. */
  get some(): boolean {
    return this.#issues.length > 0;
  }

  /** Adds an issue. */
  add(issue: Issue): void {
    if (this.#issues.length < mostIssues) this.#issues.push(issue);
    else this.#more++;
  }

  /** Adds issues, with a path put before theirs. */
  addAll(issues: readonly Issue[], path = ""): void {
    for (const issue of path ? under(path, issues.slice(0, mostIssues + 1)) : issues) this.add(issue);
  }

  /** The issues; the last one tells how many more there are, where there are more. */
  done(): Issue[] {
    return this.#more ? [...this.#issues, more({ count: this.#more })] : this.#issues;
  }
}
