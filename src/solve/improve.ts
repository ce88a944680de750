import { type IntegerProgram, restricted } from "../program/integer-program.js";
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

/** The values of all variables where only some are known, the others being 0. */
function spread(size: number, variables: readonly number[], x: readonly number[]): number[] {
  const all = Array<number>(size).fill(0);
  for (const [place, variable] of variables.entries()) all[variable] = x[place]!;
  return all;
}

/**
 * Betters a solution: the program is solved again where a few owners choose anew, neighbourhood after neighbourhood. Then the proof is sought that
 * nothing is better still, on the variables that are left for that. With highs. Never rejects.
 *
 * @param options of the proof, without what is known of solutions; neighbourhoods have the same but for seeds. No start is given: a proof from none takes a tenth less.
 */
export async function improveAndProve(
  { program, reduced, step, ties }: KnownProgram,
  known: Solution,
  { deadlineMs, signal, enough, mode, seed }: EngineOptions,
): Promise<Outcome> {
  const stopAt = Date.now() + deadlineMs;
  const size = program.variables.length;
  const neighbourhoods = new Neighbourhoods(ties);
  let best = known;
  const solve = async (variables: readonly number[], more: Pick<EngineOptions, "work" | "seed">) => {
    const limits = { deadlineMs: stopAt - Date.now(), signal, enough };
    const outcome = await solveWith("highs", restricted(program, variables), {
      ...limits,
      mode,
      incumbent: best.value - step,
      ...more,
    });
    if ((outcome.status === "optimal" || outcome.status === "feasible") && outcome.value < best.value) {
      best = { value: outcome.value, x: spread(size, variables, outcome.x) };
    }
    return outcome;
  };
  const isStopped = () => Date.now() >= stopAt || enough?.aborted || signal?.aborted;
  for (let place = 0, idle = 0; idle < PATIENCE && !isStopped(); place++) {
    const open = new Set(variablesWithin(reduced, best.value - step, step));
    const variables = neighbourhoods.next(best.x, (variable) => open.has(variable));
    if (variables === null) break;
    const before = best;
    await solve(variables, { work: WORK, seed: place });
    idle = best === before ? idle + 1 : 0;
  }
  const outcome = await solve(variablesWithin(reduced, best.value - step, step), { seed });
  const { value, x } = best;
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
