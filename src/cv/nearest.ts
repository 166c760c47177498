/** The longest name that is compared; of a longer one only the beginning counts. */
const longest = 64;
/** How many names are compared with a misspelt one; a description has far fewer. */
const most = 2000;
/** How many pairs of letters are compared; names of usual length reach the limit above before this one. */
const mostPairs = 400_000;

/** How many misspelt names of one call are compared; input with more of them has another fault than spelling. */
export const mostMisspelt = 20;

/**
 * {@link nearestNames} for all the names of one call: the first twenty get suggestions, the others none, so that
 * the time does not grow with the number of wrong names times the number of right ones.
 */
export class Spelling {
  #left = mostMisspelt;

  /** As {@link nearestNames}; none once the limit is reached, and then the names are not even asked for. */
  nearest(name: string, names: () => Iterable<string>): string[] {
    return this.#left-- > 0 ? nearestNames(name, names()) : [];
  }
}

/**
 * The names nearest to a misspelt one, the best first, at most three.
 * @param name What was written.
 * @param names What is allowed.
 */
export function nearestNames(name: string, names: Iterable<string>): string[] {
  const wanted = name.slice(0, longest).toLowerCase();
  const scored: [number, string][] = [];
  let compared = 0;
  let pairs = 0;
  for (const candidate of names) {
    if (++compared > most) break;
    // More than half of the letters wrong, or all of a short name, is no longer a misspelling.
    const length = Math.min(candidate.length, longest);
    const mostEdits = Math.min(length - 1, Math.max(1, length / 2));
    if (Math.abs(candidate.length - wanted.length) > mostEdits) continue;
    if ((pairs += wanted.length * length) > mostPairs) break;
    const edits = editDistance(wanted, candidate.toLowerCase());
    if (edits <= mostEdits) scored.push([edits, candidate]);
  }
  return scored
    .sort((a, b) => a[0] - b[0])
    .slice(0, 3)
    .map(([, candidate]) => candidate);
}

function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(change, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
