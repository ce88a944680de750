import type { Pause } from "../model/pause.js";
import type { Objective, PackProgram } from "../program/index.js";

/** One stage of the pack program that keeps its budgets or has none. */
export interface StageTask {
  readonly pack: PackProgram;
  readonly objective: Objective;
  readonly settled: readonly { readonly objective: Objective; readonly value: number }[];
  /** Whether the budgets of the pack program are limits. */
  readonly budgets: boolean;
  /** When to stop with what is known, in milliseconds as `Date.now()` gives them. */
  readonly stopAt: number;
  /** Called now and then in long work: rejects where the work is to end. */
  readonly pause: Pause;
  /** What earlier stages proved about every solution that is still allowed. */
  readonly cuts: readonly Cut[];
}

/** An inequality over columns that holds for every solution: sum of spends <= limit. */
export interface Cut {
  readonly spends: readonly number[];
  readonly limit: number;
}

/** A limit on what columns and shared blocks spend. */
export interface Limit extends Cut {
  /** What one shared block of each key spends. */
  readonly shared: readonly number[];
  /** Follows from the other limits. */
  readonly cut: boolean;
}

/** Floating point slack of prices and sums. */
export const EPSILON = 1e-6;

/** Everything that limits a stage: budgets, the values of earlier stages, and cuts. */
export function limitsOf({ pack, settled, budgets, cuts }: StageTask): Limit[] {
  const none = pack.shareKeys.map(() => 0);
  return [
    ...(budgets
      ? pack.budgets.map(({ spends, shared, limit }) => ({ spends, shared, limit, cut: false }))
      : []),
    ...settled.map(({ objective, value }) => ({
      spends: pack.costs[objective],
      shared: sharedCostOf(pack, objective),
      limit: value,
      cut: false,
    })),
    ...cuts.map(({ spends, limit }) => ({ spends, shared: none, limit, cut: true })),
  ];
}

/** What one shared block of each key adds to an objective. */
export function sharedCostOf(pack: PackProgram, objective: Objective): readonly number[] {
  return objective === "blocks" ? pack.sharedWeight : pack.shareKeys.map(() => 0);
}
