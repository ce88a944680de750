import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { objectiveValue, violatedRows } from "../../src/program/integer-program.js";
import { objectiveStep } from "../../src/solve/bound.js";
import { type Beforehand, solveNarrowed } from "../../src/solve/narrow.js";
import { pricesFromDuals, variablesWithin } from "../../src/solve/reduced-prices.js";
import { enumerate, program, smallProgram, solutionsOf } from "./small-programs.js";

const nothing: Beforehand = {
  incumbent: null,
  atLeast: null,
  start: null,
  isIntricate: null,
  isDerived: () => false,
  ties: null,
};

const limits = () => ({ stopAt: Date.now() + 20_000 });

describe("reduced prices", () => {
  it("hold for every solution, whatever the prices of the rows", () => {
    let dearer = 0;
    fc.assert(
      fc.property(
        smallProgram,
        fc.array(fc.integer({ min: -8, max: 8 }), { minLength: 4, maxLength: 4 }),
        (small, eighths) => {
          const reduced = pricesFromDuals(
            small,
            eighths.map((dual) => dual / 4),
          )!;
          for (const { x, value } of solutionsOf(small)) {
            expect(value).toBeGreaterThanOrEqual(reduced.bound - 1e-9);
            x.forEach((count, variable) => {
              const price = reduced.prices[variable]!;
              if (count === 0 || price <= 0) return;
              dearer += 1;
              expect(value).toBeGreaterThanOrEqual(reduced.bound + price - 1e-9);
            });
          }
        },
      ),
      { numRuns: 500 },
    );
    expect(dearer).toBeGreaterThan(500);
  });

  it("of a variable without upper limit must not be below nothing", () => {
    const open = program([1, 2], [[[1, 1], 3, null]]);
    expect(pricesFromDuals(open, [1])!.bound).toBeCloseTo(3, 9);
    expect(pricesFromDuals(open, [2])).toBeNull();
  });

  it("leave out no variable of a solution as good as the value", () => {
    fc.assert(
      fc.property(smallProgram, fc.integer({ min: 0, max: 12 }), (small, dual) => {
        const step = objectiveStep(small) || 1;
        const reduced = pricesFromDuals(
          small,
          small.rows.map((_, row) => ((dual + row) % 5) / 3),
        )!;
        for (const { x, value } of solutionsOf(small)) {
          const within = new Set(variablesWithin(reduced, value, step));
          x.forEach((count, variable) => {
            if (count > 0) expect(within.has(variable)).toBe(true);
          });
        }
      }),
      { numRuns: 300 },
    );
  });
});

describe("a program on few of its variables", () => {
  const wholeStep = smallProgram.filter((small) => objectiveStep(small) > 0);

  it("has the least value of the whole, or none where there is none", async () => {
    await fc.assert(
      fc.asyncProperty(wholeStep, async (small) => {
        const least = enumerate(small);
        const { best, bound, infeasible, failure } = await solveNarrowed(small, nothing, limits());
        expect(failure).toBeNull();
        expect(infeasible).toBe(least === null);
        expect(best?.value ?? null).toBe(least);
        if (best === null) return;
        expect(bound).toBe(least);
        expect(violatedRows(small, best.x)).toEqual([]);
        expect(objectiveValue(small, best.x)).toBe(least);
      }),
      { numRuns: 300 },
    );
  });

  it("gives what is better than a solution in hand, or the proof that nothing is", async () => {
    await fc.assert(
      fc.asyncProperty(wholeStep, fc.integer({ min: 0, max: 3 }), async (small, worse) => {
        const least = enumerate(small);
        if (least === null) return;
        const incumbent = least + worse * objectiveStep(small);
        const { best, bound } = await solveNarrowed(small, { ...nothing, incumbent }, limits());
        expect(best?.value ?? null).toBe(worse === 0 ? null : least);
        expect(bound).toBe(least);
      }),
      { numRuns: 200 },
    );
  });

  it("has the least value from a solution in hand, however bad, and after sketches", async () => {
    let begun = 0;
    await fc.assert(
      fc.asyncProperty(wholeStep, fc.nat(), fc.boolean(), async (small, which, sketched) => {
        const all = solutionsOf(small);
        const inHand = all[which % Math.max(1, all.length)];
        if (inHand === undefined) return;
        begun += 1;
        const { best, bound, failure } = await solveNarrowed(
          small,
          {
            ...nothing,
            incumbent: inHand.value,
            start: inHand.x,
            isIntricate: sketched ? (variable) => variable % 2 === 0 : null,
          },
          limits(),
        );
        const least = enumerate(small)!;
        expect(failure).toBeNull();
        expect(best?.value ?? inHand.value).toBe(least);
        expect(bound).toBe(least);
      }),
      { numRuns: 200 },
    );
    expect(begun).toBeGreaterThan(50);
  });

  it("raises the value until what it left out cannot be better", async () => {
    // Of twos alone, as the relaxation takes them, five is not made: it takes a three, and the cheapest is far above the relaxation.
    const twos = Array<number>(3).fill(2);
    const threes = Array.from({ length: 20 }, (_, n) => 49 - n);
    const row = [...twos.map(() => 2), ...threes.map(() => 3)];
    const upper = row.map(() => 2);
    const odd = program([...twos, ...threes], [[row, 5, 5]], upper);
    const { best, bound } = await solveNarrowed(odd, nothing, limits());
    expect(best?.value).toBe(2 + 30);
    expect(bound).toBe(2 + 30);
    const inHand = await solveNarrowed(odd, { ...nothing, incumbent: 2 + 30 }, limits());
    expect(inHand).toMatchObject({ best: null, bound: 2 + 30 });
  });

  it("stops at a solution that a bound known beforehand closes", async () => {
    // The relaxation sees 50 and would leave the five out at first.
    const small = program([40, 61], [[[4, 5], 5, null]], 3);
    const { best, bound } = await solveNarrowed(small, { ...nothing, atLeast: 61 }, limits());
    expect(best?.value).toBe(61);
    expect(bound).toBe(61);
    expect(await solveNarrowed(small, { ...nothing, incumbent: 61, atLeast: 61 }, limits())).toMatchObject({
      best: null,
      bound: 61,
    });
  });

  it("does not take the best of few variables for the best of all", async () => {
    // Fours cover five as halves do in the relaxation: two of them. A five costs less, which the relaxation does not use.
    const small = program([40, 61], [[[4, 5], 5, null]], 3);
    const { best, bound } = await solveNarrowed(small, nothing, limits());
    expect(best).toEqual({ x: [0, 1], value: 61 });
    expect(bound).toBe(61);
  });
});
