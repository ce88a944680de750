import { type Aim, mostMultiplexers, type Objective } from "../program/index.js";
import { settle } from "./parts.js";
import { type StageModel, stepIn } from "./stage-model.js";

/** Objectives that are minimised at once. */
export interface WeightedSum {
  readonly aims: readonly Aim[];
  /** The most that all aims but the first can add to the sum. */
  readonly later: number;
}

/** A sum larger than about this is no longer told apart from the next in an engine's floating point. */
const LARGEST_SUM = 1e14;

/**
 * Whole weights for objectives such that the least sum is the least of the first, then of the second, and so on: a step of
 * one counts for more than all that the later ones can differ by. Null where the sum would be too large for an engine.
 */
export function sumOf(model: StageModel, objectives: readonly Objective[]): WeightedSum | null {
  const { pack, task, parts } = model;
  const muxes = mostMultiplexers(pack);
  const aims: Aim[] = [];
  let range = 0;
  let later = 0;
  for (const objective of [...objectives].reverse()) {
    const costs = new Float64Array(pack.costs[objective]);
    const sum = (of: Float64Array) => parts.reduce((total, part) => total + settle(part, of), 0);
    const weight = Math.floor(range / stepIn(model, objective)) + 1;
    const limit =
      objective === "luts" && task.budgets
        ? pack.budgets.find(({ sharedLuts }) => sharedLuts)!.limit
        : Number.POSITIVE_INFINITY;
    const saved = costs.map((cost, column) => -cost - (objective === "luts" ? muxes[column]! : 0));
    const most = Math.min(limit, -sum(saved));
    if (!(weight * most < LARGEST_SUM)) return null;
    aims.unshift({ objective, weight });
    if (aims.length < objectives.length) later += weight * most;
    range += weight * Math.max(0, most - sum(costs));
  }
  return { aims, later };
}
