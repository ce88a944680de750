import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type ReducedPrices, variablesWithin } from "../../src/solve/reduced-prices.js";
import { type Known, type Rung, rungsOf } from "../../src/solve/rungs.js";
import { program } from "./small-programs.js";

/** A program of two rows and as many variables as there are prices, as only their number counts here. */
function ladder(
  prices: readonly number[],
  isIntricate: ((variable: number) => boolean) | null,
  isDerived: (variable: number) => boolean = () => false,
) {
  const ones = prices.map(() => 1);
  const rows: [number[], number, null][] = [
    [ones, 1, null],
    [ones, 1, null],
  ];
  const reduced: ReducedPrices = { bound: 10, prices: Float64Array.from(prices) };
  return { program: program(ones, rows), reduced, step: 1, bound: 10, isIntricate, isDerived };
}

const prices = fc.array(fc.integer({ min: 0, max: 30 }), { minLength: 10, maxLength: 30 });

/** All rungs where nothing better than `known` is ever found. */
function climbed(
  list: readonly number[],
  isIntricate: ((variable: number) => boolean) | null,
  known: Known,
): Rung[] {
  return [...rungsOf(ladder(list, isIntricate), Array<Known>(100).fill(known))];
}

describe("the variables that a program is solved on", () => {
  it("are ever more, and at last all that what is better than the best in hand can use", () => {
    fc.assert(
      fc.property(prices, fc.integer({ min: 11, max: 60 }), fc.nat(), (list, value, seed) => {
        const x = list.map((_, variable) => ((seed >> (variable % 20)) & 1) as number);
        const rungs = climbed(list, null, { value, x });
        const { reduced } = ladder(list, null);
        let before: readonly number[] = [];
        for (const rung of rungs) {
          expect(rung.variables).toEqual(expect.arrayContaining([...before]));
          expect(rung.variables).toEqual(expect.arrayContaining(variablesWithin(reduced, rung.value, 1)));
          for (const [variable, items] of x.entries()) {
            if (items > 0) expect(rung.variables).toContain(variable);
          }
          before = rung.variables;
        }
        expect(rungs.at(-1)!.value).toBe(value - 1);
      }),
    );
  });

  it("are all that are left after the first ones, where a solution is in hand", () => {
    let seen = 0;
    fc.assert(
      fc.property(prices, fc.integer({ min: 11, max: 60 }), (list, value) => {
        const rungs = climbed(list, null, { value, x: list.map(() => 0) });
        expect(rungs.length).toBeLessThanOrEqual(2);
        expect(rungs.map(({ isLast }) => isLast)).toEqual(rungs.map((_, at) => at === rungs.length - 1));
        const { reduced } = ladder(list, null);
        expect(rungs.at(-1)!.variables).toEqual(variablesWithin(reduced, value - 1, 1));
        if (rungs.length === 2) seen += 1;
      }),
    );
    expect(seen).toBeGreaterThan(20);
  });

  it("are few for sketches, which come first and say nothing of others", () => {
    let sketched = 0;
    fc.assert(
      fc.property(prices, (list) => {
        const rungs = climbed(list, (variable) => variable % 2 === 0, { value: 50, x: null });
        const sketches = rungs.filter(({ isSketch }) => isSketch);
        expect(rungs.slice(0, sketches.length)).toEqual(sketches);
        expect(rungs.length).toBeGreaterThan(sketches.length);
        for (const { value } of sketches) expect(value).toBeLessThan(10);
        const [free, cheapest, plain] = sketches.map(({ variables }) => variables);
        if (free === undefined) return;
        expect(free).toEqual(list.flatMap((price, variable) => (price === 0 ? [variable] : [])));
        if (plain === undefined || cheapest === undefined) return;
        sketched += 1;
        expect(plain).toHaveLength(5);
        expect(plain.every((variable) => variable % 2 === 1)).toBe(true);
        expect(cheapest).toHaveLength(5);
        const dearest = Math.max(...cheapest.map((variable) => list[variable]!));
        const cheaper = list.flatMap((price, variable) => (price < dearest ? [variable] : []));
        expect(cheapest).toEqual(expect.arrayContaining(cheaper));
      }),
    );
    expect(sketched).toBeGreaterThan(20);
  });

  it("are never without those that follow from the others", () => {
    fc.assert(
      fc.property(prices, fc.nat(9), (list, derived) => {
        const known = Array<Known>(100).fill({ value: 50, x: null });
        const rungs = [
          ...rungsOf(
            ladder(
              list,
              () => false,
              (variable) => variable === derived,
            ),
            known,
          ),
        ];
        for (const { isSketch, variables } of rungs) if (isSketch) expect(variables).toContain(derived);
      }),
    );
  });

  it("are all for a proof where something is in hand that is a step above the bound", () => {
    const list = Array.from({ length: 12 }, (_, variable) => (variable < 4 ? 0 : 1));
    const rungs = (value: number) => climbed(list, () => false, { value, x: null });
    expect(rungs(12).filter(({ isSketch }) => isSketch)).toHaveLength(3);
    expect(rungs(11).map(({ isSketch, isLast }) => [isSketch, isLast])).toEqual([[false, true]]);
  });
});
