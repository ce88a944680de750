import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { findDevice } from "../../src/index.js";
import { type PackProgram, type Stage, spendingOf, stageProgram } from "../../src/program/index.js";
import { solveWith } from "../../src/solve/engine.js";
import { FIRST_WORK, withLessOverrun } from "../../src/solve/less-overrun.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { Solving } from "../../src/solve/solving.js";
import { independentBest } from "../../src/solve/start.js";
import { memoriesInTurns, packOf } from "../support/turns.js";
import { lateRun } from "./late-run.js";

/** Whether runs of the engine that may take all the time do, and how many there were that seek a first plan. */
const host = vi.hoisted(() => ({ isLate: false, sought: 0 }));
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) => {
      if (options.work === FIRST_WORK) host.sought += 1;
      const isLate = host.isLate && options.work === undefined;
      return isLate ? lateRun(options) : others.solveWith(engine, program, options);
    },
  };
});

/** Two sorts of blocks. */
const DEVICE = findDevice("mpf300t");

const lists = memoriesInTurns(12);

/** The program with so many units of each budget, less `short` of one of them. */
function within(pack: PackProgram, spent: readonly number[], short: number, which = 0): PackProgram {
  const limit = (index: number) => Math.max(0, spent[index]! - (index === which ? short : 0));
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

  it("is followed by the proof of what is best, or that nothing fits, where there is time left for it", async () => {
    const seen = { over: 0, fits: 0 };
    for (const requests of fc.sample(lists, { numRuns: 8, seed: 4 })) {
      const whole = packOf(requests, null, null, DEVICE);
      const free = await solvePack(whole, { deadlineMs: 20_000 });
      for (const which of [-1, 0, 1, 2]) {
        const pack = within(whole, free.spending.spent, 1, which);
        const usual = await solvePack(pack, { deadlineMs: 20_000 });
        host.sought = 0;
        const soon = vi.spyOn(Solving.prototype, "afterPart").mockReturnValue(0);
        const later = await solvePack(pack, { deadlineMs: 20_000 });
        soon.mockRestore();
        expect([later.proven, later.nothingFits]).toEqual([true, usual.nothingFits]);
        expect(later.spending.overrun).toBe(usual.spending.overrun);
        expect(later.spending.objectives).toEqual(usual.spending.objectives);
        if (host.sought > 0) seen[usual.nothingFits ? "over" : "fits"] += 1;
      }
    }
    expect(seen.over).toBeGreaterThan(0);
    expect(seen.fits).toBeGreaterThan(0);
  }, 120_000);
});
