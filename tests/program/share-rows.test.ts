import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { findDevice } from "../../src/input/index.js";
import { memoryRequest } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { blocksForFragments } from "../../src/program/index.js";
import { designOf } from "../support/random-designs.js";
import { fewestBlocks } from "./matchings.js";

/** Extents of which some are near the half and some near the whole, in blocks of `cells`. */
const fragments = fc.integer({ min: 2, max: 24 }).chain((cells) =>
  fc.record({
    cells: fc.constant(cells),
    extents: fc.array(fc.integer({ min: 1, max: cells }), { minLength: 0, maxLength: 11 }),
  }),
);

describe("blocks for fragments, two in a block at most", () => {
  it("the thresholds give what trying every matching gives", () => {
    fc.assert(
      fc.property(fragments, ({ cells, extents }) => {
        const counts = extents.map((extent) => ({ extent, count: 1 }));
        expect(blocksForFragments(counts, cells)).toBe(fewestBlocks(extents, cells));
      }),
      { numRuns: 1000 },
    );
  });

  it("equal extents may be counted instead of listed", () => {
    fc.assert(
      fc.property(fragments, fc.integer({ min: 1, max: 3 }), ({ cells, extents }, count) => {
        const few = extents.slice(0, 4);
        const listed = few.flatMap((extent) => Array.from({ length: count }, () => extent));
        expect(
          blocksForFragments(
            few.map((extent) => ({ extent, count })),
            cells,
          ),
        ).toBe(fewestBlocks(listed, cells));
      }),
      { numRuns: 300 },
    );
  });

  // One bit wide, one deep: nothing to cut, so that a memory is one fragment of as many cells as it has words.
  const memories = fc.array(
    fc.record({
      depth: fc.oneof(
        fc.integer({ min: 1, max: 16_384 }),
        fc.integer({ min: 8180, max: 8204 }),
        fc.constantFrom(4096, 8192, 12_288, 16_384),
      ),
      instances: fc.integer({ min: 1, max: 3 }),
    }),
    { minLength: 1, maxLength: 4 },
  );

  it.each([
    { name: "ecp5-85f", pool: "EBR", blocks: 1 },
    { name: "xc7z020", pool: "BRAM36", blocks: 0.5 },
  ])("a plan on $name pairs them in as few blocks", async ({ name, pool, blocks }) => {
    const device = findDevice(name);
    await fc.assert(
      fc.asyncProperty(memories, async (list) => {
        const requests = list.map(({ depth, instances }, index) =>
          memoryRequest({
            name: `m${index}`,
            depth,
            width: 1,
            ports: { read: 0, write: 0, readWrite: 1 },
            instances,
            maxCascade: 1,
          }),
        );
        const extents = list.flatMap(({ depth, instances }) =>
          Array.from({ length: instances }, () => depth),
        );
        const plan = await pack(designOf(requests, { small: { lutDepth: 0, registerBits: 0 } }), device);
        const fewest = fewestBlocks(extents, 16_384);
        expect(plan.totals.blocks[pool]).toBe(fewest * blocks);
        expect(plan.blocks.reduce((sum, { repeat }) => sum + repeat, 0)).toBe(fewest);
        expect(plan.status).toBe("optimal");
      }),
      { numRuns: 60 },
    );
  });
});
