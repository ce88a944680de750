import type { Costs } from "./choice.js";
import { oneLimit, type RowPrices, solveOneLimit } from "./one-limit.js";
import { hasChoice, partsOf } from "./parts.js";
import type { StageModel } from "./stage-model.js";

/** What the relaxations that keep one limit each tell of a stage. */
export interface LimitByLimit {
  /** No solution worth the value that was asked for, or less, is worth less than this; infinite: there is none. */
  readonly bound: number;
  /** The columns that such a solution may use. */
  readonly columns: ReadonlySet<number>;
}

const NONE: LimitByLimit = { bound: Number.POSITIVE_INFINITY, columns: new Set() };

/** The limits that are worth keeping: those with a price, and one of a pool in any case. */
function worthKeeping({ limits }: StageModel, { limits: prices }: RowPrices): number[] {
  const priced = [...limits.keys()].filter((limit) => prices[limit]! > 0);
  const pool = limits.findIndex(({ shared }) => shared.some((units) => units > 0));
  const isPooled = priced.some((limit) => limits[limit]!.shared.some((units) => units > 0));
  return isPooled || pool < 0 ? priced : [pool, ...priced];
}

/** Leaves out the columns that no solution worth `value` or less uses, by one relaxation after the other. */
export function limitByLimit(
  model: StageModel,
  costs: Costs,
  prices: RowPrices,
  columns: ReadonlySet<number>,
  value: number,
): LimitByLimit {
  let left = columns;
  let bound = Number.NEGATIVE_INFINITY;
  for (const limit of worthKeeping(model, prices)) {
    const parts = partsOf(model.pack, model.components, left);
    if (!parts.every(hasChoice)) return NONE;
    const within = solveOneLimit(oneLimit(model, parts, costs, prices, limit), value);
    bound = Math.max(bound, within.bound);
    if (bound > value) return NONE;
    left = within.columns();
  }
  return { bound, columns: left };
}
