import { type PackProgram, type Stage, type StagedProgram, stageProgram } from "../program/index.js";
import { objectiveStep } from "./bound.js";
import { solveRelaxation, solveWith } from "./engine.js";
import { betterOf, type Held, heldOf, usedBy, worth } from "./held.js";
import { bettered, type Looks } from "./improve.js";
import { atOrAbove, columnsOfValue, pricesFromDuals } from "./reduced-prices.js";
import type { Solving } from "./solving.js";
import { tiesOf } from "./ties.js";
import { valuesOf } from "./values-of.js";

/**
 * How far above the least that plans within the budgets may cost those lie whose columns are used, a part of that: a first plan is sought among few, as
 * it takes highs several times as long among twice as many, and then bettered among more.
 */
const NEAR = { few: 0.0004, more: 0.002 };

/** Iterations of the simplex method that highs has for the first plan: about a second. */
export const FIRST_WORK = 2000;

/** As long as time is left. */
const LOOKS: Looks = { most: Number.POSITIVE_INFINITY, patience: 32 };

const AIMS = [{ objective: "overrun", weight: 1 }] as const;

/** A choice that overruns the budgets little or not at all, and the columns among which a better one is to be sought; null for all. */
interface First {
  readonly held: Held;
  readonly columns: ReadonlySet<number> | null;
}

/** The program that minimises the overrun. */
function programOf(
  pack: PackProgram,
  columns: Stage["columns"],
): { readonly stage: Stage; readonly staged: StagedProgram } {
  const stage: Stage = {
    minimise: AIMS,
    settled: [],
    atLeast: null,
    budgets: "soft",
    owners: null,
    columns,
  };
  return { stage, staged: stageProgram(pack, stage) };
}

/** The better of a choice in hand and the best among what costs least at the prices of the relaxation within the budgets. Never rejects. */
async function firstNear(pack: PackProgram, solving: Solving, held: Held): Promise<First> {
  const { stage } = programOf(pack, null);
  const within = stageProgram(pack, {
    ...stage,
    minimise: [{ objective: "blocks", weight: 1 }],
    budgets: "hard",
  });
  const relaxation = await solveRelaxation(within.program, solving.timeLeft);
  const reduced = relaxation.status === "optimal" ? pricesFromDuals(within.program, relaxation.duals) : null;
  if (reduced === null) return { held, columns: null };
  const step = objectiveStep(within.program);
  const upTo = (value: number) => columnsOfValue(within, reduced, value, step);
  const { staged } = programOf(pack, upTo((1 + NEAR.few) * reduced.bound));
  const outcome = await solveWith("highs", staged.program, {
    ...solving.timeLeft,
    mode: "search",
    work: FIRST_WORK,
  });
  const found =
    outcome.status === "optimal" || outcome.status === "feasible" ? heldOf(pack, staged, outcome.x) : null;
  const best = betterOf(pack, found, held, AIMS)!;
  // The least value that there can be may be missed by a step.
  const least = atOrAbove(reduced.bound, step) + step;
  const columns = upTo(Math.max(least, (1 + NEAR.more) * reduced.bound));
  return { held: best, columns: new Set([...columns, ...usedBy(best)]) };
}

/**
 * A choice that overruns the budgets by less than one in hand, or by nothing: one is sought among few columns, and then a few memories at a time choose
 * anew (`bettered`). For programs whose patterns are all in play. Stops with the deadline, with what it has. Never rejects.
 */
export async function withLessOverrun(pack: PackProgram, solving: Solving, held: Held): Promise<Held> {
  const first = await firstNear(pack, solving, held);
  const { stage, staged } = programOf(pack, first.columns);
  const { program } = staged;
  const x = valuesOf(pack, staged, first.held);
  if (x === null) return first.held;
  const known = {
    program,
    // That nothing is overrun is all that is known of the least overrun.
    reduced: { bound: 0, prices: new Float64Array(program.variables.length) },
    step: objectiveStep(program),
    ties: tiesOf(pack, stage, staged),
    bound: 0,
  };
  const solution = { x, value: worth(pack, "overrun", first.held) };
  const best = await bettered(known, solution, { ...solving.timeLeft, mode: "proof" }, 2, LOOKS);
  return heldOf(pack, staged, best.x);
}
