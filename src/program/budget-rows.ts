import type { Row, Term, Variable } from "./integer-program.js";
import type { Budget } from "./pack-program.js";

/** A budget as rows, perhaps with a variable of its own. */
export interface BudgetRow {
  readonly row: Row;
  /** Null: it needs none. */
  readonly variable: Variable | null;
}

/**
 * A budget as a row, from what spends it. What is over is a variable where it may be overrun. The units of each pool but the last are one
 * too, which follows from them and the objective: what an engine branches on, and cuts by, is then how many blocks there are.
 *
 * @param index tells budgets apart
 * @param over the variable of what is over; null: it is a limit
 * @param first the next variable that is free
 */
export function budgetRow(
  { limit, ofPool }: Budget,
  index: number,
  spending: readonly Term[],
  { over, isLastPool, first }: { over: number | null; isLastPool: boolean; first: number },
): BudgetRow {
  const name = `b${index}`;
  if (over !== null) {
    const terms = [...spending, { variable: over, coefficient: -1 }];
    return { row: { name, terms, lower: null, upper: limit }, variable: null };
  }
  if (!ofPool || isLastPool)
    return { row: { name, terms: spending, lower: null, upper: limit }, variable: null };
  return {
    row: { name, terms: [...spending, { variable: first, coefficient: -1 }], lower: 0, upper: 0 },
    variable: { name: `u${index}`, objective: 0, upper: limit, isCount: true },
  };
}

/** By how much spending can exceed a budget, the variables being at their upper limits; null: it is not limited. */
export function mostOver(
  { limit }: Budget,
  spending: readonly Term[],
  variables: readonly Variable[],
): number | null {
  let most = -limit;
  for (const { variable, coefficient } of spending) {
    const { upper } = variables[variable]!;
    if (upper === null) return null;
    most += coefficient * upper;
  }
  return Math.max(0, most);
}
