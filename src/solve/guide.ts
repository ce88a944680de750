import type { Objective, PackProgram, StagedProgram } from "../program/index.js";
import { solveRelaxation } from "./engine.js";
import type { Part } from "./parts.js";
import { pricesFromDuals, type ReducedPrices } from "./reduced-prices.js";
import { rounded } from "./rounding.js";
import { type StageModel, weightedCosts } from "./stage-model.js";
import { type GoesOn, searchNear } from "./tabu-search.js";
import type { RunLimits } from "./worker-host.js";

/** What the relaxation of a stage tells. */
export interface Guidance {
  readonly reduced: ReducedPrices;
  /** What one more of each row of the program is worth. */
  readonly duals: readonly number[];
  /** Rounds the relaxation and searches near it: a choice, items of each column; null: none was met. */
  near(goesOn: GoesOn): Promise<readonly number[] | null>;
}

/** Looks for a good choice near a whole one. Null where none is met. */
export type Search = (
  start: readonly number[],
  prices: {
    /** The reduced price of each column of the pack program; infinite where the stage does not have it. */
    readonly reduced: Float64Array;
    /** What one unit of each limit is worth: those of the budgets, then those of settled objectives. */
    readonly limits: readonly number[];
  },
  goesOn: GoesOn,
) => Promise<readonly number[] | null>;

/** A search for a choice that keeps all limits of a stage. Blocks are shared by two at most. */
export function searchWithin(
  model: StageModel,
  aims: readonly { readonly objective: Objective; readonly weight: number }[],
): Search {
  const costs = weightedCosts(model.pack, aims);
  return (start, { reduced, limits }, goesOn) => {
    const limitPrices = model.limits.map((_, limit) => limits[limit] ?? 0);
    return searchNear({ model, costs, reduced, limitPrices }, start, goesOn);
  };
}

/**
 * Solves the relaxation of a stage. Null where the relaxation gives no bound: it fails, has no solution, or is
 * late.
 *
 * @param parts of the stage
 */
export async function guide(
  pack: PackProgram,
  parts: readonly Part[],
  { program, columnOf, limitRows }: StagedProgram,
  search: Search,
  runLimits: RunLimits,
): Promise<Guidance | null> {
  const relaxation = await solveRelaxation(program, runLimits);
  const prices = relaxation.status === "optimal" ? pricesFromDuals(program, relaxation.duals) : null;
  if (relaxation.status !== "optimal" || prices === null) return null;
  const x = new Float64Array(pack.columns.length);
  const reduced = new Float64Array(pack.columns.length).fill(Number.POSITIVE_INFINITY);
  for (const [variable, column] of columnOf.entries()) {
    if (column < 0) continue;
    x[column] = relaxation.x[variable]!;
    reduced[column] = prices.prices[variable]!;
  }
  const limits = limitRows.map((row) => (row === null ? 0 : Math.abs(relaxation.duals[row]!)));
  return {
    reduced: prices,
    duals: relaxation.duals,
    near: (goesOn) => search(rounded(pack.columns.length, parts, x), { reduced, limits }, goesOn),
  };
}
