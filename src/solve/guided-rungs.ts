import { atOrAbove } from "./reduced-prices.js";
import { MANY_COLUMNS } from "./sized-run.js";

/** How often a stage is solved up to a value before it is solved as a whole. */
const MOST_RUNS = 12;

/** By what part of a unit of the first objective the first value is above the bound, and how many times farther each value is than the one before it. */
const FIRST_RAISE = 0.5;
const RAISE = 2;

/** How often a value is raised, with and without a run. */
const MOST_RAISES = 16;

/** The part of the way from the bound to the best in hand above which a value is not worth a run of its own: as it was met, and once it has been bettered. */
const NEARLY_ALL = { met: 0.8, bettered: 0.4 };

/** While nothing is in hand, a run with many columns is made only if the one before it had less than this part of them. */
const ALIKE = 0.95;

/** The part of the columns of the best in hand of which the first value has to have fewer for values to be raised where only duals tell them apart. */
const NARROWING = 0.8;

/** Solutions up to a value. */
export interface Rung {
  readonly value: number;
  /** No solution is worth less, if those up to all lower values are none. */
  readonly bound: number;
  /** The columns that solutions up to the value may use. */
  readonly columns: ReadonlySet<number>;
  /** Whether the value is that of a solution in hand. */
  readonly isLast: boolean;
}

/** What values are chosen from. */
export interface Raised {
  /** What one unit of the first objective counts. */
  readonly unit: number;
  /** What values are multiples of. */
  readonly step: number;
  /** A lower bound on all solutions. */
  readonly bound: number;
  /** The columns that a solution worth a value or less may use, and a bound that holds for those; infinite: there is none. */
  within(value: number): { readonly bound: number; readonly columns: ReadonlySet<number> };
}

/** The first value above the bound. */
function firstRaise({ unit, step }: Raised): number {
  return step * Math.ceil((FIRST_RAISE * unit) / step);
}

/** Whether low values leave out much of what solutions as good as the best in hand may use. */
export function isNarrowing(raised: Raised, most: number): boolean {
  const { step, bound, within } = raised;
  const low = within(atOrAbove(bound, step) + firstRaise(raised));
  return low.columns.size < NARROWING * within(most).columns.size;
}

/**
 * The values up to which a stage is solved, one after the other, each from how good the best in hand was known to be
 * when the last but one had been solved (`mostAt(n)` for the n-th). The last is that of the best in hand. Before the first one with many
 * columns, but the very first, it asks for how good that is once it has been bettered (null). Ends where nothing is in hand and a value would let in hardly
 * more columns: mostly nothing fits, which a run on all columns tells as soon. Returns a bound on all solutions, if those up to all these values are none.
 */
export function* rungsUpTo(
  raised: Raised,
  mostAt: (run: number) => number,
): Generator<Rung | null, number, number | undefined> {
  const { step, within, bound: start } = raised;
  let bound = atOrAbove(start, step);
  let raise = firstRaise(raised);
  let bettered: number | undefined;
  let before = 0;
  for (let runs = 0, raises = 0; runs < MOST_RUNS && raises < MOST_RAISES; ) {
    const most = Math.min(mostAt(runs), bettered ?? Number.POSITIVE_INFINITY);
    const nearly = bettered === undefined ? NEARLY_ALL.met : NEARLY_ALL.bettered;
    const isLast = raise > nearly * (most - bound);
    const value = isLast ? most : bound + raise;
    const { bound: least, columns } = within(value);
    const isDear = runs > 0 && columns.size > MANY_COLUMNS;
    if (isDear && bettered === undefined && Number.isFinite(most)) {
      bettered = (yield null) ?? most;
      continue;
    }
    if (isDear && most === Number.POSITIVE_INFINITY && before >= ALIKE * columns.size) return bound;
    raise *= RAISE;
    raises += 1;
    bound = least > value ? value + (isLast ? 0 : step) : Math.max(bound, atOrAbove(least, step));
    if (isLast && bound >= most) return most;
    if (least > value) continue;
    yield { value, bound, columns, isLast };
    if (isLast) return value;
    bound = value + step;
    before = columns.size;
    runs += 1;
  }
  return bound;
}
