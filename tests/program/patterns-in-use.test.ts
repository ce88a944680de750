import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf, type StackRule } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import { memoryRequest } from "../../src/model/index.js";
import {
  classesOf,
  type FragmentType,
  mostOfPattern,
  type Pattern,
  packProgram,
  patternFits,
  patternsInUse,
  type StackKey,
  stageProgram,
  usefulPatterns,
} from "../../src/program/index.js";
import { designOf } from "../support/random-designs.js";

const DEPTH = 16;

/** A rule and types of fragments: of owners that have one place in a block each, or any number of them as far as turns go. */
interface Drawn {
  readonly rule: StackRule;
  readonly list: readonly FragmentType[];
}

const rows = fc.integer({ min: 1, max: 8 });

const apart: fc.Arbitrary<Drawn> = fc
  .uniqueArray(fc.record({ rows, owner: fc.integer({ min: 0, max: 4 }) }), {
    selector: ({ rows, owner }) => `${rows} ${owner}`,
    minLength: 1,
    maxLength: 6,
  })
  .map((drawn) => ({
    rule: { depth: DEPTH, turns: [0, 0], joint: false, distinctOwners: true, muxBits: 1 },
    list: drawn.map(({ rows, owner }) => ({ rows, turns: [0, 0], owner: `${owner}` })),
  }));

const inTurns: fc.Arbitrary<Drawn> = fc
  .tuple(
    fc.integer({ min: 2, max: 4 }),
    fc.uniqueArray(fc.record({ rows, turns: fc.integer({ min: 1, max: 2 }) }), {
      selector: ({ rows, turns }) => `${rows} ${turns}`,
      minLength: 1,
      maxLength: 6,
    }),
  )
  .map(([most, drawn]) => ({
    rule: { depth: DEPTH, turns: [most, 0], joint: true, distinctOwners: false, muxBits: 1 },
    list: drawn.map(({ rows, turns }) => ({ rows, turns: [turns, 0], owner: null })),
  }));

const drawn = fc.oneof(apart, inTurns);

/** Costs that never fall: a step up, or none, for each tenant more. */
const costs = fc
  .array(fc.integer({ min: 0, max: 1 }), { minLength: 8, maxLength: 8 })
  .map((steps) => (tenants: number) => steps.slice(0, tenants).reduce((sum, step) => sum + step, 0));

/** Every pattern that fits. */
function all({ rule, list }: Drawn): Pattern[] {
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

/** Whether the places of a pattern have room for another: of each class the largest place for the largest fragment, and so on. */
function holds(list: readonly FragmentType[], pattern: Pattern, other: Pattern): boolean {
  const classOf = ({ turns, owner }: FragmentType) => `${turns.join()} ${owner}`;
  const rowsOf = (each: Pattern, name: string) =>
    each
      .map((type) => list[type]!)
      .filter((type) => classOf(type) === name)
      .map(({ rows }) => rows)
      .sort((a, b) => b - a);
  return list.every((type) => {
    const room = rowsOf(pattern, classOf(type));
    return rowsOf(other, classOf(type)).every((rows, place) => rows <= (room[place] ?? 0));
  });
}

/** A key of these types with all patterns that are worth having. */
function keyOf({ rule, list }: Drawn, cost: (tenants: number) => number): StackKey {
  return {
    sort: "stack",
    name: "key",
    pool: "pool",
    units: 1,
    cells: 1,
    rule,
    times: 1,
    types: list,
    loners: null,
    patterns: usefulPatterns(rule, list, 1000, cost)!,
    complete: true,
  };
}

describe("the patterns that are worth having", () => {
  it("have room for all others at no more cost, and none for another", () => {
    let fewer = 0;
    fc.assert(
      fc.property(drawn, costs, (each, cost) => {
        const { rule, list } = each;
        const fitting = all(each);
        const useful = usefulPatterns(rule, list, 1000, cost)!;
        fewer += fitting.length - useful.length;
        const standsIn = (pattern: Pattern) => (other: Pattern) =>
          holds(list, other, pattern) && cost(other.length) <= cost(pattern.length);
        for (const pattern of fitting) expect(useful.some(standsIn(pattern))).toBe(true);
        for (const pattern of useful) expect(useful.filter(standsIn(pattern))).toEqual([pattern]);
      }),
      { numRuns: 500 },
    );
    expect(fewer).toBeGreaterThan(500);
  });

  it("hold what choices may bring and no more, and all of that which fits a block", () => {
    let fewer = 0;
    fc.assert(
      fc.property(drawn, costs, fc.array(fc.nat(2), { minLength: 6, maxLength: 6 }), (each, cost, counts) => {
        const { list } = each;
        const most = list.map((_, type) => counts[type]!);
        const key = keyOf(each, cost);
        const inUse = patternsInUse(key, most, cost);
        const isThere = (pattern: Pattern) =>
          pattern.every((type) => pattern.filter((other) => other === type).length <= most[type]!);
        const wanted = all(each).filter(isThere);
        const standsIn = (pattern: Pattern) => (other: Pattern) =>
          holds(list, other, pattern) && cost(other.length) <= cost(pattern.length);
        for (const pattern of wanted) expect(inUse.some(standsIn(pattern))).toBe(true);
        for (const pattern of inUse) {
          expect(isThere(pattern)).toBe(true);
          expect(inUse.filter(standsIn(pattern))).toEqual([pattern]);
        }
        fewer += key.patterns.length - inUse.length;
      }),
      { numRuns: 500 },
    );
    expect(fewer).toBeGreaterThan(200);
  });

  it("are of use as often as their places can be filled", () => {
    fc.assert(
      fc.property(apart, fc.array(fc.nat(5), { minLength: 6, maxLength: 6 }), (each, counts) => {
        const { list } = each;
        const most = list.map((_, type) => counts[type]!);
        for (const pattern of all(each)) {
          // One owner has one place in a block.
          const fragments = pattern.map((place) =>
            list.reduce((sum, { owner, rows }, type) => {
              const isHeld = owner === list[place]!.owner && rows <= list[place]!.rows;
              return sum + (isHeld ? most[type]! : 0);
            }, 0),
          );
          expect(mostOfPattern(pattern, classesOf(list), most)).toBe(Math.max(...fragments));
        }
      }),
      { numRuns: 200 },
    );
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
