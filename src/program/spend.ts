import { columnCandidate, type Objective, type PackProgram } from "./pack-program.js";
import { blocksForFragments, type FragmentCount } from "./share-rows.js";

/** What a choice costs, worked out from the choice alone. */
export interface Spending {
  /** Shared blocks of each key. */
  readonly shared: readonly number[];
  /** What each budget has spent, in its own unit. */
  readonly spent: readonly number[];
  /** Weighted amount over the budgets. */
  readonly overrun: number;
  readonly objectives: Readonly<Record<Objective, number>>;
}

/** Exact cost of `counts[column]` of each column: shared blocks by the pairing bound, which is met exactly. */
export function spendingOf(pack: PackProgram, counts: readonly number[]): Spending {
  const perKey = pack.shareKeys.map((): FragmentCount[] => []);
  const keyIndex = new Map(pack.shareKeys.map((key, index) => [key.name, index]));
  pack.columns.forEach((column, index) => {
    const count = counts[index] ?? 0;
    if (count === 0) return;
    for (const { shareKey, extent } of columnCandidate(column)?.fragments ?? []) {
      perKey[keyIndex.get(shareKey)!]!.push({ extent, count });
    }
  });
  const shared = perKey.map((list, index) => blocksForFragments(list, pack.shareKeys[index]!.cells));
  const sum = (costs: readonly number[]) =>
    costs.reduce((total, cost, column) => total + cost * (counts[column] ?? 0), 0);
  const spent = pack.budgets.map(
    (budget) => sum(budget.spends) + shared.reduce((total, n, key) => total + n * budget.shared[key]!, 0),
  );
  const overrun = pack.budgets.reduce(
    (total, budget, index) => total + budget.weight * Math.max(0, spent[index]! - budget.limit),
    0,
  );
  const sharedCost = shared.reduce((total, n, key) => total + n * pack.sharedWeight[key]!, 0);
  return {
    shared,
    spent,
    overrun,
    objectives: {
      blocks: sum(pack.costs.blocks) + sharedCost,
      luts: sum(pack.costs.luts),
      cascade: sum(pack.costs.cascade),
    },
  };
}
