import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { objectiveValue, violatedRows } from "../../src/program/integer-program.js";
import type { EngineOptions } from "../../src/solve/engine.js";
import type { Outcome } from "../../src/solve/outcome.js";
import { solveInTwoWays } from "../../src/solve/two-ways.js";
import { enumerate, program, smallProgram } from "./small-programs.js";

interface Way {
  readonly options: EngineOptions;
  readonly end: (outcome: Outcome) => void;
  stopped: boolean;
}

const host = vi.hoisted(() => ({ atOnce: 2, ways: null as Way[] | null }));
vi.mock(import("../../src/solve/worker-host.js"), async (original) => ({
  ...(await original()),
  tasksAtOnce: async () => host.atOnce,
}));
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) =>
      host.ways === null ? others.solveWith(engine, program, options) : begun(host.ways, options),
  };
});

function begun(ways: Way[], options: EngineOptions): Promise<Outcome> {
  return new Promise((end) => {
    const way: Way = { options, end, stopped: false };
    options.enough?.addEventListener("abort", () => {
      way.stopped = true;
    });
    ways.push(way);
  });
}

/** Two of the three are enough: three solutions are worth the same. */
const anyTwo = program([5, 5, 5], [[[1, 1, 1], 2, null]], 1);
const optimal = (...x: number[]): Outcome => ({ status: "optimal", x, value: 10, bound: 10 });

/** Both ways of a program, which end when they are told to; `start` is in hand. */
async function controlled(start: readonly number[] = [1, 1, 1]) {
  const ways: Way[] = [];
  host.ways = ways;
  let told: Outcome | null = null;
  const outcome = solveInTwoWays(anyTwo, {
    deadlineMs: 1000,
    start,
    incumbent: objectiveValue(anyTwo, start),
  });
  void outcome.then((value) => {
    told = value;
  });
  await vi.waitFor(() => expect(ways).toHaveLength(2));
  host.ways = null;
  const settled = () => new Promise((resume) => setImmediate(resume));
  return { first: ways[0]!, second: ways[1]!, outcome, told: () => settled().then(() => told) };
}

describe("a program solved in two ways at once", () => {
  it("has the solution of the first way, which ends where the second proves that it is best", async () => {
    const { first, second, outcome, told } = await controlled();
    expect(first.options.seed ?? 0).not.toBe(second.options.seed ?? 0);
    second.end(optimal(0, 1, 1));
    expect(await told()).toBeNull();
    first.options.onBetter!({ status: "feasible", x: [1, 1, 1], value: 15, bound: 5 });
    expect(await told()).toBeNull();
    first.options.onBetter!({ status: "feasible", x: [1, 1, 0], value: 10, bound: 5 });
    expect(await outcome).toEqual(optimal(1, 1, 0));
    expect(first.stopped).toBe(true);
  });

  it("does not wait for what the first one had before the second's proof", async () => {
    const { first, second, outcome } = await controlled();
    first.options.onBetter!({ status: "feasible", x: [1, 0, 1], value: 10, bound: 5 });
    second.end(optimal(0, 1, 1));
    expect(await outcome).toEqual(optimal(1, 0, 1));
  });

  it("waits for the first one no longer than the second one's proof has taken", async () => {
    const { first, second, outcome, told } = await controlled();
    second.end(optimal(0, 1, 1));
    expect(await told()).toBeNull();
    expect(await outcome).toEqual(optimal(0, 1, 1));
    expect(first.stopped).toBe(true);
  });

  it("keeps what is in hand where nothing is better, whichever says so", async () => {
    for (const which of ["first", "second"] as const) {
      const ways = await controlled([0, 1, 1]);
      ways[which].end(optimal(1, 1, 0));
      expect(await ways.outcome).toEqual(optimal(0, 1, 1));
    }
  });

  it("has no solution where either way says so", async () => {
    for (const which of ["first", "second"] as const) {
      const ways = await controlled();
      ways[which].end({ status: "infeasible" });
      expect(await ways.outcome).toEqual({ status: "infeasible" });
      expect(ways.first.stopped && ways.second.stopped).toBe(true);
    }
  });

  it("stops the second one where the first is sooner", async () => {
    const { first, second, outcome } = await controlled();
    first.end(optimal(1, 1, 0));
    expect(await outcome).toEqual(optimal(1, 1, 0));
    expect(second.stopped).toBe(true);
  });

  it("has what the second one proved where the first came to nothing, and the better of what both found", async () => {
    const nothing: Outcome = { status: "out-of-time" };
    const found = (value: number, bound: number | null, ...x: number[]): Outcome => ({
      status: "feasible",
      x,
      value,
      bound,
    });
    const cases: readonly (readonly [Outcome, Outcome, Outcome])[] = [
      [nothing, optimal(0, 1, 1), optimal(0, 1, 1)],
      [found(15, 5, 1, 1, 1), optimal(0, 1, 1), optimal(0, 1, 1)],
      [nothing, nothing, nothing],
      [found(15, 9, 1, 1, 1), nothing, found(15, 9, 1, 1, 1)],
      [found(15, 9, 1, 1, 1), found(10, 5, 0, 1, 1), found(10, 9, 0, 1, 1)],
      [{ status: "failed", reason: "broken" }, nothing, nothing],
    ];
    for (const [one, other, expected] of cases) {
      const { first, second, outcome } = await controlled();
      first.end(one);
      second.end(other);
      expect(await outcome).toEqual(expected);
    }
  });

  it("may go about it otherwise the second time, with what time is left and another seed", async () => {
    const told: EngineOptions[] = [];
    host.ways = [];
    const options = { deadlineMs: 1000, start: [0, 1, 1], incumbent: 10 };
    const secondly = async (late: EngineOptions) => {
      told.push(late);
      return optimal(1, 1, 0);
    };
    const outcome = await solveInTwoWays(anyTwo, options, { secondly });
    expect(outcome).toEqual(optimal(0, 1, 1));
    expect(told).toHaveLength(1);
    expect(told[0]).toMatchObject({ start: [0, 1, 1], incumbent: 10 });
    expect(told[0]!.deadlineMs).toBeLessThan(1000);
    expect(told[0]!.seed ?? 0).not.toBe(0);
    expect(host.ways.map(({ stopped }) => stopped)).toEqual([true]);
    host.ways = null;
  });

  it("begins the second way when the first is alone, or has ended before", async () => {
    for (const isAlone of [true, false]) {
      const ways: Way[] = [];
      host.ways = ways;
      let tellAlone = () => {};
      const alone = new Promise<void>((resolve) => {
        tellAlone = resolve;
      });
      const outcome = solveInTwoWays(anyTwo, { deadlineMs: 1000 }, { alone });
      await new Promise((resume) => setTimeout(resume, 400));
      expect(ways).toHaveLength(1);
      if (isAlone) tellAlone();
      else ways[0]!.end({ status: "out-of-time" });
      await vi.waitFor(() => expect(ways).toHaveLength(2));
      expect(ways[1]!.options.deadlineMs).toBeLessThan(601);
      ways[1]!.end({ status: "infeasible" });
      expect(await outcome).toEqual({ status: "infeasible" });
    }
    host.ways = null;
  });

  it("has the least value, as one way has, and the same solution", async () => {
    let solved = 0;
    await fc.assert(
      fc.asyncProperty(smallProgram, async (small) => {
        const least = enumerate(small);
        const found: Outcome[] = [];
        for (const atOnce of [1, 2]) {
          host.atOnce = atOnce;
          found.push(await solveInTwoWays(small, { deadlineMs: 20_000, mode: "proof" }));
        }
        const [one, two] = found;
        expect(two).toEqual(one);
        if (least === null || two?.status !== "optimal") {
          expect(two).toEqual({ status: "infeasible" });
          return;
        }
        solved += 1;
        expect(two.value).toBe(least);
        expect(violatedRows(small, two.x)).toEqual([]);
        expect(objectiveValue(small, two.x)).toBe(least);
      }),
      { numRuns: 200 },
    );
    expect(solved).toBeGreaterThan(50);
  });
});
