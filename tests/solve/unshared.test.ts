import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import type { Design } from "../../src/model/index.js";
import { type PackProgram, packProgram } from "../../src/program/index.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import type { StageModel } from "../../src/solve/stage-model.js";
import { solveUnshared } from "../../src/solve/unshared.js";
import { memoriesOf } from "../bench/memories.js";
import { randomFrom } from "../bench/random.js";
import { designOf } from "../support/random-designs.js";
import { everyChoice, someParts } from "./every-choice.js";

const amounts = fc.record({
  units: fc.tuple(fc.integer({ min: 0, max: 4 }), fc.integer({ min: 0, max: 2 })),
  luts: fc.integer({ min: 0, max: 9 }),
});

const limits = fc.record({
  units: fc.tuple(fc.integer({ min: 0, max: 14 }), fc.integer({ min: 0, max: 6 })),
  luts: fc.integer({ min: 0, max: 30 }),
});

/** Enumeration is the check: it knows of no tables. */
describe("a stage in which nothing is shared", () => {
  it.each([
    { cost: "tells which choice is better", isTold: true },
    { cost: "does not tell which choice is better", isTold: false },
  ])("gets the best of all choices where the cost $cost", ({ isTold }) => {
    const seen = { found: 0, infeasible: 0, open: 0 };
    fc.assert(
      fc.property(
        someParts,
        fc.infiniteStream(fc.record({ own: amounts, other: fc.nat(99) })),
        limits,
        ({ parts, columns }, values, limit) => {
          const drawn = Array.from({ length: columns }, () => values.next().value);
          const spends = [
            drawn.map(({ own }) => own.units[0]),
            drawn.map(({ own }) => own.units[1]),
            drawn.map(({ own }) => own.luts),
          ];
          const most = [...limit.units, limit.luts];
          const costs = Float64Array.from(drawn, ({ own, other }) =>
            isTold ? 1000 * own.units[0] + 7000 * own.units[1] + own.luts : other,
          );
          const budgets = spends.map((list, k) => ({ spends: list, limit: most[k]!, ofPool: k < 2 }));
          const pack = { budgets, columns: drawn } as unknown as PackProgram;
          const found = solveUnshared({ pack, parts } as unknown as StageModel, costs);
          const sumOf = (of: ArrayLike<number>, choice: readonly number[]) =>
            choice.reduce((sum, column) => sum + of[column]!, 0);
          const fitting = everyChoice(parts).filter((choice) =>
            spends.every((list, k) => sumOf(list, choice) <= most[k]!),
          );
          if (isTold) expect(found).not.toBeNull();
          if (found === null) {
            seen.open += 1;
          } else if (found === "infeasible") {
            seen.infeasible += 1;
            expect(fitting).toEqual([]);
          } else {
            seen.found += 1;
            const choice = found.flatMap((n, column) => Array<number>(n).fill(column)).sort((a, b) => a - b);
            const sorted = fitting.map((each) => [...each].sort((a, b) => a - b));
            expect(sorted).toContainEqual(choice);
            expect(sumOf(costs, choice)).toBe(Math.min(...fitting.map((each) => sumOf(costs, each))));
          }
        },
      ),
      { numRuns: 400, seed: 12 },
    );
    expect(seen.found).toBeGreaterThan(50);
    expect(seen.infeasible).toBeGreaterThan(50);
    if (!isTold) expect(seen.open).toBeGreaterThan(10);
  });
});

describe("designs whose blocks have no second port to share", () => {
  it("get what highs proves, without it", { timeout: 120_000 }, async () => {
    const device = findDevice("up5k");
    const [pool] = device.pools;
    const closed = { optimal: 0, overBudget: 0 };
    await fc.assert(
      fc.asyncProperty(
        fc.nat(1_000_000),
        fc.integer({ min: 8, max: 40 }),
        fc.integer({ min: 16, max: 256 }),
        fc.integer({ min: 60, max: 99 }),
        fc.option(fc.integer({ min: 105, max: 300 })),
        async (seed, count, part, blocksLeft, lutsLeft) => {
          const mix = { count, scale: 1 / part, deepest: 65_536, twoPorts: false, asynchronous: false };
          const requests = memoriesOf(randomFrom(seed), mix);
          const design = designOf(requests, { small: { lutDepth: null, registerBits: 512 } });
          const programOf = (limits: Design["limits"]) => {
            const limited = { ...design, limits };
            return packProgram(choicesOf(limited, device), limited, device);
          };
          const free = programOf(design.limits);
          const { counts, spending } = await solvePack(free, {});
          const taken = counts.reduce((sum, n, column) => sum + n * free.budgets[0]!.spends[column]!, 0);
          const program = programOf({
            blocks: { [pool!.name]: Math.floor((taken * blocksLeft) / 100) },
            luts: lutsLeft === null ? null : Math.floor((spending.objectives.luts * lutsLeft) / 100),
          });
          const own = await solvePack(program, {});
          const other = await solvePack(program, { engine: "highs" });
          expect(own.spending.objectives).toEqual(other.spending.objectives);
          expect(own.spending.overrun).toBe(other.spending.overrun);
          expect([own.proven, own.bound]).toEqual([true, other.bound]);
          if (own.engine === "dynamic programming") closed.optimal += 1;
          if (own.engine === "dynamic programming + highs") closed.overBudget += 1;
        },
      ),
      { numRuns: 150, seed: 13 },
    );
    expect(closed.optimal).toBeGreaterThan(10);
    expect(closed.overBudget).toBeGreaterThan(40);
  });
});
