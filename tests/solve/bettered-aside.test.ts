import { describe, expect, it, vi } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { packProgram } from "../../src/program/index.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { proofOptions } from "../bench/catalogue.js";
import { systemOf } from "../bench/systems.js";
import { lateRun } from "./late-run.js";

/** Which runs of the stage after the blocks come to nothing before the time is up. */
const host = vi.hoisted(() => ({ late: "none" as "none" | "whole" | "all" }));
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) => {
      const isLater = program.rows.some(({ name }) => name === "k0");
      const isWhole = options.work === undefined;
      const isLate = isLater && (host.late === "all" || (host.late === "whole" && isWhole));
      return isLate ? lateRun(options) : others.solveWith(engine, program, options);
    },
  };
});

describe("LUTs of a design with room whose runs are late", () => {
  it("are bettered beside them, with the same blocks, and not called proven", {
    timeout: 120_000,
  }, async () => {
    const { design, device } = await systemOf(39, proofOptions(39));
    const program = packProgram(choicesOf(design, device), design, device);
    host.late = "all";
    const plain = await solvePack(program, { deadlineMs: 4000 });
    host.late = "whole";
    const bettered = await solvePack(program, { deadlineMs: 8000 });
    host.late = "none";
    const best = await solvePack(program, { deadlineMs: 60_000 });
    expect([plain.proven, bettered.proven, best.proven]).toEqual([false, false, true]);
    expect(bettered.spending.overrun).toBe(0);
    expect(bettered.spending.objectives.blocks).toBe(best.spending.objectives.blocks);
    expect(bettered.spending.objectives.luts).toBeLessThan(plain.spending.objectives.luts);
    expect(bettered.spending.objectives.luts).toBeGreaterThanOrEqual(best.spending.objectives.luts);
    expect(bettered.lutsBound).toBeLessThanOrEqual(best.spending.objectives.luts);
  });
});
