// @ts-check
/**
 * The engine `javascript-lp-solver`: simplex and branch and bound in plain JavaScript. Its own time limit is not
 * obeyed, so none is given; ending the thread is the only deadline.
 *
 * @import { Claim, Task } from "./protocol.js"
 */
import solverModule from "javascript-lp-solver";

// As with highs: the types describe the CommonJS form, one level deeper than the ES module.
const solver = /** @type {import("javascript-lp-solver").SolverAPI} */ (
  /** @type {unknown} */ (solverModule)
);

/**
 * The objective's name. Rows are called r0, r1 ...: a row of the objective's own name was seen to make this engine
 * say "infeasible" where there is an optimum.
 */
const OBJECTIVE = "objective";

/**
 * Solves one task. A tree searched to its end is called optimal without a bound.
 *
 * @param {Task} task
 * @returns {Promise<Claim>}
 */
export async function run({ program, whole }) {
  const answer = /** @type {import("javascript-lp-solver").SolveResult} */ (
    solver.Solve(model(program, whole))
  );
  if (answer.bounded === false) return { status: "failed", reason: "the objective has no lower limit" };
  // Without a whole solution it leaves the last node's fractional point and calls it feasible.
  if (!answer.feasible || (whole && !answer.isIntegral)) return { status: "infeasible" };
  const x = Array.from(program.objective, (_, v) => Number(answer[`x${v}`] ?? 0));
  return { status: "optimal", x, value: answer.result, bound: whole ? null : answer.result };
}

/**
 * @param {Task["program"]} program
 * @param {boolean} whole
 */
function model(program, whole) {
  /** @type {Record<string, { min?: number; max?: number; equal?: number }>} */
  const constraints = {};
  /** @type {Record<string, Record<string, number>>} */
  const variables = {};
  program.objective.forEach((objective, v) => {
    const upper = program.upper[v];
    variables[`x${v}`] = { [OBJECTIVE]: objective };
    if (upper === undefined || upper === Number.POSITIVE_INFINITY) return;
    constraints[`u${v}`] = { max: upper };
    variables[`x${v}`] = { [OBJECTIVE]: objective, [`u${v}`]: 1 };
  });
  program.rowLower.forEach((lower, r) => {
    const upper = program.rowUpper[r] ?? Number.POSITIVE_INFINITY;
    constraints[`r${r}`] =
      lower === upper
        ? { equal: lower }
        : {
            ...(lower !== Number.NEGATIVE_INFINITY && { min: lower }),
            ...(upper !== Number.POSITIVE_INFINITY && { max: upper }),
          };
    const end = program.starts[r + 1] ?? 0;
    for (let at = program.starts[r] ?? 0; at < end; at++) {
      const column = variables[`x${program.variables[at]}`];
      if (column) column[`r${r}`] = program.coefficients[at] ?? 0;
    }
  });
  return {
    optimize: OBJECTIVE,
    opType: /** @type {const} */ ("min"),
    constraints,
    variables,
    ints: whole ? Object.fromEntries(Object.keys(variables).map((name) => [name, true])) : {},
    // A cycle would otherwise end a branch as infeasible; better to be ended from outside than to be wrong.
    // Its presolve was seen to call a row without coefficients infeasible.
    options: { exitOnCycles: false, presolve: false },
  };
}
