import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type Objective,
  outdoneColumns,
  type PackProgram,
  type Stage,
  stageProgram,
} from "../../src/program/index.js";
import { solveWith } from "../../src/solve/engine.js";
import { memoriesInTurns, packOf } from "../support/turns.js";

const memories = memoriesInTurns(6);

const every = (pack: PackProgram) => new Set(pack.columns.keys());

function stageOf(
  pack: PackProgram,
  budgets: Stage["budgets"],
  minimise: Objective,
  settled: Stage["settled"],
): Stage {
  return {
    minimise: [{ objective: minimise, weight: 1 }],
    settled,
    atLeast: null,
    budgets,
    owners: null,
    columns: every(pack),
  };
}

/** The least value of a stage; null: it has no solution. */
async function leastOf(pack: PackProgram, stage: Stage): Promise<number | null> {
  const outcome = await solveWith("highs", stageProgram(pack, stage).program, { deadlineMs: 20_000 });
  if (outcome.status === "infeasible") return null;
  expect(outcome.status).toBe("optimal");
  return (outcome as { value: number }).value;
}

function withoutOutdone(pack: PackProgram, stage: Stage, kept: ReadonlySet<number>): Stage {
  const outdone = outdoneColumns(pack, stage, kept);
  for (const [column, other] of outdone) {
    expect(kept.has(column)).toBe(false);
    expect(outdone.has(other)).toBe(false);
  }
  return { ...stage, columns: new Set([...every(pack)].filter((column) => !outdone.has(column))) };
}

describe("columns that others stand in for", () => {
  it("make no stage better", async () => {
    const left = { out: 0, infeasible: 0, luts: 0 };
    await fc.assert(
      fc.asyncProperty(
        memories,
        fc.option(fc.integer({ min: 1, max: 12 })),
        fc.option(fc.integer({ min: 0, max: 60 })),
        async (requests, blocks, luts) => {
          const pack = packOf(requests, blocks, luts);
          const budgets = blocks === null && luts === null ? "none" : "hard";
          const first = stageOf(pack, budgets, "blocks", []);
          const part = withoutOutdone(pack, first, new Set());
          const fewest = await leastOf(pack, first);
          expect(await leastOf(pack, part)).toBe(fewest);
          left.out += pack.columns.length - part.columns!.size;
          if (fewest === null) {
            left.infeasible += 1;
            return;
          }
          const second = stageOf(pack, budgets, "luts", [{ objective: "blocks", value: fewest }]);
          const least = await leastOf(pack, second);
          expect(await leastOf(pack, withoutOutdone(pack, second, new Set()))).toBe(least);
          if (least! > 0) left.luts += 1;
        },
      ),
      { numRuns: 60 },
    );
    expect(left.out).toBeGreaterThan(100);
    expect(left.infeasible).toBeGreaterThan(3);
    expect(left.luts).toBeGreaterThan(10);
  }, 120_000);

  it("are none where they are to be kept", () => {
    fc.assert(
      fc.property(memories, (requests) => {
        const pack = packOf(requests, null, null);
        const stage = stageOf(pack, "none", "blocks", []);
        expect(outdoneColumns(pack, stage, every(pack)).size).toBe(0);
        const kept = new Set(outdoneColumns(pack, stage, new Set()).keys());
        for (const column of outdoneColumns(pack, stage, kept).keys()) expect(kept.has(column)).toBe(false);
      }),
      { numRuns: 20 },
    );
  });
});
