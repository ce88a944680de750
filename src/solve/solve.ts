import type { IntegerProgram } from "../program/integer-program.js";
import { objectiveStep, roundUpBound } from "./bound.js";
import { type EngineOptions, solveRelaxation, solveWith } from "./engine.js";
import type { Outcome } from "./outcome.js";
import type { Engine } from "./protocol.js";

/** Limits of a solve, and which engine may do it. */
export interface SolveOptions extends EngineOptions {
  /** Default "auto": javascript-lp-solver where it is quick, then highs. */
  readonly engine?: "auto" | Engine | undefined;
}

/** An outcome, and the engine whose answer it is. */
export interface Solved {
  readonly outcome: Outcome;
  readonly engine: Engine;
}

/** javascript-lp-solver keeps a full tableau: beyond this many cells a pivot takes too long to be worth a try. */
const QUICK_CELLS = 500_000;
/** The most that javascript-lp-solver may use of the deadline: it closes what it can close within this. */
const QUICK_SHARE = 0.25;
const QUICK_MS = 400;

/**
 * Solves a program within a deadline. Never rejects.
 *
 * "auto" first has highs solve the relaxation, then gives javascript-lp-solver a short time to attain its rounded
 * value. Only then is its answer taken: value and bound then come from different engines. Otherwise (it ran out of
 * time, said infeasible, or stopped above the bound) highs decides.
 */
export async function solve(program: IntegerProgram, options: SolveOptions): Promise<Solved> {
  const { engine = "auto", ...limits } = options;
  if (engine !== "auto") return { outcome: await solveWith(engine, program, limits), engine };

  const stopAt = Date.now() + limits.deadlineMs;
  const quick = isWorthATry(program) ? await attainRelaxation(program, limits) : null;
  if (quick?.status === "optimal") return { outcome: quick, engine: "javascript-lp-solver" };

  const outcome = await solveWith("highs", program, { ...limits, deadlineMs: stopAt - Date.now() });
  if (quick?.status === "feasible" && !isAsGood(outcome, quick.value)) {
    return { outcome: quick, engine: "javascript-lp-solver" };
  }
  return { outcome, engine: "highs" };
}

/** "optimal" only where javascript-lp-solver's answer has the value of the rounded relaxation. */
async function attainRelaxation(program: IntegerProgram, limits: EngineOptions): Promise<Outcome> {
  const stopAt = Date.now() + limits.deadlineMs;
  const relaxation = await solveRelaxation(program, limits);
  if (relaxation.status !== "optimal") return relaxation;
  const bound = Math.max(roundUpBound(program, relaxation.value), limits.objectiveAtLeast ?? -Infinity);
  const outcome = await solveWith("javascript-lp-solver", program, {
    ...limits,
    objectiveAtLeast: bound,
    deadlineMs: Math.min(QUICK_MS, limits.deadlineMs * QUICK_SHARE, stopAt - Date.now()),
  });
  return outcome.status === "optimal" && outcome.value > bound
    ? { ...outcome, status: "feasible", bound }
    : outcome;
}

/** Whether the rounded relaxation can be a target at all, and the tableau is small. */
function isWorthATry(program: IntegerProgram): boolean {
  const { variables, rows } = program;
  const limited = variables.filter(({ upper }) => upper !== null).length;
  return objectiveStep(program) > 0 && (rows.length + limited) * variables.length <= QUICK_CELLS;
}

/** Whether an outcome has a solution at least as good as one, rechecked, of the value `value`. */
function isAsGood(outcome: Outcome, value: number): boolean {
  return (outcome.status === "optimal" || outcome.status === "feasible") && outcome.value <= value;
}
