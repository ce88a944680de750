import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type IntegerProgram, violatedRows } from "../../src/program/integer-program.js";
import { divided } from "../../src/solve/divide.js";
import { solveRelaxation } from "../../src/solve/engine.js";
import { covering, solutionsOf } from "./small-programs.js";

const limits = { deadlineMs: 20_000 };

/** A program all of whose variables count blocks. */
function counting(small: IntegerProgram): IntegerProgram {
  return {
    ...small,
    variables: small.variables.map((variable) => ({ ...variable, isCount: true as const })),
  };
}

/** Enumeration is the check. */
describe("a program that is divided", () => {
  it("has each solution in exactly one part, and no other", async () => {
    const seen = { one: 0, two: 0, more: 0 };
    await fc.assert(
      fc.asyncProperty(covering, fc.integer({ min: 0, max: 30 }), async (small, worse) => {
        const all = solutionsOf(small);
        const least = Math.min(...all.map(({ value }) => value));
        const parts = await divided(counting(small), Number.isFinite(least) ? least + worse : 30, limits);
        seen[parts.length === 1 ? "one" : parts.length === 2 ? "two" : "more"] += 1;
        for (const { x } of all) {
          expect(parts.filter((part) => violatedRows(part, x).length === 0)).toHaveLength(1);
        }
        for (const part of parts) {
          for (const { x } of solutionsOf(part)) expect(violatedRows(small, x)).toEqual([]);
        }
      }),
      { numRuns: 300 },
    );
    expect(seen.one).toBeGreaterThan(20);
    expect(seen.two).toBeGreaterThan(10);
    expect(seen.more).toBeGreaterThan(10);
  });

  it("is whole where no variable counts blocks", async () => {
    await fc.assert(
      fc.asyncProperty(covering, async (small) => {
        expect(await divided(small, 30, limits)).toEqual([small]);
      }),
      { numRuns: 30 },
    );
  });

  it("is divided by what its relaxation is worth with a variable below its value, and above", async () => {
    let tried = 0;
    await fc.assert(
      fc.asyncProperty(covering, async (small) => {
        const variables = [...small.variables.keys()];
        const whole = await solveRelaxation(small, limits, "highs", variables);
        if (whole.status !== "optimal") return;
        expect(whole.tries.map(({ variable }) => variable)).toEqual(
          variables.filter(
            (variable) => Math.abs(whole.x[variable]! - Math.round(whole.x[variable]!)) > 1e-5,
          ),
        );
        for (const { variable, x, below, above } of whole.tries) {
          tried += 1;
          expect(x).toBe(whole.x[variable]);
          for (const [told, lower, upper] of [
            [below, null, Math.floor(x)],
            [above, Math.floor(x) + 1, null],
          ] as const) {
            const row = { name: "limit", terms: [{ variable, coefficient: 1 }], lower, upper };
            const limited = await solveRelaxation({ ...small, rows: [...small.rows, row] }, limits);
            if (limited.status === "optimal") expect(told).toBeCloseTo(limited.value, 6);
            else expect(told).toBe(Number.POSITIVE_INFINITY);
          }
        }
      }),
      { numRuns: 200 },
    );
    expect(tried).toBeGreaterThan(100);
  });
});
