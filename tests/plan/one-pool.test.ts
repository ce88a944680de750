import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { type Device, memoryRequest, parsePorts } from "../../src/model/index.js";
import { packChoices } from "../../src/plan/pack.js";
import {
  OBJECTIVES,
  type Objective,
  packProgram,
  type Stage,
  stageProgram,
} from "../../src/program/index.js";
import { solveWith } from "../../src/solve/engine.js";
import { designOf } from "../support/random-designs.js";
import { NINTHS, tinyDevice } from "../support/tiny-device.js";

type Values = Readonly<Record<Objective | "overrun", number>>;

/** One objective after the other by highs on the plain program of each stage, with budgets as limits; null: nothing fits. */
async function stageByStage(
  pack: ReturnType<typeof packProgram>,
  budgets: "hard" | "soft",
): Promise<Values | null> {
  const settled: Stage["settled"][number][] = [];
  for (const objective of budgets === "soft" ? (["overrun", ...OBJECTIVES] as const) : OBJECTIVES) {
    const minimise = [{ objective, weight: 1 }];
    const stage: Stage = { minimise, settled, atLeast: null, budgets, owners: null, columns: null };
    const outcome = await solveWith("highs", stageProgram(pack, stage).program, { deadlineMs: 20_000 });
    if (outcome.status === "infeasible") return null;
    if (outcome.status !== "optimal") throw new Error(outcome.status);
    settled.push({ objective, value: outcome.value });
  }
  const found = Object.fromEntries(settled.map(({ objective, value }) => [objective, value]));
  return { overrun: 0, ...found } as unknown as Values;
}

const memory = fc.record({
  depth: fc.integer({ min: 1, max: 24 }),
  width: fc.integer({ min: 1, max: 8 }),
  ports: fc.constantFrom("1rw", "1r1w", "2r1w"),
  instances: fc.integer({ min: 1, max: 3 }),
  pump: fc.constantFrom(null, 2, 2),
});

describe("where memories take turns at the blocks of a device's only pool", () => {
  it("plans are as good as stage by stage, whether the blocks, the logic, both or none run out", async () => {
    const seen = { fits: 0, blocks: 0, luts: 0, patterns: 0 };
    await fc.assert(
      fc.asyncProperty(
        fc.array(memory, { minLength: 2, maxLength: 4 }),
        fc.integer({ min: 0, max: 2 }),
        fc.integer({ min: 0, max: 2 }),
        async (memories, fewerBlocks, fewerLuts) => {
          const requests = memories.map(({ ports, ...rest }, index) =>
            memoryRequest({ name: `m${index}`, ports: parsePorts(ports)!, ...rest }),
          );
          const device: Device = tinyDevice([{ ...NINTHS, maxClockMHz: 200 }], [999]);
          const design = (blocks: Record<string, number>, luts: number | null) =>
            designOf(requests, {
              clockMHz: 100,
              limits: { blocks, luts },
              small: { lutDepth: 0, registerBits: 0 },
            });
          const choices = choicesOf(design({}, null), device);
          const free = await packChoices(design({}, null), device, choices);
          const blocks = Math.max(0, free.plan.objective.value - fewerBlocks);
          const luts = Math.floor((free.plan.totals.luts * (3 - fewerLuts)) / 3);
          const limited = design({ N: blocks }, luts);
          const pack = packProgram(choices, limited, device);
          const expected = (await stageByStage(pack, "hard")) ?? (await stageByStage(pack, "soft"))!;
          const { plan, overrun, cascade } = await packChoices(limited, device, choices);
          expect(plan.objective).toEqual({
            value: expected.blocks,
            bound: expected.blocks,
            proven: true,
            nothingFits: expected.overrun > 0,
            lutsBound: expected.luts,
          });
          expect({ overrun, luts: plan.totals.luts, cascade }).toEqual({
            overrun: expected.overrun,
            luts: expected.luts,
            cascade: expected.cascade,
          });
          if (overrun === 0) seen.fits += 1;
          if (expected.blocks > blocks) seen.blocks += 1;
          if (expected.luts > luts) seen.luts += 1;
          if (pack.shareKeys.some((key) => key.sort === "stack" && key.loners === null)) seen.patterns += 1;
        },
      ),
      { numRuns: 80, seed: 9 },
    );
    // All of these have to come up, or the test shows little.
    expect(seen.fits).toBeGreaterThan(10);
    expect(seen.blocks).toBeGreaterThan(20);
    expect(seen.luts).toBeGreaterThan(5);
    expect(seen.patterns).toBeGreaterThan(30);
  });
});
