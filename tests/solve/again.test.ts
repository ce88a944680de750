import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { objectiveValue, restricted, spread, violatedRows } from "../../src/program/integer-program.js";
import { objectiveStep } from "../../src/solve/bound.js";
import type { EngineOptions } from "../../src/solve/engine.js";
import { improveAndProve } from "../../src/solve/improve.js";
import { solveNarrowed } from "../../src/solve/narrow.js";
import type { Outcome } from "../../src/solve/outcome.js";
import { pricesFromDuals } from "../../src/solve/reduced-prices.js";
import type { Ties } from "../../src/solve/ties.js";
import { lateRun } from "./late-run.js";
import { enumerate, smallProgram, solutionsOf } from "./small-programs.js";

/** What the first way of a proof does; null: what highs makes of it. */
const first = vi.hoisted(() => ({
  way: null as ((options: EngineOptions) => Promise<Outcome>) | null,
}));
vi.mock(import("../../src/solve/worker-host.js"), async (original) => ({
  ...(await original()),
  tasksAtOnce: async () => 2,
}));
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) => {
      const isFirst = options.mode === "proof" && options.seed === undefined && options.work === undefined;
      return isFirst && first.way !== null ? first.way(options) : others.solveWith(engine, program, options);
    },
  };
});

const wholeStep = smallProgram.filter((small) => objectiveStep(small) > 0);

/** Enumeration is the check. */
describe("a proof whose first way comes to nothing", () => {
  it("is made by the second one, with what few variables have told", async () => {
    let begun = 0;
    first.way = (options) => {
      begun += 1;
      return lateRun(options);
    };
    await fc.assert(
      fc.asyncProperty(wholeStep, fc.integer({ min: 1, max: 3 }), async (small, worse) => {
        const least = enumerate(small);
        if (least === null) return;
        const { best, bound } = await solveNarrowed(
          small,
          {
            incumbent: least + worse * objectiveStep(small),
            atLeast: null,
            start: null,
            isIntricate: () => false,
            isDerived: () => false,
            ties: null,
          },
          { stopAt: Date.now() + 20_000 },
        );
        expect(best?.value).toBe(least);
        expect(bound).toBe(least);
        expect(violatedRows(small, best!.x)).toEqual([]);
        expect(objectiveValue(small, best!.x)).toBe(least);
      }),
      { numRuns: 100 },
    );
    expect(begun).toBeGreaterThan(10);
  });

  it("is made by what is much better than the solution in hand, or with that by the second one", async () => {
    const seen = { low: 0, high: 0, begun: 0 };
    // What seeks what is much better has so many iterations, and is none of these.
    first.way = (options) => {
      seen.begun += 1;
      return lateRun(options);
    };
    await fc.assert(
      fc.asyncProperty(wholeStep, fc.nat(), fc.boolean(), async (small, which, isClose) => {
        const all = solutionsOf(small);
        const known = all[which % Math.max(1, all.length)];
        if (known === undefined) return;
        const reduced = pricesFromDuals(
          small,
          small.rows.map(() => 0),
        )!;
        const ties: Ties = {
          owners: small.variables.map((_, variable) => `m${variable}`),
          excerptOf: (choices) => ({
            program: restricted(small, choices),
            spread: (x) => spread(small, choices, x),
          }),
        };
        const step = objectiveStep(small);
        const least = enumerate(small)!;
        const bound = least - (isClose ? 1 : 20) * step;
        const outcome = await improveAndProve({ program: small, reduced, step, ties, bound }, known, {
          deadlineMs: 20_000,
          mode: "proof",
        });
        expect(outcome).toMatchObject({ status: "optimal", value: least, bound: least });
        if (outcome.status !== "optimal") return;
        expect(violatedRows(small, outcome.x)).toEqual([]);
        expect(objectiveValue(small, outcome.x)).toBe(least);
        seen[least - bound < 0.5 * (known.value - bound) ? "low" : "high"] += 1;
      }),
      { numRuns: 60 },
    );
    expect(seen.low).toBeGreaterThan(5);
    expect(seen.high).toBeGreaterThan(5);
    expect(seen.begun).toBeGreaterThan(5);
  });
});
