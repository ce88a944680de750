import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { StackRule } from "../../src/candidates/index.js";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import { memoryRequest } from "../../src/model/index.js";
import {
  blocksForFragments,
  type FragmentType,
  firstFit,
  lonersAmongPairs,
  packProgram,
  patternFits,
  spendingOf,
} from "../../src/program/index.js";
import { designOf } from "../support/random-designs.js";

const DEPTH = 16;

const turns = fc.record({
  joint: fc.boolean(),
  each: fc.integer({ min: 1, max: 3 }),
  types: fc.array(
    fc.record({
      rows: fc.integer({ min: 1, max: DEPTH }),
      a: fc.integer({ min: 0, max: 2 }),
      b: fc.integer({ min: 1, max: 2 }),
      count: fc.integer({ min: 0, max: 2 }),
    }),
    { minLength: 1, maxLength: 4 },
  ),
});

/** Fewest blocks for the fragments by trying every way to put them together. */
function fewestBlocks(rule: StackRule, types: readonly FragmentType[], counts: readonly number[]): number {
  const items = counts.flatMap((count, type) => Array<number>(count).fill(type));
  let best = items.length;
  const grow = (next: number, blocks: readonly (readonly number[])[]) => {
    if (blocks.length >= best) return;
    if (next === items.length) {
      best = blocks.length;
      return;
    }
    const item = items[next]!;
    blocks.forEach((block, at) => {
      const wider = [...block, item];
      if (patternFits(rule, types, wider)) grow(next + 1, blocks.with(at, wider));
    });
    grow(next + 1, [...blocks, [item]]);
  };
  grow(0, []);
  return best;
}

describe("blocks of which none holds more than two", () => {
  it("are as many as the pairing bound says, and as first fit takes", () => {
    const seen = { pairs: 0, more: 0, loners: 0 };
    fc.assert(
      fc.property(turns, ({ joint, each, types: drawn }) => {
        const rule: StackRule = {
          depth: DEPTH,
          turns: joint ? [2 * each, 0] : [each, each],
          joint,
          distinctOwners: false,
          muxBits: 0,
        };
        const types = drawn
          .map(({ rows, a, b }): FragmentType => ({ rows, turns: joint ? [a + b, 0] : [a, b], owner: null }))
          .filter((_, type, all) => patternFits(rule, all, [type]));
        const counts = drawn.slice(0, types.length).map(({ count }) => count);
        const loners = lonersAmongPairs(rule, types);
        if (loners === null) {
          seen.more += 1;
          return;
        }
        seen.pairs += 1;
        seen.loners += loners.size;
        const fewest = fewestBlocks(rule, types, counts);
        const extents = types.map(({ rows }, type) => ({
          extent: loners.has(type) ? DEPTH : rows,
          count: counts[type]!,
        }));
        expect(blocksForFragments(extents, DEPTH)).toBe(fewest);
        expect(firstFit(rule, types, counts).reduce((sum, { count }) => sum + count, 0)).toBe(fewest);
      }),
      { numRuns: 3000 },
    );
    expect(Math.min(seen.pairs, seen.more, seen.loners)).toBeGreaterThan(100);
  });
});

describe("the cost of blocks that are shared in turns", () => {
  it("is that of the given patterns where sharing more would take more LUTs", () => {
    const device = findDevice("ecp5-85f");
    const requests = [
      memoryRequest({
        name: "m",
        depth: 100,
        width: 9,
        ports: { read: 0, write: 0, readWrite: 1 },
        instances: 7,
        exclusive: { group: "phase", members: 7 },
      }),
    ];
    const design = designOf(requests, { small: { lutDepth: 0, registerBits: 0 } });
    const pack = packProgram(choicesOf(design, device), design, device);
    const counts = pack.columns.map(() => 0);
    const key = pack.shareKeys.findIndex(({ sort }) => sort === "stack");
    const members = pack.choices.groups[0]!.members.length;
    for (let place = 0; place < members; place++) {
      const column = pack.columns.findIndex(
        (each) =>
          each.sort === "member" &&
          each.place === place &&
          each.candidate.fragments.length === 1 &&
          each.candidate.fragments[0]!.shareKey === pack.shareKeys[key]!.name,
      );
      counts[column]! += 1;
    }
    const { types } = pack.shareKeys[key]! as { types: readonly FragmentType[] } & object;
    const apart = pack.shareKeys.map((_, index) =>
      index === key ? types.map((_, type) => ({ pattern: [type], count: 1 })) : [],
    );
    const packed = spendingOf(pack, counts);
    const given = spendingOf(pack, counts, apart);
    expect(members).toBe(7);
    expect(given.shared[key]).toBe(7);
    expect(packed.shared[key]).toBeLessThan(7);
    expect(given.objectives.luts).toBeLessThan(packed.objectives.luts);
  });
});
