import { describe, expect, test } from "vitest";
import type { IntegerProgram } from "../../src/program/integer-program.js";
import { solve, solveWith } from "../../src/solve/index.js";
import { program } from "./small-programs.js";

/**
 * A market split program: 50 goods divided so that 6 sums are hit, at the least total deviation. Form published as
 * hard for branch and bound: Cornuejols & Dawande, A class of hard small 0-1 programs, 1998 (from memory). The
 * coefficients are invented, by a linear congruential generator.
 */
function marketSplit(): IntegerProgram {
  const goods = 50;
  const markets = 6;
  let state = 1;
  const coefficient = () => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    return Math.floor(state / 2 ** 16) % 100;
  };
  const deviations = Array.from({ length: 2 * markets }, (_, d) => d);
  return program(
    [...Array.from({ length: goods }, () => 0), ...deviations.map(() => 1)],
    Array.from({ length: markets }, (_, market) => {
      const shares = Array.from({ length: goods }, coefficient);
      const half = Math.floor(shares.reduce((sum, share) => sum + share, 0) / 2);
      const slack = deviations.map((d) => (d === 2 * market ? 1 : d === 2 * market + 1 ? -1 : 0));
      return [[...shares, ...slack], half, half] as const;
    }),
    [...Array.from({ length: goods }, () => 1), ...deviations.map(() => null)],
  );
}

const small = program([3, 2], [[[1, 1], 4, null]]);

describe("a program that no engine closes in the time given", () => {
  for (const engine of ["javascript-lp-solver", "highs", "auto"] as const) {
    test(`${engine} comes back, and solves the next program`, async () => {
      const { outcome } = await solve(marketSplit(), { engine, deadlineMs: 300 });
      expect(["feasible", "out-of-time"]).toContain(outcome.status);
      const next = await solve(small, { engine, deadlineMs: 20_000 });
      expect(next.outcome).toEqual({ status: "optimal", x: [0, 4], value: 8, bound: 8 });
    });
  }

  test("highs hands over the best solution found, with a bound below it", async () => {
    const outcome = await solveWith("highs", marketSplit(), { deadlineMs: 3000 });
    expect(outcome.status).toBe("feasible");
    if (outcome.status !== "feasible") return;
    expect(outcome.bound).toBeLessThan(outcome.value);
  });

  test("no time at all is out of time", async () => {
    expect((await solve(small, { deadlineMs: 0 })).outcome).toEqual({ status: "out-of-time" });
  });
});
