import type { IntegerProgram } from "../program/integer-program.js";
import type { StagedProgram } from "../program/stage-program.js";
import { ROUNDING } from "./bound.js";

/** The part of a step of the objective by which a variable has to miss a value to be left out: far above rounding errors. */
const MARGIN = 0.01;

/** How far below nothing the reduced price of a variable without upper limit may be: an engine's own tolerance. */
const PRICE_TOLERANCE = 1e-6;

/** A lower bound on a program, and how much dearer every solution gets, at least, that uses a variable. */
export interface ReducedPrices {
  readonly bound: number;
  /** By variable; below 0 where using it lowers the bound to what it is. */
  readonly prices: Float64Array;
}

/**
 * The bound that prices of a program's rows prove (Lagrangian duality), and the reduced prices of its variables. Any prices will do: a price with
 * the wrong sign for its row counts as none. Null where the prices bound nothing.
 */
export function pricesFromDuals(program: IntegerProgram, duals: readonly number[]): ReducedPrices | null {
  const prices = Float64Array.from(program.variables, ({ objective }) => objective);
  let bound = 0;
  let size = 0;
  const add = (term: number) => {
    bound += term;
    size += Math.abs(term);
  };
  for (const [index, { terms, lower, upper }] of program.rows.entries()) {
    const dual = duals[index]!;
    const limit = dual > 0 ? lower : upper;
    if (dual === 0 || limit === null) continue;
    add(dual * limit);
    for (const { variable, coefficient } of terms) prices[variable]! -= dual * coefficient;
  }
  for (const [variable, { upper }] of program.variables.entries()) {
    const price = prices[variable]!;
    if (price >= 0) continue;
    if (upper !== null) add(price * upper);
    else if (price < -PRICE_TOLERANCE) return null;
  }
  return { bound: bound - ROUNDING * size, prices };
}

/** The variables that a solution of the given value or better may use; `step`: what values of the objective are multiples of. */
export function variablesWithin({ bound, prices }: ReducedPrices, value: number, step: number): number[] {
  const most = value - bound + MARGIN * step;
  return [...prices.keys()].filter((variable) => prices[variable]! <= most);
}

/** The columns that a solution of the given value or better may use; `step`: what values of the objective are multiples of. */
export function columnsOfValue(
  { columnOf }: StagedProgram,
  reduced: ReducedPrices,
  value: number,
  step: number,
): Set<number> {
  const within = variablesWithin(reduced, value, step);
  return new Set(within.map((variable) => columnOf[variable]!).filter((column) => column >= 0));
}

/** The least multiple of `step` that a solution can be worth which is worth no less than a bound that prices prove. */
export function atOrAbove(bound: number, step: number): number {
  return step * Math.ceil(bound / step - MARGIN) + 0;
}
