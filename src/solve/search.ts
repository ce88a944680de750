import {
  blocksForFragments,
  type FragmentCount,
  halvesAt,
  type Objective,
  type PackProgram,
  thresholds,
} from "../program/index.js";
import type { Decision } from "./decisions.js";
import type { Cut } from "./prices.js";

/** What one stage of the pack program asks: an objective, and what may be spent. */
export interface SearchTask {
  readonly pack: PackProgram;
  readonly decisions: readonly (readonly Decision[])[];
  readonly objective: Objective;
  readonly settled: readonly { readonly objective: Objective; readonly value: number }[];
  /** Whether the budgets of the pack program are limits. */
  readonly budgets: boolean;
  readonly cuts: readonly Cut[];
  /** A known solution and its value; null: none. */
  readonly incumbent: { readonly counts: readonly number[]; readonly value: number } | null;
  /** Nodes after which the search gives up. */
  readonly nodeLimit: number;
}

/** How a search ended. `bound` holds for every solution; `columns` are those that a better one may still use. */
export type SearchResult =
  | { readonly status: "optimal"; readonly counts: readonly number[]; readonly value: number }
  | { readonly status: "infeasible" }
  | {
      readonly status: "open";
      readonly counts: readonly number[] | null;
      readonly value: number | null;
      readonly bound: number;
      readonly columns: ReadonlySet<number>;
    };

/** One linear limit: what each decision and each shared block spends. */
interface Limit {
  readonly spends: readonly Float64Array[];
  readonly shared: readonly number[];
  readonly limit: number;
}

const EPSILON = 1e-6;
const STEPS = 150;

/**
 * Depth-first branch and bound over decisions, bounded by a Lagrangian relaxation: limits are priced, and shared blocks
 * count by one threshold of the pairing bound. A decision whose price above the best of its component exceeds the gap
 * is left out for good.
 */
class Search {
  private readonly own: readonly Float64Array[];
  private readonly sharedCost: readonly number[];
  private readonly limits: readonly Limit[];
  private readonly keys: number;
  /** Blocks of each key that a decision takes at the chosen thresholds. */
  private halves: Float64Array[][] = [];
  private prices: number[];
  private best: { counts: number[]; value: number } | null;
  private nodes = 0;

  constructor(private readonly task: SearchTask) {
    const { pack, decisions, objective, settled, budgets } = task;
    this.keys = pack.shareKeys.length;
    const costOf = (costs: readonly number[]) =>
      decisions.map((list) =>
        Float64Array.from(list, ({ counts }) =>
          counts.reduce((sum, { column, count }) => sum + count * costs[column]!, 0),
        ),
      );
    const none = pack.shareKeys.map(() => 0);
    this.own = costOf(pack.costs[objective]);
    this.sharedCost = objective === "blocks" ? pack.sharedWeight : none;
    this.limits = [
      ...(budgets
        ? pack.budgets.map(({ spends, shared, limit }) => ({ spends: costOf(spends), shared, limit }))
        : []),
      ...settled.map(({ objective: kept, value }) => ({
        spends: costOf(pack.costs[kept]),
        shared: kept === "blocks" ? pack.sharedWeight : none,
        limit: value,
      })),
      ...task.cuts.map(({ spends, limit }) => ({ spends: costOf(spends), shared: none, limit })),
    ];
    this.prices = this.limits.map(() => 0);
    this.best =
      task.incumbent === null ? null : { counts: [...task.incumbent.counts], value: task.incumbent.value };
  }

  /** More than any solution can cost: a bound that reaches it shows that there is none. */
  private ceiling(): number {
    const { decisions } = this.task;
    let sum = 1;
    decisions.forEach((list, item) => {
      let most = 0;
      list.forEach((decision, index) => {
        const shared = decision.fragments.reduce(
          (total, { key, held }) =>
            total + this.sharedCost[key]! * held.reduce((n, { count }) => n + count, 0),
          0,
        );
        most = Math.max(most, this.own[item]![index]! + shared);
      });
      sum += most;
    });
    return sum;
  }

  private setThresholds(choice: readonly number[]): void {
    const { pack, decisions } = this.task;
    this.halves = decisions.map((list) =>
      list.map(({ fragments }) => {
        const blocks = new Float64Array(this.keys);
        for (const { key, held } of fragments) {
          const { cells } = pack.shareKeys[key] as { cells: number };
          for (const { extent, count } of held) {
            blocks[key]! += (count * halvesAt(extent, choice[key]!, cells)) / 2;
          }
        }
        return blocks;
      }),
    );
  }

  /** For each key its thresholds: the smallest, and the one that asks most of the incumbent's or any fragments. */
  private thresholdChoices(): number[][] {
    const { pack, decisions } = this.task;
    const all = pack.shareKeys.map((): FragmentCount[] => []);
    for (const list of decisions) {
      for (const { fragments } of list.slice(0, 1)) {
        for (const { key, held } of fragments) all[key]!.push(...held);
      }
    }
    const smallest: number[] = [];
    const heaviest: number[] = [];
    pack.shareKeys.forEach((key, index) => {
      const { cells } = key as { cells: number };
      const extents = decisions.flatMap((list) =>
        list.flatMap(({ fragments }) =>
          fragments.flatMap((entry) => (entry.key === index ? entry.held.map(({ extent }) => extent) : [])),
        ),
      );
      const list = thresholds([...new Set(extents)], cells);
      smallest.push(list[0]!);
      const load = (threshold: number) =>
        all[index]!.reduce((sum, { extent, count }) => sum + count * halvesAt(extent, threshold, cells), 0);
      heaviest.push(list.reduce((a, b) => (load(b) > load(a) ? b : a)));
    });
    return [smallest, heaviest];
  }

  /** Price of every decision at the present prices, and the bound that they give. */
  private priced(prices: readonly number[]): { readonly costs: Float64Array[]; readonly bound: number } {
    const keyPrice = this.sharedCost.map((cost, key) =>
      this.limits.reduce((sum, limit, index) => sum + prices[index]! * limit.shared[key]!, cost),
    );
    let bound = -this.limits.reduce((sum, { limit }, index) => sum + prices[index]! * limit, 0);
    const costs = this.own.map((own, item) => {
      const list = new Float64Array(own.length);
      let least = Number.POSITIVE_INFINITY;
      for (let index = 0; index < own.length; index++) {
        let cost = own[index]!;
        for (let l = 0; l < this.limits.length; l++) {
          if (prices[l]! > 0) cost += prices[l]! * this.limits[l]!.spends[item]![index]!;
        }
        const blocks = this.halves[item]![index]!;
        for (let key = 0; key < this.keys; key++) cost += keyPrice[key]! * blocks[key]!;
        list[index] = cost;
        if (cost < least) least = cost;
      }
      bound += least;
      return list;
    });
    return { costs, bound };
  }

  /** Raises the bound by moving the prices along the limits that the cheapest decisions break or leave slack. */
  private subgradient(target: number): number {
    let best = { prices: this.prices, bound: this.priced(this.prices).bound };
    let prices = [...this.prices];
    let theta = 1;
    let idle = 0;
    for (let step = 0; step < STEPS && this.limits.length > 0; step++) {
      const { costs, bound } = this.priced(prices);
      if (bound > best.bound + 1e-9) {
        best = { prices: [...prices], bound };
        idle = 0;
      } else if (++idle >= 8) {
        theta /= 2;
        idle = 0;
        prices = [...best.prices];
      }
      if (bound > target - 1 + EPSILON) break;
      const gradient = this.limits.map((limit, l) => {
        let sum = -limit.limit;
        costs.forEach((list, item) => {
          let at = 0;
          for (let index = 1; index < list.length; index++) if (list[index]! < list[at]!) at = index;
          sum += limit.spends[item]![at]!;
          const blocks = this.halves[item]![at]!;
          for (let key = 0; key < this.keys; key++) sum += limit.shared[key]! * blocks[key]!;
        });
        return sum < 0 && prices[l] === 0 ? 0 : sum;
      });
      const norm = gradient.reduce((sum, g) => sum + g * g, 0);
      if (norm < 1e-12) break;
      const length = (theta * Math.max(1, target - bound)) / norm;
      prices = prices.map((price, l) => Math.max(0, price + length * gradient[l]!));
    }
    this.prices = best.prices;
    return best.bound;
  }

  run(): SearchResult {
    const { decisions, nodeLimit } = this.task;
    if (decisions.some((list) => list.length === 0)) return { status: "infeasible" };
    const ceiling = this.ceiling();
    const target = () => (this.best === null ? ceiling : this.best.value);
    let winner: { choice: number[]; prices: number[]; bound: number } | null = null;
    for (const choice of this.keys === 0 ? [[]] : this.thresholdChoices()) {
      this.setThresholds(choice);
      this.prices = this.limits.map(() => 0);
      const bound = this.subgradient(target());
      if (winner === null || bound > winner.bound) winner = { choice, prices: this.prices, bound };
    }
    this.setThresholds(winner!.choice);
    this.prices = winner!.prices;
    const { costs, bound } = this.priced(this.prices);
    const rounded = Math.ceil(bound - EPSILON);
    if (rounded >= target()) return this.closed(ceiling);
    const alive = this.survivors(costs, bound, target());
    const finished = this.branch(costs, bound, alive, nodeLimit);
    if (finished) return this.closed(ceiling);
    const kept = this.survivors(costs, bound, target());
    return {
      status: "open",
      counts: this.best?.counts ?? null,
      value: this.best?.value ?? null,
      bound: rounded,
      columns: new Set(
        kept.flatMap((list, item) =>
          list.flatMap((index) => decisions[item]![index]!.counts.map(({ column }) => column)),
        ),
      ),
    };
  }

  private closed(ceiling: number): SearchResult {
    if (this.best === null) return { status: "infeasible" };
    return this.best.value < ceiling
      ? { status: "optimal", counts: this.best.counts, value: this.best.value }
      : { status: "infeasible" };
  }

  /** Decisions that a solution better than `target` may contain, the cheapest first. */
  private survivors(costs: readonly Float64Array[], bound: number, target: number): number[][] {
    return costs.map((list) => {
      const least = Math.min(...list);
      return Array.from(list.keys())
        .filter((index) => Math.ceil(bound + list[index]! - least - EPSILON) < target)
        .sort((a, b) => list[a]! - list[b]!);
    });
  }

  private branch(
    costs: readonly Float64Array[],
    bound: number,
    alive: readonly (readonly number[])[],
    nodeLimit: number,
  ): boolean {
    const { decisions, pack } = this.task;
    const regret = (item: number) => {
      const list = alive[item]!;
      return list.length < 2 ? 0 : costs[item]![list[1]!]! - costs[item]![list[0]!]!;
    };
    const order = alive.map((_, item) => item).sort((a, b) => regret(b) - regret(a));
    const least = costs.map((list) => Math.min(...list));
    // The least that the items from each depth on spend of each limit, at the chosen thresholds.
    const floors = this.limits.map((limit) => {
      const floor = new Float64Array(order.length + 1);
      for (let depth = order.length - 1; depth >= 0; depth--) {
        const item = order[depth]!;
        const spends = alive[item]!.map((index) => this.spend(limit, item, index));
        floor[depth] = floor[depth + 1]! + Math.min(...spends);
      }
      return floor;
    });
    const spent = new Float64Array(this.limits.length);
    const chosen = new Int32Array(order.length);
    const leaf = () => {
      const counts = pack.columns.map(() => 0);
      const held = pack.shareKeys.map((): FragmentCount[] => []);
      let value = 0;
      const totals = this.limits.map(() => 0);
      order.forEach((item, depth) => {
        const index = chosen[depth]!;
        const decision = decisions[item]![index]!;
        value += this.own[item]![index]!;
        for (const { column, count } of decision.counts) counts[column]! += count;
        for (const { key, held: own } of decision.fragments) held[key]!.push(...own);
        this.limits.forEach((limit, l) => {
          totals[l]! += limit.spends[item]![index]!;
        });
      });
      held.forEach((list, key) => {
        const blocks = blocksForFragments(list, (pack.shareKeys[key] as { cells: number }).cells);
        value += blocks * this.sharedCost[key]!;
        this.limits.forEach((limit, l) => {
          totals[l]! += blocks * limit.shared[key]!;
        });
      });
      const fits = this.limits.every(({ limit }, l) => totals[l]! <= limit + EPSILON);
      if (fits && (this.best === null || value < this.best.value)) this.best = { counts, value };
    };
    const descend = (depth: number, above: number): boolean => {
      if (++this.nodes > nodeLimit) return false;
      if (depth === order.length) {
        leaf();
        return true;
      }
      const item = order[depth]!;
      for (const index of alive[item]!) {
        const next = above + costs[item]![index]! - least[item]!;
        // Sorted by price: no later decision of this item can do either.
        if (this.best !== null && Math.ceil(next - EPSILON) >= this.best.value) break;
        let fits = true;
        for (let l = 0; l < this.limits.length; l++) {
          const limit = this.limits[l]!;
          spent[l]! += this.spend(limit, item, index);
          if (spent[l]! + floors[l]![depth + 1]! > limit.limit + EPSILON) fits = false;
        }
        chosen[depth] = index;
        const finished = !fits || descend(depth + 1, next);
        for (let l = 0; l < this.limits.length; l++) spent[l]! -= this.spend(this.limits[l]!, item, index);
        if (!finished) return false;
      }
      return true;
    };
    return descend(0, bound);
  }

  private spend(limit: Limit, item: number, index: number): number {
    let sum = limit.spends[item]![index]!;
    const blocks = this.halves[item]![index]!;
    for (let key = 0; key < this.keys; key++) sum += limit.shared[key]! * blocks[key]!;
    return sum;
  }
}

/** Searches one stage. Exact where it ends as `optimal` or `infeasible`. */
export function search(task: SearchTask): SearchResult {
  return new Search(task).run();
}
