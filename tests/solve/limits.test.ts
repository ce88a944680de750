import { describe, expect, test } from "vitest";
import { objectiveValue, violatedRows } from "../../src/program/integer-program.js";
import { objectiveStep, roundUpBound, solveRelaxation, solveWith } from "../../src/solve/index.js";
import { program } from "./small-programs.js";

const deadlineMs = 20_000;
const engines = ["javascript-lp-solver", "highs"] as const;

describe("the objective's step and rounding", () => {
  test("the step is the greatest common divisor of whole coefficients", () => {
    expect(objectiveStep(program([18432, -36864, 0], []))).toBe(18432);
    expect(objectiveStep(program([4, 6], []))).toBe(2);
    expect(objectiveStep(program([0, 0], []))).toBe(0);
    expect(objectiveStep(program([1, 0.5], []))).toBe(0);
  });

  test("a bound is rounded up to a multiple of the step, but not for a rounding error", () => {
    const step4 = program([4, 8], []);
    expect(roundUpBound(step4, 9)).toBe(12);
    expect(roundUpBound(step4, 8.000001)).toBe(8);
    expect(roundUpBound(step4, -9)).toBe(-8);
    expect(roundUpBound(program([0.5], []), 9.3)).toBe(9.3);
  });
});

describe("rechecking", () => {
  const checked = program(
    [2, 3],
    [
      [[1, 1], 2, 4],
      [[2, -1], null, 3],
    ],
    [3, null],
  );

  test("the objective's value", () => {
    expect(objectiveValue(checked, [2, 1])).toBe(7);
  });

  test.each([
    [[1, 1], []],
    [[0, 1], ["row 0"]],
    [[2, 3], ["row 0"]],
    [[2, 0], ["row 1"]],
    [
      [4, 5],
      ["v0", "row 0"],
    ],
    [[-1, 3], ["v0"]],
    [[1.5, 1], ["v0"]],
    [[2], ["v1", "row 1"]],
  ])("what %j violates", (x, names) => {
    expect(violatedRows(checked, x)).toEqual(names);
  });
});

describe("limits of the objective", () => {
  /** Minimise a + b with 2 a + 2 b >= 5: relaxation 2.5, optimum 3. */
  const rounded = program([1, 1], [[[2, 2], 5, null]]);

  test.each(engines)("%s: an incumbent does not change the optimum", async (engine) => {
    const outcome = await solveWith(engine, rounded, { deadlineMs, incumbent: 3 });
    expect(outcome).toMatchObject({ status: "optimal", value: 3, bound: 3 });
  });

  test.each(engines)("%s: no solution is as good as an incumbent that no solution has", async (engine) => {
    expect(await solveWith(engine, rounded, { deadlineMs, incumbent: 2 })).toEqual({ status: "infeasible" });
  });
});

describe("edges", () => {
  test.each(engines)("%s: no variables", async (engine) => {
    const outcome = await solveWith(engine, program([], []), { deadlineMs });
    expect(outcome).toEqual({ status: "optimal", x: [], value: 0, bound: 0 });
    const impossible = await solveWith(engine, program([], [[[], 1, null]]), { deadlineMs });
    expect(impossible).toEqual({ status: "infeasible" });
  });

  test.each(engines)("%s: an objective without lower limit has failed", async (engine) => {
    const outcome = await solveWith(engine, program([-1], []), { deadlineMs });
    expect(outcome).toMatchObject({ status: "failed" });
  });

  test.each(engines)("%s: limits that cross are infeasible", async (engine) => {
    const outcome = await solveWith(engine, program([1], [[[1], 3, 2]]), { deadlineMs });
    expect(outcome).toEqual({ status: "infeasible" });
  });

  test.each(engines)("%s: coefficients that are not whole", async (engine) => {
    const outcome = await solveWith(engine, program([0.5, 0.3], [[[1.5, 0.75], 2.25, null]]), { deadlineMs });
    expect(outcome).toMatchObject({ status: "optimal", x: [1, 1] });
  });

  test("an infeasible relaxation", async () => {
    expect(await solveRelaxation(program([1], [[[1], 3, null]], 2), { deadlineMs })).toEqual({
      status: "infeasible",
    });
  });

  test("highs: a program of 20,000 variables", async () => {
    const count = 20_000;
    const rows = Array.from({ length: 100 }, (_, row) => ({
      name: `row ${row}`,
      terms: Array.from({ length: count / 100 }, (_, k) => ({
        variable: row + 100 * k,
        coefficient: 1 + (k % 7),
      })),
      lower: 50,
      upper: null,
    }));
    const variables = Array.from({ length: count }, (_, v) => ({ name: `v${v}`, objective: 1, upper: 2 }));
    const outcome = await solveWith("highs", { variables, rows }, { deadlineMs: 60_000 });
    // No coefficient is above 7, so that a row takes at least ceil(50 / 7) = 8 units, and it has enough sevens for that.
    expect(outcome).toMatchObject({ status: "optimal", value: 800, bound: 800 });
  });
});
