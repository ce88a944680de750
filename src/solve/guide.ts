import type { Objective, StagedProgram } from "../program/index.js";
import { solveRelaxation } from "./engine.js";
import { pricesFromDuals, type ReducedPrices } from "./narrow.js";
import { rounded } from "./rounding.js";
import { type StageModel, weightedCosts } from "./stage-model.js";
import { searchNear } from "./tabu-search.js";
import type { RunLimits } from "./worker-host.js";

/** What the relaxation of a stage tells. */
export interface Guidance {
  readonly reduced: ReducedPrices;
  /** A choice near the relaxation that keeps all limits, items of each column; null: none was met. */
  readonly counts: readonly number[] | null;
}

/**
 * Solves the relaxation of a stage, rounds it and searches near it. Blocks are shared by two at most. Null where the relaxation gives no bound:
 * it fails, has no solution, or is late.
 *
 * @param model of the same stage
 * @param aims what `staged` minimises
 */
export async function guide(
  model: StageModel,
  { program, columnOf, limitRows }: StagedProgram,
  aims: readonly { readonly objective: Objective; readonly weight: number }[],
  limits: RunLimits,
): Promise<Guidance | null> {
  const { pack, parts } = model;
  const relaxation = await solveRelaxation(program, limits);
  const reduced = relaxation.status === "optimal" ? pricesFromDuals(program, relaxation.duals) : null;
  if (relaxation.status !== "optimal" || reduced === null) return null;
  const x = new Float64Array(pack.columns.length);
  const above = new Float64Array(pack.columns.length).fill(Number.POSITIVE_INFINITY);
  for (const [variable, column] of columnOf.entries()) {
    if (column < 0) continue;
    x[column] = relaxation.x[variable]!;
    above[column] = reduced.prices[variable]!;
  }
  const { columns, shared } = weightedCosts(pack, aims);
  const limitPrices = model.limits.map((_, limit) => {
    const row = limitRows[limit] ?? null;
    return row === null ? 0 : Math.abs(relaxation.duals[row]!);
  });
  const task = { model, costs: columns, sharedCosts: shared, reduced: above, limitPrices };
  return { reduced, counts: searchNear(task, rounded(pack.columns.length, parts, x)) };
}
