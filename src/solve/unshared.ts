import { type Part, settle } from "./parts.js";
import type { StageModel } from "./stage-model.js";

/** Different amounts of blocks that may be taken, at most. */
const MOST_STATES = 4096;

/** Sums that are looked at, at most: some tens of milliseconds. */
const MOST_SUMS = 2_000_000;

/** A budget that is kept in mind. */
interface Kept {
  readonly spends: readonly number[];
  readonly limit: number;
  /** What a unit of a pool adds to the number that tells apart what choices take; 0 where it is no pool's. */
  readonly radix: number;
}

/** Choices for some items: for each amount of blocks the cheapest alone, but of single columns all that there are. */
interface Table {
  readonly cost: Float64Array;
  /** What each choice spends of each budget, those of one choice together. */
  readonly spent: Float64Array;
  /** Adds the columns of a choice to `counts`. */
  add(choice: number, counts: number[]): void;
}

/** Tables of one program: by adding and choosing, from those of single columns. */
class Tables {
  /** Where in the table at hand the choice of each amount of blocks is; -1: none. */
  private readonly at: Int32Array;
  /** The table at hand: cost and spending of its choices, the pair that each is of, and the choice from each of the two. */
  private readonly cost: Float64Array;
  private readonly spent: Float64Array;
  private readonly from: Int32Array;
  private readonly limits: Float64Array;
  private readonly radixes: Float64Array;
  /** Of no items. */
  readonly nothing: Table;
  private sums = 0;
  /** Whether a table grew too large, or of two choices that take the same blocks neither was better. */
  gaveUp = false;

  constructor(
    private readonly budgets: readonly Kept[],
    states: number,
    private readonly costs: Float64Array,
  ) {
    this.at = new Int32Array(states).fill(-1);
    this.cost = new Float64Array(states);
    this.spent = new Float64Array(states * budgets.length);
    this.from = new Int32Array(3 * states);
    this.limits = Float64Array.from(budgets, ({ limit }) => limit);
    this.radixes = Float64Array.from(budgets, ({ radix }) => radix);
    this.nothing = { cost: Float64Array.of(0), spent: new Float64Array(budgets.length), add: () => {} };
  }

  /** One item of any of some columns, whatever that spends. */
  oneOf(columns: readonly number[]): Table {
    const { budgets } = this;
    const cost = new Float64Array(columns.length);
    const spent = new Float64Array(columns.length * budgets.length);
    for (let choice = 0, at = 0; choice < columns.length; choice++) {
      const column = columns[choice]!;
      cost[choice] = this.costs[column]!;
      for (let k = 0; k < budgets.length; k++) spent[at++] = budgets[k]!.spends[column]!;
    }
    return {
      cost,
      spent,
      add: (choice, counts) => {
        counts[columns[choice]!]! += 1;
      },
    };
  }

  /** A choice of one of several tables. */
  either(tables: readonly Table[]): Table {
    return this.made(tables.map((table) => [table, this.nothing] as const));
  }

  /** A choice of each of two tables, as far as budgets allow. */
  both(a: Table, b: Table): Table {
    return this.made([[a, b]]);
  }

  /** So many choices of one table. */
  times(table: Table, n: number): Table {
    if (n === 0) return this.nothing;
    if (n === 1) return table;
    const half = this.times(table, n >> 1);
    const even = this.both(half, half);
    return n % 2 === 0 ? even : this.both(even, table);
  }

  /** A choice of each of the two tables of one of several pairs. */
  private made(pairs: readonly (readonly [Table, Table])[]): Table {
    const { at, cost, spent, from, limits, radixes } = this;
    const width = limits.length;
    const states: number[] = [];
    for (let pair = 0; pair < pairs.length && !this.gaveUp; pair++) {
      const [a, b] = pairs[pair]!;
      const { cost: costA, spent: spentA } = a;
      const { cost: costB, spent: spentB } = b;
      this.sums += costA.length * costB.length;
      if (this.sums > MOST_SUMS) this.gaveUp = true;
      for (let i = 0; i < costA.length && !this.gaveUp; i++) {
        next: for (let j = 0; j < costB.length; j++) {
          let state = 0;
          for (let k = 0; k < width; k++) {
            const sum = spentA[i * width + k]! + spentB[j * width + k]!;
            if (sum > limits[k]!) continue next;
            state += sum * radixes[k]!;
          }
          const own = costA[i]! + costB[j]!;
          let n = at[state]!;
          if (n < 0) {
            n = states.length;
            at[state] = n;
            states.push(state);
          } else {
            let isLess = own < cost[n]!;
            let isMore = own > cost[n]!;
            for (let k = 0; k < width; k++) {
              const more = spentA[i * width + k]! + spentB[j * width + k]! - spent[n * width + k]!;
              if (more < 0) isLess = true;
              if (more > 0) isMore = true;
            }
            if (!isLess) continue;
            if (isMore) this.gaveUp = true;
          }
          cost[n] = own;
          for (let k = 0; k < width; k++)
            spent[n * width + k] = spentA[i * width + k]! + spentB[j * width + k]!;
          from[3 * n] = pair;
          from[3 * n + 1] = i;
          from[3 * n + 2] = j;
        }
      }
    }
    for (const state of states) at[state] = -1;
    const origin = from.slice(0, 3 * states.length);
    return {
      cost: cost.slice(0, states.length),
      spent: spent.slice(0, states.length * width),
      add(choice, counts) {
        const [a, b] = pairs[origin[3 * choice]!]!;
        a.add(origin[3 * choice + 1]!, counts);
        b.add(origin[3 * choice + 2]!, counts);
      },
    };
  }
}

/** A choice for one item of a part. */
function itemOf(tables: Tables, { requests, configs }: Part): Table {
  const own = requests.map((list) => tables.oneOf(list));
  if (configs === null) return own[0]!;
  return tables.either(
    configs.map(({ column, alone }) =>
      alone.reduce((sum, n, part) => tables.both(sum, tables.times(own[part]!, n)), tables.oneOf([column])),
    ),
  );
}

/** The budgets that may break and the pools; null where these have too many different amounts. */
function budgetsOf({
  pack,
  parts,
}: StageModel): { readonly budgets: Kept[]; readonly states: number } | null {
  let states = 1;
  const budgets = pack.budgets.flatMap(({ spends, limit, ofPool }): Kept[] => {
    const saved = new Float64Array(spends).map((spent) => -spent);
    const most = parts.reduce((sum, part) => sum - settle(part, saved), 0);
    if (!ofPool) return most > limit ? [{ spends, limit, radix: 0 }] : [];
    const own = { spends, limit: Math.min(limit, most), radix: states };
    states *= own.limit + 1;
    return [own];
  });
  return states <= MOST_STATES ? { budgets, states } : null;
}

/**
 * The choice of least cost that keeps the budgets, of a stage in which no block is shared: by dynamic programming over the blocks that parts
 * take (Bellman 1957, from memory), as the rest of a choice is worth the least that it costs. Null where that takes long, or where
 * cost does not tell which of two choices that take the same blocks is better.
 */
export function solveUnshared(model: StageModel, costs: Float64Array): number[] | "infeasible" | null {
  const kept = budgetsOf(model);
  if (kept === null) return null;
  const tables = new Tables(kept.budgets, kept.states, costs);
  let all = tables.nothing;
  for (const part of model.parts) {
    all = tables.both(all, tables.times(itemOf(tables, part), part.items));
    if (tables.gaveUp) return null;
  }
  if (all.cost.length === 0) return "infeasible";
  const counts = model.pack.columns.map(() => 0);
  all.add(all.cost.indexOf(Math.min(...all.cost)), counts);
  return counts;
}
