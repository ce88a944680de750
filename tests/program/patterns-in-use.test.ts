import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf, type StackRule } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import { memoryRequest } from "../../src/model/index.js";
import {
  type FragmentType,
  notOutdone,
  type Pattern,
  packProgram,
  patternFits,
  stageProgram,
  usefulPatterns,
} from "../../src/program/index.js";
import { designOf } from "../support/random-designs.js";

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

describe("LUTs in a stage", () => {
  const device = findDevice("ecp5-85f");
  const requests = Array.from({ length: 7 }, (_, n) =>
    memoryRequest({
      name: `m${n}`,
      depth: 100,
      width: 9,
      ports: { read: 0, write: 0, readWrite: 1 },
      exclusive: { group: "phase", members: 1 },
    }),
  );

  /** What the stage that counts blocks takes, with so many LUTs to spend. */
  const staged = (luts: number | null) => {
    const design = {
      ...designOf(requests, { small: { lutDepth: 0, registerBits: 0 } }),
      limits: { blocks: {}, luts },
    };
    const pack = packProgram(choicesOf(design, device), design, device);
    const blocks = { objective: "blocks", weight: 1 } as const;
    const { limitRows, patternOf } = stageProgram(pack, {
      minimise: [blocks],
      settled: [],
      atLeast: null,
      budgets: "hard",
      owners: null,
      columns: null,
    });
    const row = limitRows[pack.budgets.findIndex(({ sharedLuts }) => sharedLuts)];
    return { row, sizes: patternOf.flatMap((entry) => (entry === null ? [] : [entry.pattern.length])) };
  };

  it("make a difference only where choices can break their limit: other patterns than the largest are of no use then", () => {
    const free = staged(null);
    expect(free.row).toBeNull();
    // All seven, or the four that a block of 512 words has room for.
    expect(new Set(free.sizes)).toEqual(new Set([4, 7]));
    const tight = staged(60);
    expect(tight.row).not.toBeNull();
    expect(tight.sizes).toContain(1);
  });
});
