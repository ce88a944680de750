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
        expect(rungs.map(({ kind }) => kind === "last")).toEqual(
          rungs.map((_, at) => at === rungs.length - 1),
        );
        const { reduced } = ladder(list, null);
        expect(rungs.at(-1)!.variables).toEqual(variablesWithin(reduced, value - 1, 1));
        if (rungs.length === 2) seen += 1;
      }),
    );
    expect(seen).toBeGreaterThan(20);
  });

  it("are few for sketches, which say nothing of others, with a value to aim at after each", () => {
    let sketched = 0;
    fc.assert(
      fc.property(prices, (list) => {
        const rungs = climbed(list, (variable) => variable % 2 === 0, { value: 50, x: null });
        const sketches = rungs.filter(({ kind }) => kind === "sketch");
        for (const at of sketches.keys()) {
          expect(rungs[2 * at]).toBe(sketches[at]);
          expect(rungs[2 * at + 1]).toMatchObject({ kind: "aimed" });
        }
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

  it("are all that a value needs which is aimed at: the bound, then ever farther above it, up to what is better than the best in hand", () => {
    fc.assert(
      fc.property(prices, fc.integer({ min: 12, max: 60 }), (list, known) => {
        const rungs = climbed(list, () => false, { value: known, x: null });
        const aims = rungs.filter(({ kind }) => kind === "aimed");
        const { reduced } = ladder(list, null);
        for (const [at, { value, variables }] of aims.entries()) {
          expect(value).toBe(10 + 2 ** at - 1);
          expect(value).toBeLessThan(known - 1);
          expect(variables).toEqual(variablesWithin(reduced, value, 1));
        }
        const { value, kind, variables } = rungs.at(-1)!;
        expect({ value, kind }).toEqual({ value: known - 1, kind: "last" });
        expect(variables).toEqual(variablesWithin(reduced, known - 1, 1));
        expect(10 + 2 ** aims.length - 1).toBeGreaterThanOrEqual(known - 1);
      }),
    );
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
        for (const { kind, variables } of rungs) if (kind === "sketch") expect(variables).toContain(derived);
      }),
    );
  });

  it("are all for a proof where something is in hand that is a step above the bound", () => {
    const list = Array.from({ length: 12 }, (_, variable) => (variable < 4 ? 0 : 1));
    const rungs = (value: number) => climbed(list, () => false, { value, x: null });
    expect(rungs(12).filter(({ kind }) => kind === "sketch")).toHaveLength(2);
    expect(rungs(11).map(({ kind }) => kind)).toEqual(["last"]);
  });
});
