import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { type IntegerProgram, violatedRows } from "../../src/program/integer-program.js";
import { objectiveStep } from "../../src/solve/bound.js";
import type { EngineOptions } from "../../src/solve/engine.js";
import { solveInParts } from "../../src/solve/in-parts.js";
import type { Outcome } from "../../src/solve/outcome.js";
import { covering, solutionsOf } from "./small-programs.js";

const host = vi.hoisted(() => ({
  atOnce: 2,
  solved: [] as EngineOptions[],
  instead: null as ((options: EngineOptions, program: IntegerProgram) => Promise<Outcome>) | null,
}));
vi.mock(import("../../src/solve/worker-host.js"), async (original) => ({
  ...(await original()),
  tasksAtOnce: async () => host.atOnce,
}));
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) => {
      host.solved.push(options);
      return host.instead?.(options, program) ?? others.solveWith(engine, program, options);
    },
  };
});

/** A program all of whose variables count blocks, with so many others beside them, which no solution uses, that it is divided. */
function large(small: IntegerProgram): IntegerProgram {
  const counts = small.variables.map((variable) => ({ ...variable, isCount: true as const }));
  const others = Array.from({ length: 400 }, (_, place) => ({ name: `o${place}`, objective: 0, upper: 0 }));
  return { ...small, variables: [...counts, ...others] };
}

const options = { deadlineMs: 20_000, mode: "proof" } as const;

/** Enumeration is the check. */
describe("a program that is solved in parts", () => {
  it("comes to its best value, and to the same solution whether or not two parts are solved at once", async () => {
    const seen = { parts: 0, none: 0, best: 0 };
    await fc.assert(
      fc.asyncProperty(covering, fc.integer({ min: -1, max: 6 }), async (small, worse) => {
        const all = solutionsOf(small);
        const least = Math.min(...all.map(({ value }) => value));
        const incumbent = Number.isFinite(least) ? least + worse * objectiveStep(small) : 20;
        const program = large(small);
        const found = [];
        for (const [atOnce, isFree] of [
          [1, Promise.resolve()],
          [2, Promise.resolve()],
          [2, new Promise((free) => setTimeout(free, 5))],
        ] as const) {
          host.atOnce = atOnce;
          host.solved = [];
          found.push(await solveInParts(program, { ...options, incumbent }, objectiveStep(small), isFree));
          if (host.solved.length > 1) seen.parts += 1;
        }
        for (const outcome of found) expect(outcome).toEqual(found[0]);
        const [outcome] = found;
        if (least > incumbent) {
          seen.none += 1;
          expect(outcome!.status).toBe("infeasible");
          return;
        }
        seen.best += 1;
        expect(outcome).toMatchObject({ status: "optimal", value: least, bound: least });
        if (outcome!.status === "optimal") expect(violatedRows(program, outcome!.x)).toEqual([]);
      }),
      { numRuns: 150 },
    );
    expect(seen.parts).toBeGreaterThan(30);
    expect(seen.none).toBeGreaterThan(10);
    expect(seen.best).toBeGreaterThan(50);
  });

  it("is proven only where all parts are, and ends when its time is up", async () => {
    // The relaxation has no x and 5/3 y.
    const both: IntegerProgram = {
      variables: [
        { name: "x", objective: 3, upper: 5 },
        { name: "y", objective: 2, upper: 5 },
      ],
      rows: [
        {
          name: "both",
          terms: [
            { variable: 0, coefficient: 2 },
            { variable: 1, coefficient: 3 },
          ],
          lower: 5,
          upper: null,
        },
      ],
    };
    const seen = { above: 0, below: 0 };
    for (const [atOnce, isFree] of [
      [1, Promise.resolve()],
      [2, Promise.resolve()],
      [2, new Promise(() => {})],
    ] as const) {
      host.atOnce = atOnce;
      // With y no more than 1 it comes to nothing.
      host.instead = ({ deadlineMs }, { rows }) => {
        const isBelow = rows.some(({ upper }) => upper === 1);
        seen[isBelow ? "below" : "above"] += 1;
        if (!isBelow) return Promise.resolve({ status: "infeasible" });
        return new Promise((end) => setTimeout(() => end({ status: "out-of-time" }), deadlineMs));
      };
      const its = { ...options, deadlineMs: 500, incumbent: 15 };
      expect((await solveInParts(large(both), its, 1, isFree)).status).toBe("out-of-time");
    }
    host.instead = null;
    expect(seen.below).toBeGreaterThan(2);
    expect(seen.above).toBeGreaterThan(0);
  });
});
