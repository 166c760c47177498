/** Input that cannot be used, or a wrong command line: exit status 2. Each line is one thing that is wrong. */
export class Unusable extends Error {
  readonly lines: readonly string[];

  constructor(...lines: readonly string[]) {
    super(lines.join("\n"));
    this.lines = lines;
  }
}
