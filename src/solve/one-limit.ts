import type { StagedProgram } from "../program/index.js";
import { ROUNDING } from "./bound.js";
import type { Costs } from "./choice.js";
import type { Part } from "./parts.js";
import { columnPrices, keyPrices } from "./prices.js";
import type { StageModel } from "./stage-model.js";
import { ANY, both, either, leastOf, NOTHING, one, type TradeOffs } from "./trade-offs.js";

/** What is spent is counted in these parts of a unit, rounded down, so that sums are exact. */
export const SPENT_PARTS = 2 ** 20;

/** The part of a unit that rounding may have added to a sum of what is spent. */
const SPENT_TOLERANCE = 1e-6;

/** Pairs that columns are looked for in, at most: some hundredths of a second. */
const MOST_LOOKS = 4_000_000;

/** What one more of a relaxation's limits and share rows is worth, all of them 0 or more. */
export interface RowPrices {
  /** By limit of the stage's model. */
  readonly limits: readonly number[];
  /** By share row of the stage's model. */
  readonly shares: Float64Array;
}

/** Row prices from the duals of a stage's relaxation. */
export function rowPricesOf(
  { limits, rows, firstRow }: StageModel,
  { limitRows, shareRows }: StagedProgram,
  duals: readonly number[],
): RowPrices {
  const shares = new Float64Array(rows.length);
  for (const { row, key, threshold } of shareRows) {
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      if (rows[r]!.threshold === threshold) shares[r] = Math.max(0, duals[row]!);
    }
  }
  return {
    limits: limits.map((_, limit) => {
      const row = limitRows[limit] ?? null;
      return row === null ? 0 : Math.max(0, -duals[row]!);
    }),
    shares,
  };
}

/** The relaxation of a stage that keeps one limit as it is and puts prices on the others. */
export interface OneLimit {
  /** What one of each column spends of the limit, in parts of a unit, shared blocks included as their rows' prices mix them. */
  readonly spent: Float64Array;
  /** What one of each column costs besides whole units of the limit. */
  readonly cost: Float64Array;
  /** What a unit of the limit costs, where it is a pool's: what is spent is rounded up to whole units then. */
  readonly unit: number;
  readonly limit: number;
  /** Added to the sum of all costs, for a bound that holds in spite of rounding. */
  readonly constant: number;
  /** What one more unit of the limit is worth where items may be divided. */
  readonly price: number;
}

/** The parts of a block that each share row of a key stands for, by their prices. */
function mixInto(mix: Float64Array, prices: Float64Array, from: number, to: number): void {
  let sum = 0;
  for (let row = from; row < to; row++) sum += prices[row]!;
  if (sum > 0) for (let row = from; row < to; row++) mix[row] = prices[row]! / sum;
}

/**
 * The relaxation that keeps limit `kept`: one column's unit of a pool costs what another's does, shared or not. Shared blocks are as many as the mix of their share rows asks for, by the rows'
 * prices; but for the kept limit parts of blocks count as such.
 */
export function oneLimit(
  model: StageModel,
  { columns, shared }: Costs,
  prices: RowPrices,
  kept: number,
): OneLimit {
  const { limits, rows, firstRow, start, row, halves, active } = model;
  const own = limits[kept]!;
  const pooled = own.shared.findIndex((units) => units > 0);
  const unit = pooled < 0 ? 0 : shared[pooled]! / own.shared[pooled]!;
  // Units of the limit are paid for by the whole.
  const rest: StageModel = {
    ...model,
    own: Array.from(columns, (cost, column) => cost - unit * own.spends[column]!),
    sharedCost: own.shared.map((units, key) => (units > 0 ? 0 : shared[key]!)),
  };
  const others = prices.limits.map((price, limit) => (limit === kept ? 0 : price));
  const mix = new Float64Array(rows.length);
  for (const key of own.shared.keys()) mixInto(mix, prices.shares, firstRow[key]!, firstRow[key + 1]!);
  const blockCost = keyPrices(rest, others);
  const rowPrices = mix.map((part, r) => (part * blockCost[rows[r]!.key]!) / 2);
  const { costs, constant } = columnPrices(rest, others, rowPrices);
  const spent = new Float64Array(columns.length);
  for (const column of active) {
    let units = own.spends[column]!;
    for (let e = start[column]!; e < start[column + 1]!; e++) {
      units += (mix[row[e]!]! * halves[e]! * own.shared[rows[row[e]!]!.key]!) / 2;
    }
    spent[column] = Math.floor(units * SPENT_PARTS + SPENT_TOLERANCE);
  }
  return {
    spent,
    cost: costs,
    unit,
    // Blocks are whole; what has no price of its own need not be.
    limit: unit > 0 ? Math.floor(own.limit + SPENT_TOLERANCE) : own.limit,
    constant: constant - ROUNDING * Math.abs(constant),
    price: prices.limits[kept]!,
  };
}

/** What may be chosen for one item of a part, as a whole and with each column. */
interface Options {
  readonly all: TradeOffs;
  readonly using: ReadonlyMap<number, TradeOffs>;
}

function optionsOf({ requests, configs }: Part, of: (column: number) => TradeOffs): Options {
  const using = new Map<number, TradeOffs>();
  if (configs === null) {
    for (const column of requests[0]!) using.set(column, of(column));
    return { all: either([...using.values()]), using };
  }
  const members = requests.map((list) => (list.length === 0 ? NOTHING : either(list.map(of))));
  const times = (list: TradeOffs, n: number) => {
    let sum = NOTHING;
    for (let i = 0; i < n; i++) sum = both(sum, list, ANY);
    return sum;
  };
  const layouts = configs.map(({ column, alone }) => {
    const sums = alone.map((n, part) => times(members[part]!, n));
    const held = sums.reduce((sum, list) => both(sum, list, ANY), of(column));
    using.set(column, held);
    return { column, alone, sums, held };
  });
  requests.forEach((list, part) => {
    const rests = layouts.flatMap(({ column, alone, sums }) => {
      if (alone[part] === 0) return [];
      const one = times(members[part]!, alone[part]! - 1);
      return [
        sums.reduce(
          (sum, each, other) => (other === part ? sum : both(sum, each, ANY)),
          both(of(column), one, ANY),
        ),
      ];
    });
    if (rests.length === 0) return;
    const rest = either(rests);
    for (const column of list) using.set(column, both(rest, of(column), ANY));
  });
  return { all: either(layouts.map(({ held }) => held)), using };
}

/** Sums of a number of equal lists. */
class Multiples {
  private readonly known = new Map<number, TradeOffs>();

  /** `least`: what an item costs at least at `price`; sums that are dearer by more than `gap` are left out. */
  constructor(
    private readonly item: TradeOffs,
    private readonly price: number,
    private readonly least: number,
    private readonly gap: number,
  ) {}

  of(items: number): TradeOffs {
    const known = this.known.get(items);
    if (known !== undefined) return known;
    const worth = { price: this.price, room: items * this.least + this.gap };
    const half = items >> 1;
    const sum =
      items === 0
        ? NOTHING
        : items === 1
          ? both(this.item, NOTHING, worth)
          : both(this.of(half), this.of(items - half), worth);
    this.known.set(items, sum);
    return sum;
  }
}

/** What the solutions of a relaxation up to a value come to. */
export interface Within {
  /** No solution of the stage that is worth `value` or less is worth less than this; infinite: there is none. */
  readonly bound: number;
  /** The columns that such a solution may use; all of them where that would take long to tell. */
  columns(): Set<number>;
}

/**
 * Solves the relaxation by dynamic programming over trade-offs between the limit and the cost (Nemhauser & Ullmann 1969, from memory),
 * leaving out what cannot be part of a solution worth `value` or less: by the limit's price, which makes parts independent.
 */
export function solveOneLimit(relaxation: OneLimit, parts: readonly Part[], value: number): Within {
  const { spent, cost, unit, limit, constant, price: worth } = relaxation;
  const price = (unit + worth) / SPENT_PARTS;
  const options = parts.map((part) => optionsOf(part, (column) => one(spent[column]!, cost[column]!)));
  const leastOne = options.map(({ all }) => leastOf(all, price));
  const least = parts.map(({ items }, part) => items * leastOne[part]!);
  const size = least.reduce((sum, each) => sum + Math.abs(each), 0);
  const slack = ROUNDING * size;
  const all = least.reduce((sum, each) => sum + each, 0);
  /** How much dearer than its least each sum of parts may be. */
  const gap = value - (all - worth * limit + constant - slack);
  if (!(gap >= 0)) return { bound: Number.POSITIVE_INFINITY, columns: () => new Set() };
  const multiples = options.map((option, part) => new Multiples(option.all, price, leastOne[part]!, gap));
  const sums = parts.map(({ items }, part) => multiples[part]!.of(items));
  const before = [NOTHING];
  const leastBefore = [0];
  parts.forEach((_, part) => {
    leastBefore.push(leastBefore[part]! + least[part]!);
    before.push(both(before[part]!, sums[part]!, { price, room: leastBefore[part + 1]! + gap }));
  });
  const valueAt = (units: number, sum: number) => {
    const least = units / SPENT_PARTS - SPENT_TOLERANCE;
    const whole = unit > 0 ? Math.ceil(least) : least;
    return whole > limit ? Number.POSITIVE_INFINITY : sum + unit * whole + constant - slack;
  };
  const whole = before.at(-1)!;
  let bound = Number.POSITIVE_INFINITY;
  for (let i = 0; i < whole.cost.length; i++)
    bound = Math.min(bound, valueAt(whole.spent[i]!, whole.cost[i]!));
  return {
    bound: bound > value ? Number.POSITIVE_INFINITY : bound,
    columns() {
      const found = new Set<number>();
      // So many units less than the limit cost so much that nothing is worth the value any more.
      const fewest = unit === 0 ? limit : worth > 0 ? Math.max(0, Math.floor(limit - gap / worth)) : 0;
      const most = value - constant + slack;
      const levels: Level[] = [];
      for (let units = limit; units >= fewest; units--) {
        levels.push({ room: (units + SPENT_TOLERANCE) * SPENT_PARTS, most: most - unit * units });
      }
      const looks = options.reduce((sum, { using }, part) => sum + using.size * before[part]!.cost.length, 0);
      if (2 * looks * levels.length > MOST_LOOKS)
        return new Set(options.flatMap(({ using }) => [...using.keys()]));
      let after = NOTHING;
      let leastAfter = 0;
      for (let part = parts.length - 1; part >= 0; part--) {
        const { items } = parts[part]!;
        leastAfter += least[part]!;
        const nextAfter = completed(
          both(after, sums[part]!, { price, room: leastAfter + gap }),
          before[part]!,
          levels,
        );
        const first = completed(before[part]!, nextAfter, levels);
        const others = multiples[part]!.of(items - 1);
        for (const [column, list] of options[part]!.using) {
          const used = both(list, others, { price, room: least[part]! + gap });
          const isWithin = levels.some(({ room, most }) =>
            used.cost.some((cost, i) => cost + leastPair(first, after, room - used.spent[i]!) <= most),
          );
          if (isWithin) found.add(column);
        }
        after = nextAfter;
      }
      return found;
    },
  };
}

/** A number of units: what may be spent then, and the most that the rest may cost. */
interface Level {
  readonly room: number;
  readonly most: number;
}

/** The pairs of a list that have a completion in another one, at any level. */
function completed(list: TradeOffs, other: TradeOffs, levels: readonly Level[]): TradeOffs {
  const { spent, cost } = list;
  const kept = new Uint8Array(spent.length);
  for (const { room, most } of levels) {
    let j = other.spent.length - 1;
    for (let i = 0; i < spent.length; i++) {
      while (j >= 0 && other.spent[j]! > room - spent[i]!) j -= 1;
      if (j < 0) break;
      if (cost[i]! + other.cost[j]! <= most) kept[i] = 1;
    }
  }
  const isKept = (_: number, i: number) => kept[i] === 1;
  return { ...list, spent: spent.filter(isKept), cost: cost.filter(isKept) };
}

/** The least cost of a pair of each list that spend no more than `room` together. */
function leastPair(a: TradeOffs, b: TradeOffs, room: number): number {
  let least = Number.POSITIVE_INFINITY;
  let j = b.spent.length - 1;
  for (let i = 0; i < a.spent.length; i++) {
    const left = room - a.spent[i]!;
    while (j >= 0 && b.spent[j]! > left) j -= 1;
    if (j < 0) break;
    const sum = a.cost[i]! + b.cost[j]!;
    if (sum < least) least = sum;
  }
  return least;
}
