import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/index.js";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { OBJECTIVES, type PackProgram, packProgram } from "../../src/program/index.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { designOf } from "../support/random-designs.js";

const DEVICE = findDevice("ecp5-85f");

const memory = fc.record({
  depth: fc.integer({ min: 20, max: 900 }),
  width: fc.integer({ min: 1, max: 18 }),
  ports: fc.constantFrom("1rw", "1r1w"),
  instances: fc.integer({ min: 1, max: 3 }),
});

/** As for a key with too many patterns to list: one fragment alone in each block, the others made as they are needed. */
function withFewPatterns(pack: PackProgram): PackProgram {
  const shareKeys = pack.shareKeys.map((key) =>
    key.sort === "pair"
      ? key
      : { ...key, loners: null, patterns: key.types.map((_, index) => [index]), complete: false },
  );
  return { ...pack, shareKeys };
}

describe("patterns made as they are needed", () => {
  it("prove nothing that all patterns disprove", async () => {
    let proven = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(memory, { minLength: 2, maxLength: 6 }), async (memories) => {
        const requests = memories.map(({ depth, width, ports, instances }, index) =>
          memoryRequest({ name: `m${index}`, depth, width, ports: parsePorts(ports)!, instances, pump: 2 }),
        );
        const design = designOf(requests, { clockMHz: 50, small: { lutDepth: 0, registerBits: 0 } });
        const choices = choicesOf(design, DEVICE);
        const program = () => packProgram(choices, design, DEVICE);
        const all = await solvePack(program(), { deadlineMs: 10_000 });
        const few = await solvePack(withFewPatterns(program()), { deadlineMs: 10_000 });
        const values = OBJECTIVES.map((objective) => few.spending.objectives[objective]);
        expect(few.bound).toBeLessThanOrEqual(all.spending.objectives.blocks);
        if (!few.proven || !all.proven) return;
        proven += 1;
        expect(values).toEqual(OBJECTIVES.map((objective) => all.spending.objectives[objective]));
      }),
      { numRuns: 40 },
    );
    expect(proven).toBeGreaterThan(5);
  });
});
