import { aText, listOf, objectOf } from "../cv/argument.js";
import { nearestNames } from "../cv/nearest.js";
import type { Term } from "./term.js";
import { vocabulary } from "./vocabulary.js";

/** The options that say that a thing is not there or does not work. */
const notThere = "none";

/** Terms to look up. */
export class Lexicon {
  readonly #terms = new Map<string, Term>();

  /**
   * @param extra Terms besides the vocabulary's; one with the name of a known term takes its place.
   */
  constructor(extra: readonly Term[] = []) {
    for (const term of [...vocabulary, ...extra]) this.#terms.set(keyOf(term.name), term);
  }

  /** The term of a name. A whole number is an option of any choice that counts. */
  get(name: string): Term | undefined {
    const key = keyOf(name);
    const term = this.#terms.get(key);
    if (term || !/^\d{1,4}$/.test(key)) return term;
    const amount = Number(key);
    const definition = `The number ${amount}.`;
    return { name: String(amount), group: "general", type: "option", definition, amount };
  }

  /** The names nearest to an unknown one. */
  nearest(name: string): readonly string[] {
    return nearestNames(
      keyOf(name),
      [...this.#terms.values()].map((term) => term.name),
    );
  }

  /** The terms of a meaning, `"whistle, sound level"`: those that are known, and the names of the others. */
  parse(means: string): { readonly terms: readonly Term[]; readonly unknown: readonly string[] } {
    const terms: Term[] = [];
    const unknown: string[] = [];
    for (const name of means.split(",").map((part) => part.trim())) {
      const term = this.get(name);
      if (term) terms.push(term);
      else unknown.push(name);
    }
    return { terms, unknown };
  }

  /** Whether an option says that the thing is not there or does not work. */
  isNot(term: Term): boolean {
    return this.distanceUp(term.name, notThere) !== undefined;
  }

  /** How many steps a wider term is above a narrower one; 0 for the same, undefined where it is not above it. */
  distanceUp(narrow: string, wide: string): number | undefined {
    let term: Term | undefined = this.get(narrow);
    // The steps are limited, as terms from outside may run in a circle.
    for (let steps = 0; term && steps < 20; steps++) {
      if (keyOf(term.name) === keyOf(wide)) return steps;
      term = term.kindOf === undefined ? undefined : this.get(term.kindOf);
    }
    return undefined;
  }

  /**
   * How far one option is from another: 0 for the same; undefined where nothing connects them. A wider or
   * narrower term is nearer than one that only shares the wider term; options in an order are as far apart as
   * their ranks.
   */
  distance(a: Term, b: Term): number | undefined {
    if (keyOf(a.name) === keyOf(b.name)) return 0;
    // That a thing is not there is never nearly the same as that it is.
    if (this.isNot(a) !== this.isNot(b)) return undefined;
    const distances: number[] = [];
    if (a.rank !== undefined && b.rank !== undefined && a.of === b.of)
      distances.push(Math.abs(a.rank - b.rank));
    let wide: Term | undefined = a;
    for (let up = 0; wide && up < 20; up++) {
      const down = this.distanceUp(b.name, wide.name);
      // Every step down adds what the source does not say, which is worse than leaving something out.
      if (down !== undefined) distances.push(up + 1.25 * down);
      wide = wide.kindOf === undefined ? undefined : this.get(wide.kindOf);
    }
    return distances.length ? Math.min(...distances) : undefined;
  }
}

/** The form in which names are compared. */
export function keyOf(name: string): string {
  return name.trim().toLowerCase().replace(/\s+/g, " ");
}

const aTerm = /* @__PURE__ */ objectOf({ name: aText, group: aText, type: aText, definition: aText });

/** Options with terms. */
export const ofMeaning = /* @__PURE__ */ objectOf({ "terms?": /* @__PURE__ */ listOf(aTerm) });
