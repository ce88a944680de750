import { greatestCommonDivisor } from "../model/divisor.js";
import type { IntegerProgram } from "../program/integer-program.js";

/** Engines work in floating point: a bound this little above a possible value, in steps, may be that value. */
const BOUND_TOLERANCE = 1e-6;

/** What the sum of a bound may be off, as a part of the sizes of its terms: thousands of roundings. */
export const ROUNDING = 1e-12;

/**
 * The greatest number that divides every coefficient of an objective, so that every value of it is a multiple. 0 where there
 * is none: a coefficient is not whole, or all are 0.
 */
export function stepOf(coefficients: readonly number[]): number {
  const sizes = coefficients.map(Math.abs);
  return sizes.every(Number.isSafeInteger) ? sizes.reduce(greatestCommonDivisor, 0) : 0;
}

/** The step of a program's objective: see {@link stepOf}. */
export function objectiveStep(program: IntegerProgram): number {
  return stepOf(program.variables.map(({ objective }) => objective));
}

/**
 * The least value that the objective can take at or above a lower bound: the bound rounded up to a multiple of
 * `objectiveStep`; the bound itself where there is no step. (Whole solutions only: Marcotte 1985 on how often the
 * rounded bound is attained; it need not be.)
 */
export function roundUpBound(program: IntegerProgram, bound: number): number {
  const step = objectiveStep(program);
  return step === 0 ? bound : step * Math.ceil(bound / step - BOUND_TOLERANCE) + 0;
}

/** The program with one more row: atLeast <= objective <= atMost (null for no limit). Unchanged without limits. */
export function limitObjective(
  program: IntegerProgram,
  atLeast: number | null,
  atMost: number | null,
): IntegerProgram {
  if (atLeast === null && atMost === null) return program;
  const terms = program.variables
    .map(({ objective }, variable) => ({ variable, coefficient: objective }))
    .filter(({ coefficient }) => coefficient !== 0);
  return {
    ...program,
    rows: [...program.rows, { name: "limits of the objective", terms, lower: atLeast, upper: atMost }],
  };
}
