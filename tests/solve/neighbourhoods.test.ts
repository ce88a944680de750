import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { objectiveValue, violatedRows } from "../../src/program/integer-program.js";
import { objectiveStep } from "../../src/solve/bound.js";
import { solveRelaxation } from "../../src/solve/engine.js";
import { pricesFromDuals, solveNarrowed } from "../../src/solve/narrow.js";
import { searchNeighbourhoods } from "../../src/solve/neighbourhoods.js";
import { enumerate, program, smallProgram } from "./small-programs.js";

const limits = () => ({ stopAt: Date.now() + 20_000 });

/** Invented choices: `lists` groups of three variables of which one is taken, each with a weight, in bins of ten at a cost. */
const packing = fc.array(fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 3, maxLength: 3 }), {
  minLength: 4,
  maxLength: 7,
});

function packingProgram(lists: readonly (readonly number[])[]) {
  const weights = lists.flat();
  const bins = weights.length;
  const minimise = [...weights.map((weight) => 9 - weight), 10];
  const rows = [
    ...lists.map((_, list): [number[], number, number] => [
      minimise.map((_, variable) => (variable !== bins && Math.floor(variable / 3) === list ? 1 : 0)),
      1,
      1,
    ]),
    [[...weights.map((weight) => -weight), 10], 0, null] as [number[], number, null],
  ];
  return program(minimise, rows, [...weights.map(() => 1), null]);
}

const choicesOf = (lists: readonly (readonly number[])[]) =>
  lists.map((list, index) => list.map((_, place) => 3 * index + place));

/** The least value over every way to take one of each list. */
function least(lists: readonly (readonly number[])[]): number {
  let best = Number.POSITIVE_INFINITY;
  const take = (index: number, cost: number, weight: number) => {
    if (index === lists.length) best = Math.min(best, cost + 10 * Math.ceil(weight / 10));
    else for (const each of lists[index]!) take(index + 1, cost + 9 - each, weight + each);
  };
  take(0, 0, 0);
  return best;
}

describe("a search near the relaxation", () => {
  it("gives solutions, never better than there are, and the best where everything may be open at once", async () => {
    let met = 0;
    await fc.assert(
      fc.asyncProperty(packing, async (lists) => {
        const whole = packingProgram(lists);
        const relaxation = await solveRelaxation(whole, { deadlineMs: 20_000 });
        if (relaxation.status !== "optimal") throw new Error(relaxation.status);
        const task = {
          program: whole,
          choices: choicesOf(lists),
          relaxed: relaxation.x,
          reduced: pricesFromDuals(whole, relaxation.duals)!,
          step: objectiveStep(whole),
          // True, and never reached, so that the search goes on.
          bound: least(lists) - 1,
          start: null,
        };
        const found = await searchNeighbourhoods(task, limits());
        if (found === null) return;
        expect(violatedRows(whole, found.x)).toEqual([]);
        expect(objectiveValue(whole, found.x)).toBe(found.value);
        // Ten steps above the bound it ends with what it has.
        expect(found.value).toBeGreaterThanOrEqual(least(lists));
        if (found.value >= least(lists) + 9) return;
        met += 1;
        expect(found.value).toBe(least(lists));
      }),
      { numRuns: 60 },
    );
    expect(met).toBeGreaterThan(30);
  });

  it("starts from a solution in hand where the relaxation's variables have none", async () => {
    // The relaxation takes half of two threes; a whole solution of five takes what is dearer.
    const odd = program(
      [3, 3, 8, 1],
      [
        [[3, 3, 5, 0], 5, 5],
        [[0, 0, 1, -1], null, 0],
      ],
      [1, 1, 1, 1],
    );
    const relaxation = await solveRelaxation(odd, { deadlineMs: 20_000 });
    if (relaxation.status !== "optimal") throw new Error(relaxation.status);
    const task = {
      program: odd,
      choices: [[0, 1, 2]],
      relaxed: relaxation.x,
      reduced: pricesFromDuals(odd, relaxation.duals)!,
      step: 1,
      bound: 5,
    };
    expect(await searchNeighbourhoods({ ...task, start: null }, limits())).toBeNull();
    const found = await searchNeighbourhoods({ ...task, start: [0, 0, 1, 0] }, limits());
    expect(found).toEqual({ x: [0, 0, 1, 1], value: 9 });
  });

  it("changes nothing of what a narrowed program comes to", async () => {
    const wholeStep = smallProgram.filter((small) => objectiveStep(small) > 0);
    await fc.assert(
      fc.asyncProperty(wholeStep, async (small) => {
        const near = { choices: small.variables.map((_, variable) => [variable]), start: null };
        const { best, bound, infeasible } = await solveNarrowed(small, null, null, near, limits());
        expect(infeasible).toBe(enumerate(small) === null);
        expect(best?.value ?? null).toBe(enumerate(small));
        if (best !== null) expect(bound).toBe(best.value);
      }),
      { numRuns: 200 },
    );
  });
});
