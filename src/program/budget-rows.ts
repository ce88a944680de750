import type { Row, Term, Variable } from "./integer-program.js";
import type { Budget } from "./pack-program.js";

/** A budget as rows, perhaps with a variable of its own. */
export interface BudgetRow {
  readonly row: Row;
  /** Null: it needs none. */
  readonly variable: Variable | null;
}

/** What a budget's row depends on besides its spending. */
export interface BudgetUse {
  /** The variable of what is over; null: the budget is a limit. */
  readonly over: number | null;
  /** Whether what is spent is a variable: what an engine branches on, and cuts by, is then how many blocks there are. */
  readonly isCounted: boolean;
  /** The next variable that is free. */
  readonly first: number;
}

/** A budget as a row, from what spends it. `index` tells budgets apart. */
export function budgetRow(
  { limit }: Budget,
  index: number,
  spending: readonly Term[],
  { over, isCounted, first }: BudgetUse,
): BudgetRow {
  const name = `b${index}`;
  /** What is spent, less a variable. */
  const less = (variable: number): readonly Term[] => [...spending, { variable, coefficient: -1 }];
  if (over !== null) return { row: { name, terms: less(over), lower: null, upper: limit }, variable: null };
  if (!isCounted) return { row: { name, terms: spending, lower: null, upper: limit }, variable: null };
  return {
    row: { name, terms: less(first), lower: 0, upper: 0 },
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
