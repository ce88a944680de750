import { EPSILON } from "./limits.js";
import type { StageModel } from "./stage-model.js";

/** What a choice of columns comes to, all share rows counted. */
export interface ExactCost {
  readonly value: number;
  /** Whether all limits are kept. */
  readonly fits: boolean;
}

/** What a choice adds up to before shared blocks are counted. */
export interface Totals {
  readonly value: number;
  /** By limit. */
  readonly spent: Float64Array;
  /** Twice the blocks that it asks for in each share row. */
  readonly demand: Float64Array;
  /** Of each key, the row that asks for most blocks; -1: none asks for any. */
  readonly top: readonly number[];
}

/** Sums over the columns of a choice. */
export function totalsOf(model: StageModel, counts: readonly number[]): Totals {
  const { active, own, limits, firstRow, start, row, halves, sharedCost } = model;
  const demand = new Float64Array(model.rows.length);
  const spent = new Float64Array(limits.length);
  let value = 0;
  for (const column of active) {
    const count = counts[column]!;
    if (count === 0) continue;
    value += count * own[column]!;
    for (let l = 0; l < limits.length; l++) spent[l]! += count * limits[l]!.spends[column]!;
    for (let e = start[column]!; e < start[column + 1]!; e++) demand[row[e]!]! += count * halves[e]!;
  }
  const top = sharedCost.map((_, key) => {
    let most = -1;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      if (demand[r]! > 0 && (most < 0 || demand[r]! > demand[most]!)) most = r;
    }
    return most;
  });
  return { value, spent, demand, top };
}

/** The cost of a choice. Exact where the model's shares are; a lower bound where blocks are shared in turns. */
export function exactCost(
  { limits, sharedCost }: StageModel,
  { value, spent, demand, top }: Totals,
): ExactCost {
  const blocks = top.map((row) => (row < 0 ? 0 : Math.ceil(demand[row]! / 2)));
  const withShared = (sum: number, shared: readonly number[]) =>
    blocks.reduce((total, n, key) => total + n * shared[key]!, sum);
  return {
    value: withShared(value, sharedCost),
    fits: limits.every(({ shared, limit }, l) => withShared(spent[l]!, shared) <= limit + EPSILON),
  };
}
