import { EPSILON } from "./limits.js";
import type { StageModel } from "./stage-model.js";

/** What a choice of columns comes to, all share rows counted. */
export interface ExactCost {
  readonly value: number;
  /** What counts between solutions of one value; 0 where nothing does. */
  readonly tie: number;
  /** Whether all limits are kept. */
  readonly fits: boolean;
  /** Of each key that is in use, the row that asks for most blocks. */
  readonly rows: readonly number[];
}

/** The cost of a choice. Exact where the model's shares are; a lower bound where blocks are shared in turns. */
export function exactCost(model: StageModel, counts: readonly number[]): ExactCost {
  const { active, own, tie, limits, firstRow, start, row, halves, sharedCost } = model;
  const demand = new Float64Array(model.rows.length);
  const spent = new Float64Array(limits.length);
  let value = 0;
  let second = 0;
  for (const column of active) {
    const count = counts[column]!;
    if (count === 0) continue;
    value += count * own[column]!;
    if (tie !== null) second += count * tie[column]!;
    for (let l = 0; l < limits.length; l++) spent[l]! += count * limits[l]!.spends[column]!;
    for (let e = start[column]!; e < start[column + 1]!; e++) demand[row[e]!]! += count * halves[e]!;
  }
  const rows: number[] = [];
  sharedCost.forEach((cost, key) => {
    let top = -1;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      if (demand[r]! > 0 && (top < 0 || demand[r]! > demand[top]!)) top = r;
    }
    if (top < 0) return;
    rows.push(top);
    const blocks = Math.ceil(demand[top]! / 2);
    value += blocks * cost;
    for (let l = 0; l < limits.length; l++) spent[l]! += blocks * limits[l]!.shared[key]!;
  });
  return { value, tie: second, fits: limits.every(({ limit }, l) => spent[l]! <= limit + EPSILON), rows };
}
