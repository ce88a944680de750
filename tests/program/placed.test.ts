import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { StackRule } from "../../src/candidates/index.js";
import {
  type FragmentType,
  type Pattern,
  patternFits,
  placed,
  type StackKey,
} from "../../src/program/index.js";

const rule: StackRule = { depth: 16, turns: [4, 0], joint: true, distinctOwners: false, muxBits: 1 };

const drawn = fc
  .uniqueArray(fc.record({ rows: fc.integer({ min: 1, max: 8 }), turns: fc.integer({ min: 1, max: 2 }) }), {
    selector: ({ rows, turns }) => `${rows} ${turns}`,
    minLength: 1,
    maxLength: 5,
  })
  .map((list) => list.map(({ rows, turns }): FragmentType => ({ rows, turns: [turns, 0], owner: null })))
  .chain((types) =>
    fc.record({
      types: fc.constant(types),
      used: fc.array(
        fc.record({
          pattern: fc.array(fc.nat(types.length - 1), { minLength: 1, maxLength: 4 }),
          count: fc.integer({ min: 1, max: 3 }),
        }),
        { minLength: 1, maxLength: 3 },
      ),
      demand: fc.array(fc.nat(4), { minLength: types.length, maxLength: types.length }),
    }),
  );

function keyOf(types: readonly FragmentType[]): StackKey {
  const shared = { name: "key", pool: "pool", units: 1, cells: 1, times: 1 };
  return { ...shared, sort: "stack", rule, types, loners: null, patterns: [], complete: true };
}

/** Whether each fragment finds a place of the same turns with as many words or more: by augmenting paths. */
function allFindPlaces(
  types: readonly FragmentType[],
  places: readonly number[],
  fragments: readonly number[],
): boolean {
  const holds = (place: number, fragment: number) =>
    types[place]!.turns[0] === types[fragment]!.turns[0] && types[place]!.rows >= types[fragment]!.rows;
  const taken = new Map<number, number>();
  const find = (fragment: number, seen: Set<number>): boolean =>
    places.some((place, index) => {
      if (seen.has(index) || !holds(place, fragments[fragment]!)) return false;
      seen.add(index);
      const other = taken.get(index);
      if (other !== undefined && !find(other, seen)) return false;
      taken.set(index, fragment);
      return true;
    });
  return fragments.every((_, fragment) => find(fragment, new Set()));
}

describe("fragments in the places of patterns", () => {
  it("are all there, in no more blocks that hold no more than fits, wherever matching finds places for all", () => {
    const seen = { placed: 0, none: 0 };
    fc.assert(
      fc.property(drawn, ({ types, used, demand }) => {
        const patterns = used
          .map(({ pattern, count }) => ({ pattern: [...pattern].sort((a, b) => a - b) as Pattern, count }))
          .filter(({ pattern }) => patternFits(rule, types, pattern));
        const places = patterns.flatMap(
          ({ pattern, count }) => Array(count).fill(pattern).flat() as number[],
        );
        const fragments = demand.flatMap((count, type) => Array<number>(count).fill(type));
        const found = placed(keyOf(types), patterns, demand);
        expect(found !== null).toBe(allFindPlaces(types, places, fragments));
        if (found === null) {
          seen.none += 1;
          return;
        }
        seen.placed += 1;
        const held = found.flatMap(({ pattern, count }) => Array(count).fill(pattern).flat() as number[]);
        expect(held.sort((a, b) => a - b)).toEqual(fragments);
        for (const { pattern } of found) expect(patternFits(rule, types, pattern)).toBe(true);
        const blocks = (list: readonly { readonly count: number }[]) =>
          list.reduce((sum, { count }) => sum + count, 0);
        expect(blocks(found)).toBeLessThanOrEqual(blocks(patterns));
      }),
      { numRuns: 2000 },
    );
    expect(Math.min(seen.placed, seen.none)).toBeGreaterThan(200);
  });

  it("take no longer for many blocks that are alike", () => {
    const types: FragmentType[] = [8, 4].map((rows) => ({ rows, turns: [1, 0], owner: null }));
    const many = 1_000_000_000;
    const found = placed(keyOf(types), [{ pattern: [0, 0], count: many }], [many + 1, many - 3]);
    expect(found).toEqual([
      { pattern: [0, 0], count: 1 },
      { pattern: [0, 1], count: many - 3 },
      { pattern: [0], count: 2 },
    ]);
  });
});
