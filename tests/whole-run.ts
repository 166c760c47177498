import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

// Around the whole run: what tests write for a while goes below one folder, in which nothing is left at the end.

export function setup(): () => void {
  const folder = mkdtempSync(join(tmpdir(), "cvset-run-"));
  process.env["TMPDIR"] = folder;
  return () => {
    const left = readdirSync(folder);
    rmSync(folder, { recursive: true, force: true });
    if (left.length === 0) return;
    // What is thrown here is printed; the status of the run has to be set beside it.
    process.exitCode = 1;
    throw new Error(`tests left these in the folder for temporary files: ${left.join(", ")}`);
  };
}
