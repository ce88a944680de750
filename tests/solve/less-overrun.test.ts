import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { findDevice } from "../../src/index.js";
import { type PackProgram, type Stage, spendingOf, stageProgram } from "../../src/program/index.js";
import { solveWith } from "../../src/solve/engine.js";
import { withLessOverrun } from "../../src/solve/less-overrun.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { Solving } from "../../src/solve/solving.js";
import { independentBest } from "../../src/solve/start.js";
import { memoriesInTurns, packOf } from "../support/turns.js";

/** Whether runs of the engine that may take all the time do. */
const host = vi.hoisted(() => ({ isLate: false }));
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) => {
      if (!host.isLate || options.work !== undefined) return others.solveWith(engine, program, options);
      return new Promise((resolve) => {
        const end = () => resolve({ status: "out-of-time" });
        if (options.enough?.aborted) end();
        setTimeout(end, options.deadlineMs);
        options.enough?.addEventListener("abort", end);
      });
    },
  };
});

/** Two sorts of blocks. */
const DEVICE = findDevice("mpf300t");

const lists = memoriesInTurns(12);

/** The program with so many units of each budget, less `short` of the first. */
function within(pack: PackProgram, spent: readonly number[], short: number): PackProgram {
  const limit = (index: number) => Math.max(0, spent[index]! - (index === 0 ? short : 0));
  return { ...pack, budgets: pack.budgets.map((budget, index) => ({ ...budget, limit: limit(index) })) };
}

const overrunOf = (pack: PackProgram, held: { counts: readonly number[]; patterns?: null }) =>
  spendingOf(pack, held.counts, held.patterns).overrun;

/** What plans overrun at least, by highs on the whole program. */
async function leastOverrun(pack: PackProgram): Promise<number> {
  const stage: Stage = {
    minimise: [{ objective: "overrun", weight: 1 }],
    settled: [],
    atLeast: null,
    budgets: "soft",
    owners: null,
    columns: null,
  };
  const outcome = await solveWith("highs", stageProgram(pack, stage).program, { deadlineMs: 20_000 });
  expect(outcome.status).toBe("optimal");
  return (outcome as { value: number }).value;
}

describe("a choice that overruns budgets", () => {
  it("is bettered, often to one that fits, and to none that overruns less than any can", async () => {
    const seen = { over: 0, fits: 0, found: 0, never: 0 };
    await fc.assert(
      fc.asyncProperty(memoriesInTurns(9), fc.integer({ min: 0, max: 2 }), async (requests, short) => {
        const whole = packOf(requests, null, null, DEVICE);
        const { spending } = await solvePack(whole, { deadlineMs: 20_000 });
        const pack = within(whole, spending.spent, short);
        const start = { counts: independentBest(pack)!, patterns: null };
        const before = overrunOf(pack, start);
        if (before === 0) return;
        const near = await withLessOverrun(pack, new Solving(20_000, undefined), start);
        const after = spendingOf(pack, near.counts, near.patterns).overrun;
        const least = await leastOverrun(pack);
        expect(after).toBeLessThanOrEqual(before);
        expect(after).toBeGreaterThanOrEqual(least);
        seen.over += 1;
        if (least > 0) seen.never += 1;
        else seen.fits += 1;
        if (least === 0 && after === 0) seen.found += 1;
      }),
      { numRuns: 25, seed: 1 },
    );
    expect(seen.over).toBeGreaterThan(15);
    expect(seen.never).toBeGreaterThan(5);
    expect(seen.fits).toBeGreaterThan(5);
    expect(seen.found).toBeGreaterThanOrEqual(0.4 * seen.fits);
  }, 120_000);

  it("is sought after a part of the time, which may have no end", () => {
    expect(new Solving(Number.POSITIVE_INFINITY, undefined).afterPart(0.5)).toBe(Number.POSITIVE_INFINITY);
    const half = new Solving(1000, undefined);
    expect(half.stopAt - half.afterPart(0.5)).toBe(500);
  });

  it("is taken where the runs that seek one which fits find none in time", async () => {
    const requests = fc.sample(lists, { numRuns: 30, seed: 2 }).sort((a, b) => b.length - a.length)[0]!;
    const whole = packOf(requests, null, null, DEVICE);
    const free = await solvePack(whole, { deadlineMs: 20_000 });
    const pack = within(whole, free.spending.spent, 0);
    expect(overrunOf(pack, { counts: independentBest(pack)! })).toBeGreaterThan(0);
    host.isLate = true;
    const late = await solvePack(pack, { deadlineMs: 6000 });
    host.isLate = false;
    const best = await solvePack(pack, { deadlineMs: 20_000 });
    expect(best.spending.overrun).toBe(0);
    expect(late.spending.overrun).toBe(0);
    expect([late.nothingFits, best.proven]).toEqual([false, true]);
  }, 60_000);
});
