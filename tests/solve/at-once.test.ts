import { expect, it, vi } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import { packProgram, type Spending } from "../../src/program/index.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { drawn, type SystemOptions } from "../bench/systems.js";

const host = vi.hoisted(() => ({ atOnce: 2, inTwoWays: false, lateMs: 0, most: 0, running: 0 }));
// Which solution two ways come to rests on the clock where neither is clearly sooner; all else that goes on at once does not.
vi.mock(import("../../src/solve/two-ways.js"), async (original) => {
  const { solveInTwoWays, solveInOneWay, ...others } = await original();
  return {
    ...others,
    solveInOneWay: async (program, options) => {
      const outcome = await solveInOneWay(program, options);
      if (host.lateMs > 0) await new Promise((resume) => setTimeout(resume, host.lateMs));
      return outcome;
    },
    solveInTwoWays: (program, options, second) =>
      host.inTwoWays ? solveInTwoWays(program, options, second) : solveInOneWay(program, options),
  };
});
vi.mock(import("../../src/solve/worker-host.js"), async (original) => {
  const { runTask, ...others } = await original();
  return {
    ...others,
    tasksAtOnce: async () => host.atOnce,
    runTask: async (...task) => {
      host.running += 1;
      host.most = Math.max(host.most, host.running);
      try {
        return await runTask(...task);
      } finally {
        host.running -= 1;
      }
    },
  };
});

/** Invented systems: blocks shared by two with budgets that bind, or that nothing keeps, and by more where memories take turns. */
const systems: readonly SystemOptions[] = [
  { memories: [30, 40], device: "xczu7ev", budget: "tight" },
  { memories: [24, 30], device: "mpf300t", budget: "tight" },
  { memories: [30, 40], device: "xcku5p", budget: "tight" },
  { memories: [40, 50], device: "gw2a-18", budget: "infeasible" },
  { memories: [16, 20], device: "generic-10k", budget: "slack", turns: true },
  { memories: [16, 20], device: "5ceba4", budget: "tight", turns: true },
];

it("a proven choice is the same, whether or not two runs go on at once and whichever is sooner, and worth the same where one is made in two ways", {
  timeout: 600_000,
}, async () => {
  const seen = { proven: 0, atOnce: 0 };
  for (const options of systems) {
    for (const seed of [1, 2, 3]) {
      const { design, device } = await drawn(seed, options, findDevice(options.device));
      const pack = packProgram(choicesOf(design, device), design, device);
      const found = [];
      for (const way of [{ atOnce: 1 }, {}, { lateMs: 150 }, { inTwoWays: true }]) {
        Object.assign(host, { atOnce: 2, inTwoWays: false, lateMs: 0, most: 0 }, way);
        found.push(await solvePack(pack, { deadlineMs: 20_000 }));
        if (host.most === 2) seen.atOnce += 1;
      }
      if (!found.every(({ proven }) => proven)) continue;
      seen.proven += 1;
      const which = `${options.device}, ${seed}`;
      const [alone, beside, late, inTwoWays] = found.map(({ counts, spending }) => ({ counts, spending }));
      expect(beside, which).toEqual(alone);
      expect(late, which).toEqual(alone);
      const worth = ({ overrun, objectives }: Spending) => ({ overrun, objectives });
      expect(worth(inTwoWays!.spending), which).toEqual(worth(alone!.spending));
    }
  }
  expect(seen.proven).toBeGreaterThan(10);
  expect(seen.atOnce).toBeGreaterThan(5);
});
