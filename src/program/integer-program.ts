/**
 * The integer program as plain data, and its exact arithmetic.
 * In: nothing. Out: the form that every engine is given, and the recheck of what an engine answers.
 */

/** A linear integer program as plain data: minimise sum(objective[v] * x[v]); all variables whole and >= 0. */
export interface IntegerProgram {
  readonly variables: readonly Variable[];
  readonly rows: readonly Row[];
}

/** One unknown: a whole number from 0 to `upper`. */
export interface Variable {
  /** For messages only; engines know a variable by its place in the list. */
  readonly name: string;
  /** What one unit of it adds to the objective. */
  readonly objective: number;
  /** The largest value allowed; null for none. */
  readonly upper: number | null;
  /** Whether the rows leave it only whole values wherever the other variables are whole, so that an engine need not see to that. */
  readonly follows?: true;
  /** Whether it counts blocks, of one sort or of a pool: what a proof is divided by. */
  readonly isCount?: true;
}

/** One constraint: lower <= sum(coefficient * x[variable]) <= upper. A row without terms has the sum 0. */
export interface Row {
  /** For messages only; need not be unique. */
  readonly name: string;
  /** A variable may occur more than once: its coefficients then add up. */
  readonly terms: readonly Term[];
  /** null for none; equal to `upper` in an equation. */
  readonly lower: number | null;
  readonly upper: number | null;
}

/** One summand of a row. */
export interface Term {
  /** Index into the program's variables. */
  readonly variable: number;
  readonly coefficient: number;
}

/** The value of the objective at `x`; exact while coefficients and x are whole. */
export function objectiveValue(program: IntegerProgram, x: readonly number[]): number {
  return program.variables.reduce((sum, variable, v) => sum + variable.objective * (x[v] ?? 0), 0);
}

/** The program with some of its variables only, in the order given, the others at 0. */
export function restricted(program: IntegerProgram, variables: readonly number[]): IntegerProgram {
  const placeOf = new Map(variables.map((variable, place) => [variable, place]));
  return {
    variables: variables.map((variable) => program.variables[variable]!),
    rows: program.rows.map((row) => ({
      ...row,
      terms: row.terms.flatMap(({ variable, coefficient }) => {
        const place = placeOf.get(variable);
        return place === undefined ? [] : [{ variable: place, coefficient }];
      }),
    })),
  };
}

/** The values of all variables of a program, from those of the variables that it was restricted to. */
export function spread(
  program: IntegerProgram,
  variables: readonly number[],
  x: readonly number[],
): readonly number[] {
  const all = program.variables.map(() => 0);
  for (const [place, variable] of variables.entries()) all[variable] = x[place]!;
  return all;
}

/**
 * What `x` breaks, by name: rows out of their limits, and variables that are missing, not whole, below 0 or
 * above their upper limit. Empty where x is feasible. No tolerance: exact while coefficients and x are whole.
 */
export function violatedRows(program: IntegerProgram, x: readonly number[]): string[] {
  const outOfDomain = program.variables.filter(({ upper }, v) => {
    const value = x[v];
    return value === undefined || !Number.isInteger(value) || value < 0 || (upper !== null && value > upper);
  });
  const outOfLimits = program.rows.filter(({ terms, lower, upper }) => {
    const sum = terms.reduce((total, term) => total + term.coefficient * (x[term.variable] ?? 0), 0);
    return (lower !== null && sum < lower) || (upper !== null && sum > upper);
  });
  return [...outOfDomain, ...outOfLimits].map(({ name }) => name);
}
