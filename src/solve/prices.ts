import { columnCandidate, halvesAt, type PackProgram, spendingOf, thresholds } from "../program/index.js";
import type { Component } from "./components.js";
import { type Cut, EPSILON, type Limit, limitsOf, type StageTask, sharedCostOf } from "./limits.js";
import { cheapest, configPrice, type Part, partsOf, settle } from "./parts.js";

/** A stage, the components to settle, and what is in hand. */
export interface PriceTask extends StageTask {
  readonly components: readonly Component[];
  /** A known solution and its value; null: none. */
  readonly incumbent: { readonly counts: readonly number[]; readonly value: number } | null;
}

/** What the prices prove, and the best solution met on the way. */
export interface Priced {
  /** A lower bound on the objective; whole. */
  readonly bound: number;
  readonly incumbent: PriceTask["incumbent"];
  /** Columns that a solution better than the incumbent may use. */
  readonly columns: ReadonlySet<number>;
  /** The objective of no solution reaches this: a bound that does shows that there is none. */
  readonly ceiling: number;
  /** Price of one item of each column. With `constant` they add up to no more than the objective of any solution. */
  readonly costs: Float64Array;
  readonly constant: number;
  /** Blocks of each key that one item of a column takes at least, as the prices count them. */
  readonly blocks: ReadonlyMap<number, ReadonlyMap<number, number>>;
}

const STEPS = 200;

/**
 * A Lagrangian relaxation of a stage: limits are priced by a subgradient method and a shared block counts by one
 * threshold of the pairing bound (half a block a fragment, or whole blocks for those too large to pair), so that
 * components separate. Gives a bound, and leaves out every column whose price above the best choice exceeds the gap.
 * Blocks shared in turns count by the room that they take.
 */
export function priceColumns(task: PriceTask): Priced {
  const { pack, objective } = task;
  const limits = limitsOf(task);
  const own = pack.costs[objective];
  const sharedCost = sharedCostOf(pack, objective);
  const parts = partsOf(pack, task.components);
  const active = parts.flatMap(({ requests, configs }) => [
    ...requests.flat(),
    ...(configs ?? []).map(({ column }) => column),
  ]);

  const ceiling =
    1 +
    active.reduce((sum, column) => {
      const fragments = columnCandidate(pack.columns[column]!)?.fragments ?? [];
      const shared = fragments.reduce(
        (total, { shareKey }) => total + sharedCost[pack.keyIndex.get(shareKey)!]!,
        0,
      );
      return sum + (own[column]! + shared) * itemsOf(pack, column);
    }, 0);

  let incumbent = task.incumbent;
  const offer = (counts: number[]) => {
    const spending = spendingOf(pack, counts);
    const value = spending.objectives[objective];
    if (incumbent !== null && value >= incumbent.value) return;
    if (task.budgets && spending.overrun > 0) return;
    if (task.settled.some((kept) => spending.objectives[kept.objective] > kept.value)) return;
    incumbent = { counts, value };
  };

  let best: Pick<Priced, "bound" | "costs" | "constant" | "blocks"> | null = null;
  for (const blocks of blockChoices(pack, active)) {
    let prices = limits.map(() => 0);
    let kept: { prices: number[]; bound: number } | null = null;
    let theta = 1;
    let idle = 0;
    for (let step = 0; step < STEPS; step++) {
      const costs = columnPrices(pack, active, own, sharedCost, limits, prices, blocks);
      const constant = -limits.reduce((sum, { limit }, l) => sum + prices[l]! * limit, 0);
      let bound = constant;
      const counts = pack.columns.map(() => 0);
      for (const part of parts) bound += settle(part, costs, counts);
      if (step % 8 === 0 || step === STEPS - 1) offer(counts);
      if (best === null || bound > best.bound) best = { bound, costs, constant, blocks };
      const target = incumbent?.value ?? ceiling;
      if (Math.ceil(bound - EPSILON) >= target || limits.length === 0) break;
      if (kept === null || bound > kept.bound + 1e-9) {
        kept = { prices: [...prices], bound };
        idle = 0;
      } else if (++idle >= 8) {
        theta /= 2;
        idle = 0;
        prices = [...kept.prices];
        if (theta < 1e-3) break;
      }
      const gradient = limits.map(({ spends, shared, limit }, l) => {
        let sum = -limit;
        for (const column of active) {
          const count = counts[column]!;
          if (count === 0) continue;
          sum += count * spends[column]!;
          const held = blocks.get(column);
          if (held !== undefined) for (const [key, n] of held) sum += count * n * shared[key]!;
        }
        return sum < 0 && prices[l] === 0 ? 0 : sum;
      });
      const norm = gradient.reduce((sum, g) => sum + g * g, 0);
      if (norm < 1e-12) break;
      const length = (theta * Math.max(1, Math.min(target, 2 * Math.abs(bound) + 10) - bound)) / norm;
      prices = prices.map((price, l) => Math.max(0, price + length * gradient[l]!));
    }
  }
  const { bound, costs, constant, blocks } = best!;
  const target = incumbent?.value ?? ceiling;
  const columns = new Set<number>();
  for (const part of parts) {
    for (const [column, above] of reducedPrices(part, costs)) {
      if (Math.ceil(bound + above - EPSILON) < target) columns.add(column);
    }
  }
  return { bound: Math.ceil(bound - EPSILON), incumbent, columns, ceiling, costs, constant, blocks };
}

/** What holds for every solution of the given value or better: the prices of its columns stay within the gap. */
export function cutOf({ costs, constant }: Priced, value: number): Cut {
  return { spends: Array.from(costs), limit: value - constant + EPSILON };
}

function itemsOf(pack: PackProgram, column: number): number {
  const { sort, owner } = pack.columns[column]!;
  if (sort === "member") return 1;
  return sort === "request"
    ? pack.choices.requests[owner]!.request.instances
    : pack.choices.groups[owner]!.copies;
}

/** Blocks of each key that one item of a column takes, for each choice of thresholds worth trying. */
function blockChoices(pack: PackProgram, active: readonly number[]): Map<number, Map<number, number>>[] {
  const extents = pack.shareKeys.map(() => new Set<number>());
  for (const column of active) {
    for (const { shareKey, extent } of columnCandidate(pack.columns[column]!)?.fragments ?? []) {
      extents[pack.keyIndex.get(shareKey)!]!.add(extent);
    }
  }
  const lists = pack.shareKeys.map((key, index) =>
    key.sort === "pair" ? thresholds([...extents[index]!], key.cells) : [0],
  );
  const positions = pack.shareKeys.length === 0 ? [0] : [0, 0.25, 0.5, 0.75, 1];
  const seen = new Set<string>();
  return positions.flatMap((position) => {
    const chosen = lists.map((list) => list[Math.round(position * (list.length - 1))]!);
    if (seen.has(chosen.join())) return [];
    seen.add(chosen.join());
    const blocks = new Map<number, Map<number, number>>();
    for (const column of active) {
      const held = new Map<number, number>();
      for (const { shareKey, extent, cells } of columnCandidate(pack.columns[column]!)?.fragments ?? []) {
        const index = pack.keyIndex.get(shareKey)!;
        const part =
          pack.shareKeys[index]!.sort === "pair"
            ? halvesAt(extent, chosen[index]!, cells) / 2
            : extent / cells;
        held.set(index, (held.get(index) ?? 0) + part);
      }
      if (held.size > 0) blocks.set(column, held);
    }
    return [blocks];
  });
}

function columnPrices(
  pack: PackProgram,
  active: readonly number[],
  own: readonly number[],
  sharedCost: readonly number[],
  limits: readonly Limit[],
  prices: readonly number[],
  blocks: ReadonlyMap<number, ReadonlyMap<number, number>>,
): Float64Array {
  const keyPrice = sharedCost.map((cost, key) =>
    limits.reduce((sum, { shared }, l) => sum + prices[l]! * shared[key]!, cost),
  );
  const costs = new Float64Array(pack.columns.length);
  for (const column of active) {
    let cost = own[column]!;
    for (let l = 0; l < limits.length; l++) cost += prices[l]! * limits[l]!.spends[column]!;
    const held = blocks.get(column);
    if (held !== undefined) for (const [key, n] of held) cost += n * keyPrice[key]!;
    costs[column] = cost;
  }
  return costs;
}

/** How much dearer the whole gets, at least, when one item of a column is in use. */
function reducedPrices(part: Part, costs: Float64Array): [column: number, above: number][] {
  const best = part.requests.map((list) => cheapest(list, costs));
  if (part.configs === null) {
    return part.requests[0]!.map((column) => [column, costs[column]! - costs[best[0]!]!]);
  }
  const totals = part.configs.map((config) => configPrice(config, best, costs));
  const least = Math.min(...totals);
  return [
    ...part.configs.map(({ column }, index): [number, number] => [column, totals[index]! - least]),
    ...part.requests.flatMap((list, index) => {
      const using = Math.min(
        ...part.configs!.map(({ alone }, c) => (alone[index]! > 0 ? totals[c]! : Number.POSITIVE_INFINITY)),
      );
      return list.map((column): [number, number] => [
        column,
        using - least + costs[column]! - costs[best[index]!]!,
      ]);
    }),
  ];
}
