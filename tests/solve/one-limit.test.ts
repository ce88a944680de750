import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type OneLimit, SPENT_PARTS, solveOneLimit } from "../../src/solve/one-limit.js";
import { ANY, both, either, one } from "../../src/solve/trade-offs.js";
import { everyChoice, someParts } from "./every-choice.js";

/** Enumeration is the check: it knows of no trade-offs, prices or completions. */
describe("the relaxation that keeps one limit", () => {
  it("has the bound and the columns of all choices up to a value", () => {
    const seen = { none: 0, some: 0, fewer: 0 };
    fc.assert(
      fc.property(
        someParts,
        fc.infiniteStream(fc.record({ sixths: fc.integer({ min: 0, max: 20 }), cost: fc.nat(30) })),
        fc.record({
          unit: fc.integer({ min: 0, max: 9 }),
          limit: fc.integer({ min: 0, max: 14 }),
          price: fc.integer({ min: 0, max: 6 }),
          value: fc.integer({ min: 0, max: 160 }),
        }),
        ({ parts, columns }, values, { unit, limit, price, value }) => {
          const drawn = Array.from({ length: columns }, () => values.next().value);
          const relaxation: OneLimit = {
            spent: Float64Array.from(drawn, ({ sixths }) => Math.floor((sixths * SPENT_PARTS) / 6)),
            cost: Float64Array.from(drawn, ({ cost }) => cost),
            unit,
            limit,
            constant: -7,
            price,
          };
          const sumOf = (of: Float64Array, choice: readonly number[]) =>
            choice.reduce((sum, column) => sum + of[column]!, 0);
          const within = everyChoice(parts).flatMap((choice) => {
            const units = Math.ceil(sumOf(relaxation.spent, choice) / SPENT_PARTS - 1e-4);
            const worth = sumOf(relaxation.cost, choice) + unit * units - 7;
            return units <= limit && worth <= value ? [{ choice, worth }] : [];
          });
          const found = solveOneLimit(relaxation, parts, value + 0.01);
          if (within.length === 0) expect(found.bound).toBe(Number.POSITIVE_INFINITY);
          else expect(found.bound).toBeCloseTo(Math.min(...within.map(({ worth }) => worth)), 6);
          expect(found.columns()).toEqual(new Set(within.flatMap(({ choice }) => choice)));
          seen[within.length === 0 ? "none" : "some"] += 1;
          if (within.length > 0 && found.columns().size < columns) seen.fewer += 1;
        },
      ),
      { numRuns: 400, seed: 11 },
    );
    expect(seen.none).toBeGreaterThan(30);
    expect(seen.some).toBeGreaterThan(100);
    expect(seen.fewer).toBeGreaterThan(30);
  });
});

describe("trade-offs", () => {
  it("of very many pairs keep few, each choice no better than one of them", () => {
    // No choice is better than another: what is spent more is saved.
    const list = (step: number) =>
      either(Array.from({ length: 60 }, (_, i) => one(step * i, 10_000 - step * i)));
    const [a, b] = [list(1), list(61)];
    const sums = both(a, b, ANY);
    expect(a.cost.length * b.cost.length).toBe(3600);
    expect(sums.cost.length).toBeLessThanOrEqual(1024);
    for (const [i, spent] of a.spent.entries()) {
      for (const [j, more] of b.spent.entries()) {
        const better = sums.spent.findLastIndex((each) => each <= spent + more);
        expect(sums.cost[better]).toBeLessThanOrEqual(a.cost[i]! + b.cost[j]!);
      }
    }
  });
});
