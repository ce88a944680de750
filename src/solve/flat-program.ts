import type { IntegerProgram } from "../program/integer-program.js";

/**
 * An integer program as flat arrays: what goes to an engine's thread. Thousands of small objects take longer to copy than a small
 * program to solve.
 */
export interface FlatProgram {
  /** By variable; an `upper` of infinity is none. */
  readonly objective: Float64Array;
  readonly upper: Float64Array;
  /** 1: it is whole wherever the others are. */
  readonly follows: Uint8Array;
  /** By row; infinite: no limit. */
  readonly rowLower: Float64Array;
  readonly rowUpper: Float64Array;
  /** The terms of row r are `[starts[r], starts[r + 1])`, each variable once. */
  readonly starts: Int32Array;
  readonly variables: Int32Array;
  readonly coefficients: Float64Array;
}

/** A program as flat arrays; coefficients of a variable that occurs in a row more than once are added up. */
export function flatProgram({ variables, rows }: IntegerProgram): FlatProgram {
  const terms = rows.reduce((sum, row) => sum + row.terms.length, 0);
  const starts = new Int32Array(rows.length + 1);
  const indices = new Int32Array(terms);
  const coefficients = new Float64Array(terms);
  /** Where the variable's term of the row at hand is. */
  const place = new Int32Array(variables.length).fill(-1);
  let n = 0;
  rows.forEach(({ terms }, row) => {
    const start = n;
    for (const { variable, coefficient } of terms) {
      let at = place[variable]!;
      if (at < start) {
        at = n++;
        place[variable] = at;
        indices[at] = variable;
      }
      coefficients[at]! += coefficient;
    }
    starts[row + 1] = n;
  });
  return {
    objective: Float64Array.from(variables, ({ objective }) => objective),
    upper: Float64Array.from(variables, ({ upper }) => upper ?? Number.POSITIVE_INFINITY),
    follows: Uint8Array.from(variables, ({ follows }) => (follows ? 1 : 0)),
    rowLower: Float64Array.from(rows, ({ lower }) => lower ?? Number.NEGATIVE_INFINITY),
    rowUpper: Float64Array.from(rows, ({ upper }) => upper ?? Number.POSITIVE_INFINITY),
    starts,
    variables: indices.slice(0, n),
    coefficients: coefficients.slice(0, n),
  };
}
