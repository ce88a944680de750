import { blocksForFragments, type FragmentCount, type PackProgram } from "../program/index.js";
import type { Decision } from "./decisions.js";
import { EPSILON, limitsOf, type StageTask, sharedCostOf } from "./limits.js";
import type { Priced } from "./prices.js";

/** A stage, the decisions of its components, and the prices that bound them. */
export interface SearchTask extends StageTask {
  readonly decisions: readonly (readonly Decision[])[];
  readonly priced: Priced;
  /** Nodes after which the search gives up. */
  readonly nodeLimit: number;
}

/** How a search ended. `columns` are those that a solution better than the one in hand may still use. */
export type SearchResult =
  | { readonly status: "optimal"; readonly counts: readonly number[]; readonly value: number }
  | { readonly status: "infeasible" }
  | {
      readonly status: "open";
      /** The best solution in hand; null: none. */
      readonly incumbent: Priced["incumbent"];
      readonly columns: ReadonlySet<number>;
    };

/** A decision with what it adds up to. */
interface Option {
  readonly decision: Decision;
  readonly price: number;
  /** Objective and limits, without shared blocks. */
  readonly own: number;
  readonly spends: readonly number[];
  /** Of each limit, with shared blocks at least as the prices count them. */
  readonly least: readonly number[];
}

function optionOf(task: SearchTask, limits: ReturnType<typeof limitsOf>, decision: Decision): Option {
  const { pack, priced, objective } = task;
  const sum = (costs: { readonly [column: number]: number }) =>
    decision.counts.reduce((total, { column, count }) => total + count * costs[column]!, 0);
  const blocks = new Map<number, number>();
  for (const { column, count } of decision.counts) {
    for (const [key, held] of priced.blocks.get(column) ?? []) {
      blocks.set(key, (blocks.get(key) ?? 0) + count * held);
    }
  }
  const spends = limits.map((limit) => sum(limit.spends));
  return {
    decision,
    price: sum(priced.costs),
    own: sum(pack.costs[objective]),
    spends,
    least: limits.map(({ shared }, l) =>
      [...blocks].reduce((total, [key, held]) => total + held * shared[key]!, spends[l]!),
    ),
  };
}

function cellsOf(pack: PackProgram): number[] {
  return pack.shareKeys.map((key) => (key.sort === "pair" ? key.cells : 0));
}

/**
 * Depth-first branch and bound over decisions, the cheapest by price first. Prices bound what is left of the objective;
 * a decision whose price above the best of its component exceeds the gap is left out for good. Exact where it ends as
 * `optimal` or `infeasible`.
 */
export function search(task: SearchTask): SearchResult {
  const { pack, priced, nodeLimit } = task;
  const limits = limitsOf(task);
  const sharedCost = sharedCostOf(pack, task.objective);
  const cells = cellsOf(pack);
  let best = priced.incumbent;
  const target = () => best?.value ?? priced.ceiling;

  const items = task.decisions.map((list) =>
    list.map((decision) => optionOf(task, limits, decision)).sort((a, b) => a.price - b.price),
  );
  const leastPrice = items.map((list) => list[0]?.price ?? Number.POSITIVE_INFINITY);
  const bound = leastPrice.reduce((sum, price) => sum + price, priced.constant);
  const survivors = () =>
    items.map((list, item) =>
      list.filter(({ price }) => Math.ceil(bound + price - leastPrice[item]! - EPSILON) < target()),
    );
  const closed = (): SearchResult =>
    best === null ? { status: "infeasible" } : { status: "optimal", ...best };
  if (Math.ceil(bound - EPSILON) >= target()) return closed();

  const alive = survivors();
  const regret = (item: number) =>
    alive[item]!.length < 2 ? 0 : alive[item]![1]!.price - alive[item]![0]!.price;
  const order = alive.map((_, item) => item).sort((a, b) => regret(b) - regret(a));
  // The least that the items from each depth on spend of each limit.
  const floors = limits.map((_, l) => {
    const floor = new Float64Array(order.length + 1);
    for (let depth = order.length - 1; depth >= 0; depth--) {
      floor[depth] = floor[depth + 1]! + Math.min(...alive[order[depth]!]!.map(({ least }) => least[l]!));
    }
    return floor;
  });
  const chosen: Option[] = [];
  const spent = new Float64Array(limits.length);
  let nodes = 0;

  const leaf = () => {
    const counts = pack.columns.map(() => 0);
    const held = pack.shareKeys.map((): FragmentCount[] => []);
    let value = 0;
    const totals = limits.map(() => 0);
    for (const { decision, own, spends } of chosen) {
      value += own;
      for (const { column, count } of decision.counts) counts[column]! += count;
      for (const { key, held: fragments } of decision.fragments) held[key]!.push(...fragments);
      spends.forEach((spend, l) => {
        totals[l]! += spend;
      });
    }
    held.forEach((list, key) => {
      const blocks = blocksForFragments(list, cells[key]!);
      value += blocks * sharedCost[key]!;
      limits.forEach(({ shared }, l) => {
        totals[l]! += blocks * shared[key]!;
      });
    });
    const fits = limits.every(({ limit }, l) => totals[l]! <= limit + EPSILON);
    if (fits && value < target()) best = { counts, value };
  };

  /** False where the nodes ran out. */
  const descend = (depth: number, above: number): boolean => {
    if (++nodes > nodeLimit) return false;
    if (depth === order.length) {
      leaf();
      return true;
    }
    const item = order[depth]!;
    for (const option of alive[item]!) {
      const next = above + option.price - leastPrice[item]!;
      // Sorted by price: no later decision of this item can do either.
      if (Math.ceil(next - EPSILON) >= target()) break;
      let fits = true;
      limits.forEach(({ limit }, l) => {
        spent[l]! += option.least[l]!;
        if (spent[l]! + floors[l]![depth + 1]! > limit + EPSILON) fits = false;
      });
      chosen[depth] = option;
      const finished = !fits || descend(depth + 1, next);
      limits.forEach((_, l) => {
        spent[l]! -= option.least[l]!;
      });
      if (!finished) return false;
    }
    return true;
  };

  if (descend(0, bound)) return closed();
  const columns = survivors().flatMap((list) =>
    list.flatMap(({ decision }) => decision.counts.map(({ column }) => column)),
  );
  return { status: "open", incumbent: best, columns: new Set(columns) };
}
