import { describe, expect, test } from "vitest";
import { checkPlan, pack } from "../../src/index.js";
import type { IntegerProgram } from "../../src/program/integer-program.js";
import { solveWith } from "../../src/solve/index.js";
import { largeSystem, tightened } from "../bench/systems.js";
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
  for (const engine of ["javascript-lp-solver", "highs"] as const) {
    test(`${engine} comes back, and solves the next program`, async () => {
      const outcome = await solveWith(engine, marketSplit(), { deadlineMs: 300 });
      expect(["feasible", "out-of-time"]).toContain(outcome.status);
      const next = await solveWith(engine, small, { deadlineMs: 20_000 });
      expect(next).toEqual({ status: "optimal", x: [0, 4], value: 8, bound: 8 });
    });
  }

  test("highs hands over the best solution found, with a bound below it", async () => {
    const outcome = await solveWith("highs", marketSplit(), { deadlineMs: 3000 });
    expect(outcome.status).toBe("feasible");
    if (outcome.status !== "feasible") return;
    expect(outcome.bound).toBeLessThan(outcome.value);
  });

  test("highs stops soon where its answer is not needed any more", async () => {
    const started = Date.now();
    const options = { deadlineMs: 3_600_000, enough: AbortSignal.timeout(500) };
    const outcome = await solveWith("highs", marketSplit(), options);
    expect(["feasible", "out-of-time"]).toContain(outcome.status);
    const next = await solveWith("highs", small, { deadlineMs: 20_000 });
    expect(next).toMatchObject({ status: "optimal", value: 8 });
    expect(Date.now() - started).toBeLessThan(20_000);
    const enough = AbortSignal.abort();
    expect(await solveWith("highs", small, { deadlineMs: 20_000, enough })).toEqual({
      status: "out-of-time",
    });
  });

  test("no time at all is out of time", async () => {
    expect(await solveWith("highs", small, { deadlineMs: 0 })).toEqual({ status: "out-of-time" });
  });
});

describe.each([120, 500])(
  "a deadline of a second for %i distinct memories that share two kinds of blocks",
  (count) => {
    const { design, device } = largeSystem(count, "xczu7ev");

    // The time is the promise here: a second, and what reading the machine's clock late and checking the plan take.
    test("gives a checked plan within three", { timeout: 3000, retry: 6 }, async () => {
      const plan = await pack(design, device, { deadlineMs: 1000 });
      expect(plan.objective.bound).toBeLessThanOrEqual(plan.objective.value);
      expect(checkPlan(plan, design.requests, device, design.clockMHz)).toEqual([]);
    });

    test("says what it could not prove where budgets are tight", { timeout: 9000, retry: 3 }, async () => {
      const free = await pack(design, device, { deadlineMs: 1000 });
      const tight = tightened(design, device, free);
      const plan = await pack(tight, device, { deadlineMs: 1000 });
      expect(checkPlan(plan, tight.requests, device, tight.clockMHz)).toEqual([]);
      expect(plan.status === "optimal").toBe(plan.objective.proven && plan.status !== "over-budget");
    });
  },
);
