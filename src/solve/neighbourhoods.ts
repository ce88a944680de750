import type { Ties } from "./ties.js";

/** Of the owners that have a choice, the part that chooses anew, and how many do at least. */
const ANEW = { part: 0.2, least: 3 };

/** How many keys in common chance may stand for: else the same neighbours would come again and again. */
const CHANCE = 1.5;

/** A sequence of numbers from 0 to 1 that is always the same: a linear congruential generator, Numerical Recipes, 1992 (from memory). */
function chances(): () => number {
  let state = 1;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Neighbourhoods of solutions: the variables of some owners that bring fragments to the same blocks, with what a solution uses of all others. */
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
   * The variables of the next one, in rising order; null: so few owners have a choice that one is no smaller than the whole.
   *
   * @param x the solution, a value a variable
   * @param isOpen whether a variable may be part of a better one
   */
  next(x: readonly number[], isOpen: (variable: number) => boolean): readonly number[] | null {
    const { owners, keys } = this.ties;
    const anew = this.choose(isOpen);
    if (anew === null) return null;
    const touched = new Set<string>();
    const isIn = owners.map((owner, variable) => {
      if (owner === null) return false;
      const isFree = anew.has(owner) && isOpen(variable);
      if (anew.has(owner)) for (const key of keys[variable]!) touched.add(key);
      return isFree || x[variable]! > 0;
    });
    return [...owners.keys()].filter((variable) => {
      if (owners[variable] !== null) return isIn[variable];
      const own = keys[variable]!;
      return (
        x[variable]! > 0 || (isOpen(variable) && (own.length === 0 || own.some((key) => touched.has(key))))
      );
    });
  }

  /** Some owner that has a choice, and those that share most with it. */
  private choose(isOpen: (variable: number) => boolean): ReadonlySet<string> | null {
    const { keys } = this.ties;
    const withChoice = [...this.variablesOf].flatMap(([owner, variables]) => {
      const open = variables.filter(isOpen);
      return open.length > 1 ? [{ owner, keys: new Set(open.flatMap((variable) => keys[variable]!)) }] : [];
    });
    const size = Math.max(ANEW.least, Math.round(ANEW.part * withChoice.length));
    if (withChoice.length <= size) return null;
    const first = withChoice[Math.floor(this.chance() * withChoice.length)]!;
    const near = withChoice.map((each) => {
      const common = [...each.keys].filter((key) => first.keys.has(key)).length;
      return { ...each, common: each === first ? Number.POSITIVE_INFINITY : common + CHANCE * this.chance() };
    });
    near.sort((a, b) => b.common - a.common);
    return new Set(near.slice(0, size).map(({ owner }) => owner));
  }
}
