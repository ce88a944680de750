import {
  columnCandidate,
  halvesAt,
  type Objective,
  type PackProgram,
  spendingOf,
  thresholds,
} from "../program/index.js";
import type { Component } from "./start.js";

/** One stage of the pack program, as far as prices go. */
export interface PriceTask {
  readonly pack: PackProgram;
  readonly components: readonly Component[];
  readonly objective: Objective;
  readonly settled: readonly { readonly objective: Objective; readonly value: number }[];
  /** Whether the budgets of the pack program are limits. */
  readonly budgets: boolean;
  /** What earlier stages proved about every solution that is still allowed. */
  readonly cuts: readonly Cut[];
  /** A known solution and its value; null: none. */
  readonly incumbent: { readonly counts: readonly number[]; readonly value: number } | null;
}

/** An inequality over columns that holds for every solution: sum of spends <= limit. */
export interface Cut {
  readonly spends: readonly number[];
  readonly limit: number;
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
  /** What holds for every solution of the given value or better: the prices of its columns stay within the gap. */
  readonly cut: (value: number) => Cut;
}

const EPSILON = 1e-6;
const STEPS = 200;

/** A component's columns: those of its requests by part, and the layouts of its group. */
interface Part {
  readonly items: number;
  readonly requests: readonly (readonly number[])[];
  /** null: a request by itself. */
  readonly configs: readonly { readonly column: number; readonly alone: readonly number[] }[] | null;
}

/**
 * A Lagrangian relaxation of a stage: limits are priced by a subgradient method and a shared block counts by one
 * threshold of the pairing bound (half a block a fragment, or whole blocks for those too large to pair), so that
 * components separate. Gives a bound, and leaves out every column whose price above the best choice exceeds the gap.
 * Blocks shared in turns count by the room that they take.
 */
export function priceColumns(task: PriceTask): Priced {
  const { pack, objective } = task;
  const none = pack.shareKeys.map(() => 0);
  const limits = [
    ...(task.budgets ? pack.budgets : []),
    ...task.settled.map(({ objective: kept, value }) => ({
      spends: pack.costs[kept],
      shared: kept === "blocks" ? pack.sharedWeight : none,
      limit: value,
    })),
    ...task.cuts.map(({ spends, limit }) => ({ spends, shared: none, limit })),
  ];
  const own = pack.costs[objective];
  const sharedCost = objective === "blocks" ? pack.sharedWeight : none;
  const parts = partsOf(task);
  const active = parts.flatMap(({ requests, configs }) => [
    ...requests.flat(),
    ...(configs ?? []).map(({ column }) => column),
  ]);

  const ceiling =
    1 +
    active.reduce((sum, column) => {
      const fragments = columnCandidate(pack.columns[column]!)?.fragments ?? [];
      const keys = new Map(pack.shareKeys.map((key, index) => [key.name, sharedCost[index]!]));
      const shared = fragments.reduce((total, { shareKey }) => total + keys.get(shareKey)!, 0);
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

  let best: { bound: number; costs: Float64Array; constant: number } | null = null;
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
      if (best === null || bound > best.bound) best = { bound, costs, constant };
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
  const { bound, costs, constant } = best!;
  const target = incumbent?.value ?? ceiling;
  const columns = new Set<number>();
  for (const part of parts) {
    for (const [column, above] of reducedPrices(part, costs)) {
      if (Math.ceil(bound + above - EPSILON) < target) columns.add(column);
    }
  }
  const cut = (value: number) => ({ spends: Array.from(costs), limit: value - constant + EPSILON });
  return { bound: Math.ceil(bound - EPSILON), incumbent, columns, ceiling, cut };
}

function itemsOf(pack: PackProgram, column: number): number {
  const { sort, owner } = pack.columns[column]!;
  if (sort === "member") return 1;
  return sort === "request"
    ? pack.choices.requests[owner]!.request.instances
    : pack.choices.groups[owner]!.copies;
}

function partsOf({ pack, components }: PriceTask): Part[] {
  const ofRequest = new Map<number, number[]>();
  const ofGroup = new Map<number, number[]>();
  pack.columns.forEach(({ sort, owner }, index) => {
    const map = sort === "request" ? ofRequest : ofGroup;
    map.set(owner, [...(map.get(owner) ?? []), index]);
  });
  return components.flatMap(({ requests, group }): Part[] => {
    const lists = requests.map((request) => ofRequest.get(request) ?? []);
    if (group === null) {
      return [
        { items: pack.choices.requests[requests[0]!]!.request.instances, requests: lists, configs: null },
      ];
    }
    const own = ofGroup.get(group) ?? [];
    const { members, copies } = pack.choices.groups[group]!;
    if (members.length > 0) {
      return members.map((_, place) => ({
        items: 1,
        requests: [
          own.filter((index) => {
            const column = pack.columns[index]!;
            return column.sort === "member" && column.place === place;
          }),
        ],
        configs: null,
      }));
    }
    const configs = own.flatMap((index) => {
      const column = pack.columns[index]!;
      return column.sort === "group" ? [{ column: index, alone: column.config.alone }] : [];
    });
    return [{ items: copies, requests: lists, configs }];
  });
}

/** Blocks of each key that one item of a column takes, for each choice of thresholds worth trying. */
function blockChoices(pack: PackProgram, active: readonly number[]): Map<number, Map<number, number>>[] {
  const keyIndex = new Map(pack.shareKeys.map((key, index) => [key.name, index]));
  const extents = pack.shareKeys.map(() => new Set<number>());
  for (const column of active) {
    for (const { shareKey, extent } of columnCandidate(pack.columns[column]!)?.fragments ?? []) {
      extents[keyIndex.get(shareKey)!]!.add(extent);
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
        const index = keyIndex.get(shareKey)!;
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
  limits: readonly { readonly spends: readonly number[]; readonly shared: readonly number[] }[],
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

function cheapest(list: readonly number[], costs: Float64Array): number | null {
  let best: number | null = null;
  for (const column of list) if (best === null || costs[column]! < costs[best]!) best = column;
  return best;
}

/** Gives every item of a part its cheapest choice; returns the price of them all. */
function settle(part: Part, costs: Float64Array, counts: number[]): number {
  const best = part.requests.map((list) => cheapest(list, costs));
  if (part.configs === null) {
    counts[best[0]!]! += part.items;
    return part.items * costs[best[0]!]!;
  }
  let winner: { column: number; alone: readonly number[]; price: number } | null = null;
  for (const config of part.configs) {
    const price = configPrice(config, best, costs);
    if (winner === null || price < winner.price) winner = { ...config, price };
  }
  counts[winner!.column]! += part.items;
  winner!.alone.forEach((members, index) => {
    if (members > 0) counts[best[index]!]! += members * part.items;
  });
  return part.items * winner!.price;
}

function configPrice(
  { column, alone }: { readonly column: number; readonly alone: readonly number[] },
  best: readonly (number | null)[],
  costs: Float64Array,
): number {
  return alone.reduce((sum, members, index) => {
    if (members === 0) return sum;
    const own = best[index];
    return own === null || own === undefined ? Number.POSITIVE_INFINITY : sum + members * costs[own]!;
  }, costs[column]!);
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
