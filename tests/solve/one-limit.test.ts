import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type OneLimit, SPENT_PARTS, solveOneLimit } from "../../src/solve/one-limit.js";
import type { Part } from "../../src/solve/parts.js";
import { ANY, both, either, one } from "../../src/solve/trade-offs.js";

interface Item {
  readonly columns: readonly number[];
  readonly spent: number;
  readonly cost: number;
}

const sum = (items: readonly Item[]): Item => ({
  columns: items.flatMap(({ columns }) => columns),
  spent: items.reduce((total, { spent }) => total + spent, 0),
  cost: items.reduce((total, { cost }) => total + cost, 0),
});

/** All ways to take one of each list. */
function product(lists: readonly (readonly Item[])[]): Item[] {
  return lists.reduce<Item[]>(
    (found, list) => found.flatMap((item) => list.map((each) => sum([item, each]))),
    [{ columns: [], spent: 0, cost: 0 }],
  );
}

/** Every choice of a relaxation, by enumeration. */
function everyChoice(parts: readonly Part[], { spent, cost }: OneLimit): Item[] {
  const of = (column: number): Item => ({ columns: [column], spent: spent[column]!, cost: cost[column]! });
  return product(
    parts.map(({ items, requests, configs }) => {
      const single =
        configs === null
          ? requests[0]!.map(of)
          : configs.flatMap(({ column, alone }) =>
              product([
                [of(column)],
                ...alone.flatMap((n, part) => Array.from({ length: n }, () => requests[part]!.map(of))),
              ]),
            );
      return product(Array.from({ length: items }, () => single));
    }),
  );
}

const part = fc.record({
  items: fc.integer({ min: 1, max: 2 }),
  lists: fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 1, maxLength: 2 }),
  layouts: fc.array(fc.integer({ min: 0, max: 2 }), { minLength: 0, maxLength: 2 }),
});

function partsOf(shapes: readonly { items: number; lists: number[]; layouts: number[] }[]) {
  let next = 0;
  const parts = shapes.map(({ items, lists, layouts }): Part => {
    const columns = (n: number) => Array.from({ length: n }, () => next++);
    if (layouts.length === 0) return { items, requests: [columns(lists[0]!)], configs: null };
    const requests = lists.map(columns);
    const alone = (n: number) => lists.map((_, place) => (place === 0 ? n : 1));
    return { items, requests, configs: layouts.map((n) => ({ column: next++, alone: alone(n) })) };
  });
  return { parts, columns: next };
}

/** Enumeration is the check: it knows of no trade-offs, prices or completions. */
describe("the relaxation that keeps one limit", () => {
  it("has the bound and the columns of all choices up to a value", () => {
    const seen = { none: 0, some: 0, fewer: 0 };
    fc.assert(
      fc.property(
        fc.array(part, { minLength: 1, maxLength: 3 }),
        fc.infiniteStream(fc.record({ sixths: fc.integer({ min: 0, max: 20 }), cost: fc.nat(30) })),
        fc.record({
          unit: fc.integer({ min: 0, max: 9 }),
          limit: fc.integer({ min: 0, max: 14 }),
          price: fc.integer({ min: 0, max: 6 }),
          value: fc.integer({ min: 0, max: 160 }),
        }),
        (shapes, values, { unit, limit, price, value }) => {
          const { parts, columns } = partsOf(shapes);
          const drawn = Array.from({ length: columns }, () => values.next().value);
          const relaxation: OneLimit = {
            spent: Float64Array.from(drawn, ({ sixths }) => Math.floor((sixths * SPENT_PARTS) / 6)),
            cost: Float64Array.from(drawn, ({ cost }) => cost),
            unit,
            limit,
            constant: -7,
            price,
          };
          const within = everyChoice(parts, relaxation).flatMap((choice) => {
            const units = Math.ceil(choice.spent / SPENT_PARTS - 1e-4);
            const worth = choice.cost + unit * units - 7;
            return units <= limit && worth <= value ? [{ ...choice, worth }] : [];
          });
          const found = solveOneLimit(relaxation, parts, value + 0.01);
          if (within.length === 0) expect(found.bound).toBe(Number.POSITIVE_INFINITY);
          else expect(found.bound).toBeCloseTo(Math.min(...within.map(({ worth }) => worth)), 6);
          expect(found.columns()).toEqual(new Set(within.flatMap((choice) => choice.columns)));
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
