import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type IntegerProgram,
  objectiveValue,
  restricted,
  spread,
  violatedRows,
} from "../../src/program/integer-program.js";
import { objectiveStep } from "../../src/solve/bound.js";
import { improveAndProve, lowValues } from "../../src/solve/improve.js";
import { pricesFromDuals } from "../../src/solve/reduced-prices.js";
import type { Ties } from "../../src/solve/ties.js";
import { enumerate, program, smallProgram, solutionsOf } from "./small-programs.js";

const limits = { deadlineMs: 20_000, mode: "proof" } as const;

/** Ties of choices; the program of some is that without the others. */
function tiesOf(whole: IntegerProgram, owners: readonly string[]): Ties {
  return {
    owners,
    excerptOf: (choices) => ({
      program: restricted(whole, choices),
      spread: (x) => spread(whole, choices, x),
    }),
  };
}

/** Enumeration is the check: it knows of no neighbourhoods. */
describe("a solution that is bettered and proven", () => {
  it("is the best, whatever it is bettered from", async () => {
    const seen = { better: 0, best: 0 };
    await fc.assert(
      fc.asyncProperty(
        smallProgram.filter((small) => objectiveStep(small) > 0),
        fc.nat(),
        async (small, which) => {
          const all = solutionsOf(small);
          const known = all[which % Math.max(1, all.length)];
          if (known === undefined) return;
          const reduced = pricesFromDuals(
            small,
            small.rows.map(() => 0),
          )!;
          const step = objectiveStep(small);
          const owners = small.variables.map(() => "m");
          const ties = tiesOf(small, owners);
          const outcome = await improveAndProve(
            { program: small, reduced, step, ties, bound: 0 },
            known,
            limits,
          );
          const least = enumerate(small)!;
          expect(outcome).toMatchObject({ status: "optimal", value: least, bound: least });
          if (outcome.status !== "optimal") return;
          expect(violatedRows(small, outcome.x)).toEqual([]);
          expect(objectiveValue(small, outcome.x)).toBe(least);
          seen[known.value > least ? "better" : "best"] += 1;
        },
      ),
      { numRuns: 150 },
    );
    expect(seen.better).toBeGreaterThan(30);
    expect(seen.best).toBeGreaterThan(10);
  });

  it("is found by neighbourhoods where there are many owners", async () => {
    // Ten memories that each take one of two things, the second cheaper by their place, and at most seven of these: the least is to take the seven that save most.
    const rows = Array.from({ length: 10 }, (_, owner) => {
      const own = Array.from({ length: 20 }, (_, variable) => (variable >> 1 === owner ? 1 : 0));
      return [own, 1, 1] as const;
    });
    const few = Array.from({ length: 20 }, (_, variable) => variable % 2);
    const prices = Array.from({ length: 20 }, (_, variable) =>
      variable % 2 === 0 ? 20 : 19 - (variable >> 1),
    );
    const choices = program(prices, [...rows, [few, null, 7]], 1);
    const ties = tiesOf(
      choices,
      prices.map((_, variable) => `m${variable >> 1}`),
    );
    const reduced = pricesFromDuals(
      choices,
      choices.rows.map(() => 0),
    )!;
    const x = prices.map((_, variable) => 1 - (variable % 2));
    const known = { x, value: objectiveValue(choices, x) };
    const outcome = await improveAndProve(
      { program: choices, reduced, step: 1, ties, bound: 0 },
      known,
      limits,
    );
    // 200 less 10 + 9 + ... + 4.
    expect(outcome).toMatchObject({ status: "optimal", value: 151, bound: 151 });
  });
});

describe("the values up to which much better solutions are sought", () => {
  /** Those of a value 100 above the bound, with so many variables at each price. */
  const valuesOf = (variablesAt: Readonly<Record<number, number>>) => {
    const prices = Object.entries(variablesAt).flatMap(([price, count]) => Array(count).fill(Number(price)));
    const reduced = { bound: 1000, prices: Float64Array.from(prices) };
    return lowValues({ reduced, step: 1, bound: 1000 }, 1100);
  };

  it("are three tenths and two thirds of the way, but no value that lets in nearly all that the next one does", () => {
    expect(valuesOf({ 0: 90, 50: 10 })).toEqual([1030, 1065]);
    expect(valuesOf({ 0: 91, 50: 9 })).toEqual([1065]);
    // What comes above both makes no difference.
    expect(valuesOf({ 0: 91, 50: 9, 80: 100 })).toEqual([1065]);
  });
});
