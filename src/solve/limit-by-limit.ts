import type { Costs } from "./choice.js";
import { type OneLimit, oneLimit, type RowPrices, solveOneLimit } from "./one-limit.js";
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

/** The relaxations of a stage that are worth solving: one for each limit that is worth keeping. */
export function oneLimitEach(model: StageModel, costs: Costs, prices: RowPrices): OneLimit[] {
  return worthKeeping(model, prices).map((limit) => oneLimit(model, costs, prices, limit));
}

/** Leaves out the columns that no solution worth `value` or less uses, by one relaxation after the other. */
export function limitByLimit(
  { pack, components }: StageModel,
  relaxations: readonly OneLimit[],
  columns: ReadonlySet<number>,
  value: number,
): LimitByLimit {
  let left = columns;
  let bound = Number.NEGATIVE_INFINITY;
  for (const relaxation of relaxations) {
    const parts = partsOf(pack, components, left);
    if (!parts.every(hasChoice)) return NONE;
    const within = solveOneLimit(relaxation, parts, value);
    bound = Math.max(bound, within.bound);
    if (bound > value) return NONE;
    left = within.columns();
  }
  return { bound, columns: left };
}
