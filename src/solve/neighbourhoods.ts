import type { Excerpt, Ties } from "./ties.js";

/** Owners that choose anew at least. */
const LEAST_ANEW = 3;

/** Choices of the owners that choose anew at most, where there is more than one: with more, highs takes seconds. */
const MOST_CHOICES = 500;

/** A sequence of numbers from 0 to 1 that is always the same: a linear congruential generator, Numerical Recipes, 1992 (from memory). */
function chances(): () => number {
  let state = 1;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Neighbourhoods of solutions: all choices of some owners, and of all others those of the solution. */
export class Neighbourhoods {
  private readonly chance = chances();
  private readonly variablesOf = new Map<string, number[]>();

  constructor(private readonly ties: Ties) {
    for (const [variable, owner] of ties.owners.entries()) {
      if (owner === null) continue;
      const list = this.variablesOf.get(owner);
      if (list === undefined) this.variablesOf.set(owner, [variable]);
      else list.push(variable);
    }
  }

  /**
   * The program of the next one; null: so few owners have a choice that one is no smaller than the whole.
   *
   * @param x the solution, a value a variable
   * @param isOpen whether a variable may be part of a better one
   * @param share the part of the owners with a choice that choose anew
   */
  next(x: readonly number[], isOpen: (variable: number) => boolean, share: number): Excerpt | null {
    const withChoice = [...this.variablesOf.values()]
      .map((variables) => variables.filter(isOpen))
      .filter((open) => open.length > 1);
    const size = Math.max(LEAST_ANEW, Math.round(share * withChoice.length));
    if (withChoice.length <= size) return null;
    // Whichever they are: those that bring fragments to the same blocks were not seen to do better.
    const drawn = withChoice.map((open) => ({ open, at: this.chance() })).sort((a, b) => a.at - b.at);
    const anew = new Set<number>();
    for (const { open } of drawn.slice(0, size)) {
      if (anew.size > 0 && anew.size + open.length > MOST_CHOICES) break;
      for (const variable of open) anew.add(variable);
    }
    const { owners, excerptOf } = this.ties;
    return excerptOf(
      [...owners.keys()].filter(
        (variable) => owners[variable] !== null && (x[variable]! > 0 || anew.has(variable)),
      ),
    );
  }
}
