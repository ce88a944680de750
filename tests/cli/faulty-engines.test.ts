import { describe, expect, it, vi } from "vitest";
import type { Plan } from "../../src/index.js";
import { ramtailor } from "./run-command.js";

/** The whole program while a solving engine crashes, hangs or lies: the worker's file is another, and nothing else. */

const state = vi.hoisted(() => ({ fault: "none", asked: 0 }));

vi.mock(import("../../src/solve/worker-host.js"), async (original) => {
  const host = await original();
  return {
    ...host,
    runTask: (engine, task, limits) => {
      if (task.whole) state.asked += 1;
      const spoilt = { ...task, fault: state.fault };
      return host.runTask(engine, spoilt, {
        ...limits,
        workerFile: new URL("./faulty-engine.js", import.meta.url),
      });
    },
  };
});

/** Packs with a fault, on an engine that has to be asked. */
async function packed(fault: string, engine: "highs" | "javascript-lp-solver", deadline = 20) {
  state.fault = fault;
  state.asked = 0;
  const { exit, stdout, stderr } = await ramtailor(
    `pack shares.yaml --engine ${engine} --deadline ${deadline} --json`,
  );
  expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
  expect(state.asked).toBeGreaterThan(0);
  return JSON.parse(stdout) as Plan;
}

const right = await packed("none", "highs");

describe.each(["highs", "javascript-lp-solver"] as const)("with %s", (engine) => {
  it("that is right, nothing is said", async () => {
    const plan = await packed("none", engine);
    expect(plan.status).toBe("optimal");
    expect(plan.totals.blocks).toEqual(right.totals.blocks);
    expect(plan.warnings).toEqual([]);
  });

  it.each([
    ["throws", "out of memory"],
    ["exits", "ended with code 3"],
    ["answers nothing but zeros", "violates"],
    ["answers one more of all", "violates|misstates|worth"],
    ["answers parts of it", "not whole|violates|worth"],
    ["answers less than it takes", "worth"],
    ["is too short", "not whole"],
    ["is not a number", "not whole"],
    ["finds no solution", "no solution where one is in hand"],
  ])(
    "that %s, the plan is a checked one, not called optimal, and a warning says why",
    async (fault, reason) => {
      const plan = await packed(fault, engine);
      expect(plan.status).toBe("feasible");
      expect(plan.objective.value).toBeGreaterThanOrEqual(right.objective.value);
      const [warning, ...others] = plan.warnings;
      expect(others).toEqual([]);
      expect(warning?.message).toContain(
        "a solving engine failed, and the plan is the best found without it: ",
      );
      expect(warning?.message).toMatch(new RegExp(`${engine}: .*(${reason})`));
    },
  );

  it("that never returns, the deadline ends it", async () => {
    const plan = await packed("never returns", engine, 1);
    expect(plan.status).toBe("feasible");
  });
});
