import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type MemoryRequest, memoryRequest, parsePorts } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { type Chunk, chunkings, fewestBlocks, fewestPaired } from "../support/exhaustive.js";
import { designOf } from "../support/random-designs.js";
import { BINARY, NINTHS, tinyDevice } from "../support/tiny-device.js";

const memory = (index: number, depth: number, width: number, ports: string) =>
  memoryRequest({ name: `m${index}`, depth, width, ports: parsePorts(ports)! });

describe("one memory takes as few blocks as exhaustive search over all guillotine cuts finds", () => {
  for (const kind of [NINTHS, BINARY]) {
    it(`blocks of ${kind.bits} bits`, async () => {
      await fc.assert(
        fc.asyncProperty(
          fc.integer({ min: 1, max: 70 }),
          fc.integer({ min: 1, max: 24 }),
          async (depth, width) => {
            const plan = await pack(designOf([memory(0, depth, width, "1r1w")]), tinyDevice([kind], [999]));
            expect(plan.totals.blocks[kind.name]).toBe(fewestBlocks(kind, depth, width));
          },
        ),
        { numRuns: 300, seed: 11 },
      );
    });
  }
});

/** Fewest weighted blocks, over every tiling of every memory in every pool and every pairing; null: does not fit. */
function fewestWeighted(
  requests: readonly MemoryRequest[],
  limits: readonly number[],
  weights: readonly number[],
): number | null {
  const kinds = [NINTHS, BINARY];
  const options = requests.map(({ depth, width, ports }) =>
    kinds.flatMap((kind, pool) =>
      ports.readWrite === 1
        ? chunkings(kind, depth, width).map((chunks) => ({ pool, whole: 0, chunks }))
        : [{ pool, whole: fewestBlocks(kind, depth, width), chunks: [] as Chunk[] }],
    ),
  );
  let best: number | null = null;
  const memos = kinds.map(() => new Map<string, number>());
  const choose = (index: number, whole: readonly number[], chunks: readonly Chunk[][]) => {
    // Two tenants a block at most: a bound that leaves out nothing that could win.
    const least = whole.map((count, pool) => count + Math.ceil(chunks[pool]!.length / 2));
    if (least.some((count, pool) => count > limits[pool]!)) return;
    if (best !== null && least.reduce((sum, count, pool) => sum + count * weights[pool]!, 0) >= best) return;
    const list = options[index];
    if (list === undefined) {
      const used = whole.map((count, pool) => count + fewestPaired(chunks[pool]!, memos[pool]));
      if (used.some((count, pool) => count > limits[pool]!)) return;
      const value = used.reduce((sum, count, pool) => sum + count * weights[pool]!, 0);
      if (best === null || value < best) best = value;
      return;
    }
    for (const option of list) {
      choose(
        index + 1,
        whole.map((count, pool) => count + (pool === option.pool ? option.whole : 0)),
        chunks.map((held, pool) => (pool === option.pool ? [...held, ...option.chunks] : held)),
      );
    }
  };
  choose(0, [0, 0], [[], []]);
  return best;
}

const tinyMemory = fc.record({
  depth: fc.integer({ min: 1, max: 10 }),
  width: fc.integer({ min: 1, max: 6 }),
  ports: fc.constantFrom("1rw", "1rw", "1r1w"),
});

describe("several memories, two kinds of block, shared blocks and budgets", () => {
  it("take the value that exhaustive search finds, or neither fits", async () => {
    let bound = 0;
    let over = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.array(tinyMemory, { minLength: 1, maxLength: 3 }),
        fc.integer({ min: 0, max: 6 }),
        fc.integer({ min: 0, max: 6 }),
        async (memories, ninths, binary) => {
          const requests = memories.map(({ depth, width, ports }, index) =>
            memory(index, depth, width, ports),
          );
          // Weights by bits: 18 and 32 have the common divisor 2.
          const best = fewestWeighted(requests, [ninths, binary], [9, 16]);
          const plan = await pack(designOf(requests), tinyDevice([NINTHS, BINARY], [ninths, binary]));
          if (best === null) {
            expect(plan.status).toBe("over-budget");
            expect(plan.objective.nothingFits).toBe(true);
            over += 1;
          } else {
            expect(plan.objective).toMatchObject({
              value: best,
              bound: best,
              proven: true,
              nothingFits: false,
            });
            if (best !== fewestWeighted(requests, [99, 99], [9, 16])) bound += 1;
          }
        },
      ),
      { numRuns: 300, seed: 5 },
    );
    // The sample has to contain budgets that bind and budgets that cannot be met, or the test shows little.
    expect(bound).toBeGreaterThan(10);
    expect(over).toBeGreaterThan(10);
  });
});
