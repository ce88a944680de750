import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { StackRule } from "../../src/candidates/index.js";
import {
  type FragmentType,
  notOutdone,
  type Pattern,
  patternFits,
  usefulPatterns,
} from "../../src/program/index.js";

const DEPTH = 16;

const rule: StackRule = { depth: DEPTH, turns: [0, 0], joint: false, distinctOwners: true, muxBits: 1 };

const types = fc
  .array(fc.record({ rows: fc.integer({ min: 1, max: 8 }), owner: fc.integer({ min: 0, max: 4 }) }), {
    minLength: 1,
    maxLength: 6,
  })
  .map((drawn) => drawn.map(({ rows, owner }): FragmentType => ({ rows, turns: [0, 0], owner: `${owner}` })));

/** Costs that never fall: a step up, or none, for each tenant more. */
const costs = fc
  .array(fc.integer({ min: 0, max: 1 }), { minLength: 8, maxLength: 8 })
  .map((steps) => (tenants: number) => steps.slice(0, tenants).reduce((sum, step) => sum + step, 0));

/** Every pattern that fits. */
function all(list: readonly FragmentType[]): Pattern[] {
  const found: Pattern[] = [];
  const grow = (pattern: Pattern, from: number) => {
    if (pattern.length > 0) found.push(pattern);
    for (let type = from; type < list.length; type++) {
      if (patternFits(rule, list, [...pattern, type])) grow([...pattern, type], type);
    }
  };
  grow([], 0);
  return found;
}

const holds = (pattern: Pattern, other: Pattern) => other.every((type) => pattern.includes(type));

describe("the patterns that are worth having", () => {
  it("stand in for all others at no more cost, and none for another", () => {
    let outdone = 0;
    fc.assert(
      fc.property(types, costs, (list, cost) => {
        const fitting = all(list);
        const useful = usefulPatterns(rule, list, 1000, cost)!;
        expect(new Set(notOutdone(fitting, cost))).toEqual(new Set(useful));
        outdone += fitting.length - useful.length;
        for (const pattern of fitting) {
          const standIn = (other: Pattern) =>
            holds(other, pattern) && cost(other.length) <= cost(pattern.length);
          const others = useful.filter((other) => standIn(other) && other.length > pattern.length);
          expect(useful.some(standIn)).toBe(true);
          if (useful.includes(pattern)) expect(others).toEqual([]);
        }
      }),
      { numRuns: 500 },
    );
    expect(outdone).toBeGreaterThan(500);
  });
});
