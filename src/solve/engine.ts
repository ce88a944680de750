import { type IntegerProgram, violatedRows } from "../program/integer-program.js";
import { limitObjective, objectiveStep, roundUpBound } from "./bound.js";
import { flatProgram } from "./flat-program.js";
import { judge } from "./judge.js";
import { FINDS_NONE, type Outcome, type Relaxation } from "./outcome.js";
import type { Claim, Engine, Mode } from "./protocol.js";
import { type RunLimits, runTask, type UnaddressedTask } from "./worker-host.js";

/** Relative: far below what tells two values apart, far above an engine's rounding. */
const CUTOFF_TOLERANCE = 1e-9;

/**
 * The part of a step of the objective that an engine may come above a value. Not half a step: highs takes this limit as it is, so that it would have
 * to prove of every node that nothing in it is half a step better than what does not count any more (153's blocks: 3 s instead of 24).
 */
const CUTOFF_STEPS = 0.01;

/** Limits of one solve: its time, and what is already known of the objective. */
export interface EngineOptions extends RunLimits {
  /** The value of a solution in hand: only solutions at least as good are sought, and "infeasible" means none. */
  readonly incumbent?: number | undefined;
  /** What highs is to be good at; default `tree`. */
  readonly mode?: Mode | undefined;
  /** Whether highs leaves variables that are whole wherever the others are to the rows; default false. */
  readonly loose?: boolean | undefined;
  /** Of what highs may do in any order, which it does; default 0. */
  readonly seed?: number | undefined;
  /** Iterations of the simplex method after which highs stops with what it has; default: no limit. */
  readonly work?: number | undefined;
  /** A solution in hand that highs searches near, a value a variable, so that "infeasible" is a failure; default: none. */
  readonly start?: readonly number[] | undefined;
}

/**
 * Solves a program with one engine, in a thread that is ended when the deadline passes. Never rejects.
 *
 * javascript-lp-solver is given the program's rounded relaxation as a lower bound first, where the objective can be
 * rounded: without it, it does not close half-integral relaxations. Its "optimal" and "infeasible" are its own word;
 * packing rests on them only where it is asked for by name.
 */
export async function solveWith(
  engine: Engine,
  program: IntegerProgram,
  options: EngineOptions,
): Promise<Outcome> {
  const stopAt = Date.now() + options.deadlineMs;
  const step = objectiveStep(program);
  let atLeast: number | null = null;
  if (engine === "javascript-lp-solver" && step > 0) {
    const relaxation = await solveRelaxation(program, options, engine);
    if (relaxation.status === "out-of-time" || relaxation.status === "failed") return relaxation;
    if (relaxation.status === "optimal") atLeast = roundUpBound(program, relaxation.value);
  }
  const { incumbent = null } = options;
  // A row would make other cuts and branches of what highs does; it can be told what to leave out.
  const cutoff = engine === "highs" && incumbent !== null ? incumbent + cutoffMargin(step, incumbent) : null;
  const task = {
    program: limitObjective(program, atLeast, cutoff === null ? incumbent : null),
    whole: true,
    loose: options.loose ?? false,
    mode: options.mode ?? ("tree" as const),
    seed: options.seed ?? 0,
    work: options.work ?? null,
    start: options.start ?? null,
    tried: null,
    gap: step / 2,
    cutoff,
  };
  const claim = await claimOf(engine, task, { ...options, deadlineMs: stopAt - Date.now() });
  const outcome = judge(program, claim);
  const isLie = outcome.status === "infeasible" && task.start !== null;
  return isLie ? { status: "failed", reason: FINDS_NONE } : outcome;
}

/**
 * Solves the relaxation of a program, whose variables need not be whole: its value, rounded up with
 * `roundUpBound`, bounds every whole solution from below. Never rejects.
 *
 * @param engine default "highs"
 */
export async function solveRelaxation(
  program: IntegerProgram,
  limits: RunLimits,
  engine: Engine = "highs",
  tried: readonly number[] | null = null,
): Promise<Relaxation> {
  const task = {
    program,
    whole: false,
    loose: false,
    mode: "tree" as const,
    seed: 0,
    work: null,
    start: null,
    tried,
    gap: 0,
    cutoff: null,
  };
  const claim = await claimOf(engine, task, limits);
  if (claim.status === "optimal") {
    const { x, value, duals = [], tries = [] } = claim;
    return { status: "optimal", x, value, duals, tries };
  }
  return claim.status === "feasible" ? { status: "out-of-time" } : claim;
}

/** How far above a value an engine may cut, so that rounding errors do not cut off the value itself. */
function cutoffMargin(step: number, value: number): number {
  return CUTOFF_STEPS * step + CUTOFF_TOLERANCE * (1 + Math.abs(value));
}

/** Neither engine knows what to do with a program without variables: here it is answered without them. */
async function claimOf(
  engine: Engine,
  { program, ...task }: Omit<UnaddressedTask, "program"> & { readonly program: IntegerProgram },
  limits: RunLimits,
): Promise<Claim> {
  if (program.variables.length > 0) {
    return runTask(engine, { ...task, program: flatProgram(program) }, limits);
  }
  return violatedRows(program, []).length > 0
    ? { status: "infeasible" }
    : { status: "optimal", x: [], value: 0, bound: 0 };
}
