import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { objectiveValue, violatedRows } from "../../src/program/integer-program.js";
import { solveRelaxation, solveWith } from "../../src/solve/index.js";
import { enumerate, smallProgram } from "./small-programs.js";

const deadlineMs = 20_000;

describe("against enumeration, on invented small programs", () => {
  for (const engine of ["javascript-lp-solver", "highs"] as const) {
    test(`${engine} finds the least value, or that there is none`, async () => {
      await fc.assert(
        fc.asyncProperty(smallProgram, async (small) => {
          const best = enumerate(small);
          const outcome = await solveWith(engine, small, { deadlineMs });
          if (best === null) {
            expect(outcome).toEqual({ status: "infeasible" });
          } else {
            expect(outcome).toMatchObject({ status: "optimal", value: best, bound: best });
            if (outcome.status !== "optimal") return;
            expect(violatedRows(small, outcome.x)).toEqual([]);
            expect(objectiveValue(small, outcome.x)).toBe(best);
          }
        }),
        { numRuns: 200 },
      );
    });
  }

  test("the relaxation bounds every whole solution, and the engines agree on it", async () => {
    await fc.assert(
      fc.asyncProperty(smallProgram, async (small) => {
        const best = enumerate(small);
        const [highs, other] = [
          await solveRelaxation(small, { deadlineMs }),
          await solveRelaxation(small, { deadlineMs }, "javascript-lp-solver"),
        ];
        expect(highs.status).toBe(other.status);
        if (highs.status === "optimal" && other.status === "optimal") {
          expect(highs.value).toBeCloseTo(other.value, 5);
          if (best !== null) expect(highs.value).toBeLessThanOrEqual(best + 1e-6);
        } else {
          expect(best).toBeNull();
        }
      }),
      { numRuns: 200 },
    );
  });
});
