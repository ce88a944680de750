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

/** Of some items, the cheapest choice for each amount of blocks. */
interface Table {
  readonly cost: readonly number[];
  /** By budget, of each choice: what it spends. */
  readonly spent: readonly (readonly number[])[];
  /** Adds the columns of a choice to `counts`. */
  add(choice: number, counts: number[]): void;
}

/** Tables of one program: by adding and choosing, from those of single columns. */
class Tables {
  /** Where in the table at hand the choice of each amount of blocks is; -1: none. */
  private readonly at: Int32Array;
  private readonly nothing: Table;
  private sums = 0;
  /** Whether a table grew too large, or of two choices that take the same blocks neither was better. */
  gaveUp = false;

  constructor(
    private readonly budgets: readonly Kept[],
    states: number,
    private readonly costs: Float64Array,
  ) {
    this.at = new Int32Array(states).fill(-1);
    this.nothing = { cost: [0], spent: budgets.map(() => [0]), add: () => {} };
  }

  /** One of a column. */
  one(column: number): Table {
    return {
      cost: [this.costs[column]!],
      spent: this.budgets.map(({ spends }) => [spends[column]!]),
      add: (_, counts) => {
        counts[column]! += 1;
      },
    };
  }

  /** A choice of one of several tables. */
  either(tables: readonly Table[]): Table {
    return this.made(tables.map((table) => [table, this.nothing] as const));
  }

  /** A choice of each of two tables. */
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
    const { budgets, at } = this;
    const cost: number[] = [];
    const spent: number[][] = budgets.map(() => []);
    const from: [pair: number, first: number, second: number][] = [];
    const states: number[] = [];
    const sum = budgets.map(() => 0);
    pairs.forEach(([a, b], pair) => {
      this.sums += a.cost.length * b.cost.length;
      if (this.sums > MOST_SUMS) this.gaveUp = true;
      for (let i = 0; i < a.cost.length && !this.gaveUp; i++) {
        next: for (let j = 0; j < b.cost.length; j++) {
          let state = 0;
          for (let k = 0; k < budgets.length; k++) {
            const { limit, radix } = budgets[k]!;
            sum[k] = a.spent[k]![i]! + b.spent[k]![j]!;
            if (sum[k]! > limit) continue next;
            state += sum[k]! * radix;
          }
          const own = a.cost[i]! + b.cost[j]!;
          const known = at[state]!;
          const n = known < 0 ? cost.length : known;
          if (known < 0) {
            at[state] = n;
            states.push(state);
          } else {
            const than = sum.map((each, k) => each - spent[k]![n]!);
            if (own >= cost[n]! && than.every((more) => more >= 0)) continue;
            if (own > cost[n]! || than.some((more) => more > 0)) this.gaveUp = true;
          }
          cost[n] = own;
          for (let k = 0; k < budgets.length; k++) spent[k]![n] = sum[k]!;
          from[n] = [pair, i, j];
        }
      }
    });
    for (const state of states) at[state] = -1;
    return {
      cost,
      spent,
      add(choice, counts) {
        const [pair, first, second] = from[choice]!;
        pairs[pair]![0].add(first, counts);
        pairs[pair]![1].add(second, counts);
      },
    };
  }
}

/** A choice for one item of a part. */
function itemOf(tables: Tables, { requests, configs }: Part): Table {
  const own = requests.map((list) => tables.either(list.map((column) => tables.one(column))));
  if (configs === null) return own[0]!;
  return tables.either(
    configs.map(({ column, alone }) =>
      alone.reduce((sum, n, part) => tables.both(sum, tables.times(own[part]!, n)), tables.one(column)),
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
    const least = Float64Array.from(spends, (spent) => -spent);
    const most = parts.reduce((sum, part) => sum - settle(part, least), 0);
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
  let all: Table | null = null;
  for (const part of model.parts) {
    const own = tables.times(itemOf(tables, part), part.items);
    all = all === null ? own : tables.both(all, own);
    if (tables.gaveUp) return null;
  }
  if (all === null) return null;
  if (all.cost.length === 0) return "infeasible";
  const counts = model.pack.columns.map(() => 0);
  all.add(all.cost.indexOf(Math.min(...all.cost)), counts);
  return counts;
}
