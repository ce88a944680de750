import { type IntegerProgram, restricted, spread } from "../program/integer-program.js";
import { type EngineOptions, solveWith } from "./engine.js";
import { Neighbourhoods } from "./neighbourhoods.js";
import type { Outcome } from "./outcome.js";
import { type ReducedPrices, variablesWithin } from "./reduced-prices.js";
import type { Ties } from "./ties.js";

/** After how many neighbourhoods in turn that have nothing better the proof is begun, and with how many iterations of the simplex method each is looked at: a second or so together. */
const PATIENCE = 10;
const WORK = 700;

/** A program with what is known of it. */
export interface KnownProgram {
  readonly program: IntegerProgram;
  readonly reduced: ReducedPrices;
  /** What values of the objective are multiples of. */
  readonly step: number;
  readonly ties: Ties;
}

/** A solution of it, a value a variable, and what that is worth. */
export interface Solution {
  readonly x: readonly number[];
  readonly value: number;
}

/**
 * Betters a solution: the program is solved again with highs where a few owners choose anew, neighbourhood after neighbourhood, until
 * several in turn have nothing better. Stops where a signal fires or time is up, with what it has. Never rejects.
 */
export async function bettered(
  { program, reduced, step, ties }: KnownProgram,
  known: Solution,
  { deadlineMs, signal, enough, mode }: EngineOptions,
): Promise<Solution> {
  const stopAt = Date.now() + deadlineMs;
  const isStopped = () => Date.now() >= stopAt || enough?.aborted || signal?.aborted;
  const neighbourhoods = new Neighbourhoods(ties);
  let best = known;
  for (let place = 0, idle = 0; idle < PATIENCE && !isStopped(); place++) {
    const open = new Set(variablesWithin(reduced, best.value - step, step));
    const variables = neighbourhoods.next(best.x, (variable) => open.has(variable));
    if (variables === null) break;
    const outcome = await solveWith("highs", restricted(program, variables), {
      deadlineMs: stopAt - Date.now(),
      signal,
      enough,
      mode,
      incumbent: best.value - step,
      work: WORK,
      seed: place,
    });
    const next = better(best, program, variables, outcome);
    idle = next === best ? idle + 1 : 0;
    best = next;
  }
  return best;
}

/** The better of a solution and what a run on some variables came to. */
function better(
  known: Solution,
  program: IntegerProgram,
  variables: readonly number[],
  outcome: Outcome,
): Solution {
  if (outcome.status !== "optimal" && outcome.status !== "feasible") return known;
  if (outcome.value >= known.value) return known;
  return { value: outcome.value, x: spread(program, variables, outcome.x) };
}

/**
 * Betters a solution, and then seeks the proof that nothing is better still, on the variables that are left for that. With highs. Never rejects.
 *
 * @param options of the proof, without what is known of solutions: a proof without a start takes a tenth less
 */
export async function improveAndProve(
  known: KnownProgram,
  solution: Solution,
  options: EngineOptions,
): Promise<Outcome> {
  const { program, reduced, step } = known;
  const { deadlineMs, signal, enough, mode, seed } = options;
  const stopAt = Date.now() + deadlineMs;
  const first = await bettered(known, solution, options);
  const variables = variablesWithin(reduced, first.value - step, step);
  const outcome = await solveWith("highs", restricted(program, variables), {
    deadlineMs: stopAt - Date.now(),
    signal,
    enough,
    mode,
    seed,
    incumbent: first.value - step,
  });
  const { value, x } = better(first, program, variables, outcome);
  switch (outcome.status) {
    // None is better, or the best of those that are was found.
    case "infeasible":
    case "optimal":
      return { status: "optimal", value, x, bound: value };
    case "feasible":
      return { status: "feasible", value, x, bound: outcome.bound };
    case "out-of-time":
      return { status: "feasible", value, x, bound: null };
    case "failed":
      return outcome;
  }
}
