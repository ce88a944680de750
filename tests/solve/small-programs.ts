import fc from "fast-check";
import { type IntegerProgram, objectiveValue, violatedRows } from "../../src/program/integer-program.js";

/** A program from short lists: `minimise` gives the objective; each row is [coefficients, lower, upper]. */
export function program(
  minimise: readonly number[],
  rows: readonly (readonly [readonly number[], number | null, number | null])[],
  upper: number | null | readonly (number | null)[] = null,
): IntegerProgram {
  return {
    variables: minimise.map((objective, v) => ({
      name: `v${v}`,
      objective,
      upper: Array.isArray(upper) ? upper[v] : (upper as number | null),
    })),
    rows: rows.map(([coefficients, lower, upperLimit], r) => ({
      name: `row ${r}`,
      terms: coefficients
        .map((coefficient, variable) => ({ variable, coefficient }))
        .filter(({ coefficient }) => coefficient !== 0),
      lower,
      upper: upperLimit,
    })),
  };
}

/** Invented programs, small enough to enumerate: up to 4 variables of at most 3, rows of every form. */
export const smallProgram: fc.Arbitrary<IntegerProgram> = fc.integer({ min: 1, max: 4 }).chain((size) =>
  fc.record({
    variables: fc.array(
      fc.record({
        name: fc.constant("objective"),
        objective: fc.integer({ min: -4, max: 9 }),
        upper: fc.integer({ min: 0, max: 3 }),
      }),
      { minLength: size, maxLength: size },
    ),
    rows: fc.array(
      fc.record({
        name: fc.constant("objective"),
        terms: fc.array(
          fc.record({
            variable: fc.integer({ min: 0, max: size - 1 }),
            coefficient: fc.integer({ min: -3, max: 7 }),
          }),
          { maxLength: size + 1 },
        ),
        lower: fc.option(fc.integer({ min: -3, max: 9 })),
        upper: fc.option(fc.integer({ min: -1, max: 14 })),
      }),
      { maxLength: 4 },
    ),
  }),
);

/** Invented programs whose relaxations are seldom whole: things of different size of which several rows ask for so much. */
export const covering: fc.Arbitrary<IntegerProgram> = fc
  .record({
    minimise: fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 4, maxLength: 4 }),
    rows: fc.array(
      fc.tuple(
        fc.array(fc.integer({ min: 0, max: 7 }), { minLength: 4, maxLength: 4 }),
        fc.integer({ min: 3, max: 30 }),
      ),
      { minLength: 1, maxLength: 3 },
    ),
  })
  .map(({ minimise, rows }) =>
    program(
      minimise,
      rows.map(([sizes, least]) => [sizes, least, null] as const),
      3,
    ),
  );

/** Every whole x within the upper limits (all must have one) that keeps the rows, with its value. */
export function solutionsOf(
  small: IntegerProgram,
): { readonly x: readonly number[]; readonly value: number }[] {
  return small.variables
    .reduce<number[][]>(
      (points, { upper }) =>
        points.flatMap((point) => Array.from({ length: upper! + 1 }, (_, value) => [...point, value])),
      [[]],
    )
    .filter((x) => violatedRows(small, x).length === 0)
    .map((x) => ({ x, value: objectiveValue(small, x) }));
}

/** The least value over every whole x within the upper limits; null where none is feasible. */
export function enumerate(small: IntegerProgram): number | null {
  const values = solutionsOf(small).map(({ value }) => value);
  return values.length === 0 ? null : Math.min(...values);
}
