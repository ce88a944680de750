import type { IntegerProgram } from "../program/integer-program.js";
import { atOrAbove, type ReducedPrices, variablesWithin } from "./reduced-prices.js";

/** How many times farther above the bound the value is that is tried next. */
const RAISE = 3;

/** The part of the bound by which the value is raised at least: as many variables are let in by less, a run takes as long and tells less. */
const LEAST_RAISE = 0.002;

/** The part of the variables of which those that are left out are not worth a run without them. */
const NEARLY_ALL = 0.8;

/** The part of the bound by which the second value that is aimed at is above the first one, at least. Each is then twice as far from the one before it. */
const AIM_RAISE = 0.0002;

/** Variables of a sketch for each row of the program, where prices leave the choice, and the part of all that may count at most: more would be no sketch. */
const SKETCH = { each: 2.45, most: 0.7 };

/**
 * Variables for each row of the program that the first raised value lets in, at least: with nothing in hand, and from a solution. From one, half as many again find far
 * better ones in about a second, and twice as many take several.
 */
const FIRST = { fromNone: 1, fromKnown: 1.6 };

/** The best solution that is known. */
export interface Known {
  /** Infinite: none is known. */
  readonly value: number;
  /** Values of all variables, where runs begin from them; null: they do not. */
  readonly x: readonly number[] | null;
}

/**
 * What a set of variables is for.
 *
 * - `sketch`: a good solution soon, on the cheapest variables: it says nothing of others.
 * - `aimed`: nothing dearer than its value is sought, though nothing as good may be known: whether there is any is told soonest so.
 * - `raised`: the best solution, which is the best of all if it is worth the value.
 * - `last`: all variables that a solution better than the best known can use.
 */
export type RungKind = "sketch" | "aimed" | "raised" | "last";

/** Some variables of a program, with all that solutions up to a value may use among them. */
export interface Rung {
  readonly value: number;
  readonly variables: readonly number[];
  /** The best that was known when it was begun. */
  readonly known: Known;
  readonly kind: RungKind;
}

/** What sets of variables are chosen from. */
export interface Ladder {
  readonly program: IntegerProgram;
  readonly reduced: ReducedPrices;
  /** What values of the objective are multiples of. */
  readonly step: number;
  /** A lower bound on the program. */
  readonly bound: number;
  /** Variables that the last sketch does without, as solutions are often found sooner then; null: no sketches, and no values are aimed at. */
  readonly isIntricate: ((variable: number) => boolean) | null;
  /** Variables that follow from the others, so that no set can do without them. */
  readonly isDerived: (variable: number) => boolean;
}

/**
 * The variables that cost nothing at the relaxation's prices, then the cheapest ones, first of all, then of those that are not
 * intricate. `inOrder`: all variables, the cheapest first.
 */
function sketchesOf(
  { program, reduced, isIntricate, isDerived, step }: Ladder,
  inOrder: readonly number[],
): number[][] {
  if (isIntricate === null) return [];
  const size = Math.round(SKETCH.each * program.rows.length);
  const derived = inOrder.filter(isDerived);
  const others = inOrder.filter((variable) => !isDerived(variable));
  const withDerived = (list: readonly number[]) => [...list, ...derived].sort((a, b) => a - b);
  const within = new Set(variablesWithin(reduced, reduced.bound, step));
  return [
    withDerived(others.filter((variable) => within.has(variable))),
    withDerived(others.slice(0, size)),
    withDerived(others.filter((variable) => !isIntricate(variable)).slice(0, size)),
  ];
}

/** Two lists in rising order as one, without what stands in both. */
function union(a: readonly number[], b: readonly number[]): readonly number[] {
  return b.length === 0 ? a : [...new Set([...a, ...b])].sort((x, y) => x - y);
}

/**
 * The variables that a program is solved on, one set after the other, each chosen by what was known when the last but one had
 * been solved (`known[n]` for the n-th): sketches, each with a value that is aimed at, the bound first; then more such values, up to what is better than the best
 * known; then ever more variables. Each of these sets holds all of the one before it, and what runs begin from.
 * From a solution in hand the second set is of all that are left, chosen by what is known when the first has been solved: more of them take longer than they save.
 */
export function* rungsOf(ladder: Ladder, known: readonly Known[]): Generator<Rung> {
  const { program, reduced, step, isIntricate } = ladder;
  const { prices } = reduced;
  const inOrder = [...prices.keys()].sort((a, b) => prices[a]! - prices[b]! || a - b);
  const each = known[0]!.x === null ? FIRST.fromNone : FIRST.fromKnown;
  const enough = Math.min(program.variables.length, Math.max(1, Math.round(each * program.rows.length)));
  const first = Math.max(0, prices[inOrder[enough - 1]!]!);
  const sketches = sketchesOf(ladder, inOrder);
  let { bound } = ladder;
  let value = Math.max(bound, atOrAbove(reduced.bound + first, step));
  let aim = bound;
  let aimRaise = Math.max(step, atOrAbove(AIM_RAISE * Math.abs(bound), step));
  let isAimNext = isIntricate === null;
  /** What runs have begun from. */
  let own: readonly number[] = [];
  for (let runs = 0; ; runs++) {
    const isForAll = known[0]!.x !== null && runs > 0;
    const now = isForAll ? known.at(-1)! : known[runs]!;
    if (bound >= now.value) return;
    const all = variablesWithin(reduced, now.value - step, step);
    const [sketch] = sketches;
    // A step above the bound, only what is worth the bound is still to be found: whether there is any, all variables tell.
    const isClose = now.value <= ladder.bound + step;
    if (!isAimNext && sketch !== undefined && !isClose && sketch.length <= SKETCH.most * all.length) {
      sketches.shift();
      isAimNext = true;
      yield { value: ladder.bound - step, variables: sketch, known: { ...now, x: null }, kind: "sketch" };
      continue;
    }
    if (isIntricate !== null && aim < now.value - step) {
      isAimNext = false;
      const variables = variablesWithin(reduced, aim, step);
      yield { value: aim, variables, known: now, kind: "aimed" };
      bound = aim + step;
      aim += aimRaise;
      aimRaise *= 2;
      continue;
    }
    value = Math.min(value, now.value - step);
    let variables = variablesWithin(reduced, value, step);
    if (isForAll || variables.length > NEARLY_ALL * all.length) {
      value = now.value - step;
      variables = all;
    }
    if (now.x !== null) {
      own = union(
        own,
        now.x.flatMap((items, variable) => (items > 0 ? [variable] : [])),
      );
    }
    const kind = value === now.value - step ? "last" : "raised";
    yield { value, variables: union(variables, own), known: now, kind };
    bound = value + step;
    const next = Math.max(
      reduced.bound + RAISE * (value + step - reduced.bound),
      value + LEAST_RAISE * Math.abs(reduced.bound),
    );
    value = atOrAbove(next, step);
  }
}
