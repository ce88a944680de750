import { type CandidateMemo, type Choices, choiceSteps } from "../candidates/index.js";
import type { Design, Device, Plan } from "../model/index.js";
import { pauseFor } from "../model/pause.js";
import { packProgram } from "../program/index.js";
import { type PackSolveOptions, USUAL_DEADLINE_MS } from "../solve/pack-solve-options.js";
import { solvePack } from "../solve/pack-solver.js";
import { checkPlan, type Violation } from "./check.js";
import { homelessOf, NothingLegalError } from "./nothing-legal.js";
import { place } from "./place.js";
import { summarise } from "./summarise.js";

/** Thrown where the checker finds fault with a plan: a fault of ours, never of the input. */
export class BrokenPlanError extends Error {
  constructor(readonly violations: readonly Violation[]) {
    super(
      `the plan does not hold: ${violations.map(({ where, message }) => `${where}: ${message}`).join("; ")}`,
    );
    this.name = "BrokenPlanError";
  }
}

/** How to pack. */
export interface PackOptions extends PackSolveOptions {
  /** Makes packing many designs that are alike faster; the plans stay the same. Default: a new one. */
  readonly memo?: CandidateMemo | undefined;
  /**
   * Called with a sentence for each engine that failed, the same as in the plan's warnings: for those who pack many times over
   * and keep no plans.
   */
  readonly onEngineFailure?: ((message: string) => void) | undefined;
}

/**
 * Packs a design onto a device: chooses for every memory how it is held, places every tile of every copy in a block,
 * and checks the plan with code that shares nothing with the optimiser.
 *
 * Throws {@link NothingLegalError} where a memory has no legal home on the device, {@link BrokenPlanError} where the
 * plan does not pass the check, RangeError where the design has no memory. Rejects with the signal's reason soon after the
 * signal fires. An engine that fails does not: the plan is then the best found without it, and a warning says so.
 */
export async function pack(design: Design, device: Device, options: PackOptions = {}): Promise<Plan> {
  if (design.requests.length === 0) throw new RangeError(`design ${design.name} has no memory`);
  const started = Date.now();
  const pause = pauseFor(options.signal);
  await pause();
  const steps = choiceSteps(design, device, options.memo);
  let step = steps.next();
  for (; !step.done; step = steps.next()) await pause();
  const deadlineMs = Math.max(1, (options.deadlineMs ?? USUAL_DEADLINE_MS) - (Date.now() - started));
  const { plan } = await packChoices(design, device, step.value, { ...options, deadlineMs });
  return { ...plan, solver: { ...plan.solver, milliseconds: Date.now() - started } };
}

/** A checked plan with what of its objectives the plan itself does not tell. */
export interface Packed {
  readonly plan: Plan;
  /** Units over the budgets, by weight: what is made least where nothing fits. */
  readonly overrun: number;
  /** Blocks one above the other beyond the first, over everything that is laid out for itself. */
  readonly cascade: number;
}

/**
 * The same with the choices given: those of the design, or some of them. No part of the library's interface. Throws as
 * {@link pack} does.
 */
export async function packChoices(
  design: Design,
  device: Device,
  choices: Choices,
  options: PackOptions = {},
): Promise<Packed> {
  const started = Date.now();
  const pause = pauseFor(options.signal);
  const homeless = homelessOf(choices, design, device);
  if (homeless.length > 0) throw new NothingLegalError(homeless);
  const program = packProgram(choices, design, device);
  const solution = await solvePack(program, options);
  await pause();
  const placement = place(program, solution.counts, solution.spending);
  const { memories, totals } = summarise(design, device, program, solution.spending, placement);
  const fits = solution.spending.overrun === 0;
  const failures = solution.failures.map(engineFailed);
  for (const message of failures) options.onEngineFailure?.(message);
  const plan: Plan = {
    format: "ramtailor-plan/1",
    design: design.name,
    device: device.name,
    status: fits ? (solution.proven ? "optimal" : "feasible") : "over-budget",
    totals,
    objective: {
      value: solution.spending.objectives.blocks,
      bound: solution.bound,
      proven: solution.proven,
      nothingFits: solution.nothingFits,
      lutsBound: solution.lutsBound,
    },
    memories,
    blocks: placement.blocks,
    warnings: [
      ...design.warnings.map(({ subject, message }) => ({ subject, message })),
      ...failures.map((message) => ({ subject: design.name, message })),
    ],
    solver: { engine: solution.engine, milliseconds: Date.now() - started },
  };
  await pause();
  const violations = checkPlan(plan, design.requests, device, design.clockMHz);
  if (violations.length > 0) throw new BrokenPlanError(violations);
  const { overrun, objectives } = solution.spending;
  return { plan, overrun, cascade: objectives.cascade };
}

function engineFailed(reason: string): string {
  return `a solving engine failed, and the plan is the best found without it: ${reason}`;
}
