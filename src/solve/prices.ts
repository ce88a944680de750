import { mostItems } from "../program/index.js";
import { exactCost, totalsOf } from "./exact-cost.js";
import { type Cut, EPSILON } from "./limits.js";
import { cheapest, configPrice, type Part, settle } from "./parts.js";
import { type StageModel, stepIn } from "./stage-model.js";

/** A solution in hand: items of each column, and its value. */
export interface Incumbent {
  readonly counts: readonly number[];
  readonly value: number;
}

/** What the prices prove, and the best solution met on the way. */
export interface Priced {
  /** A lower bound on the objective, rounded up to a value that it can take. */
  readonly bound: number;
  /** The bound before it is rounded up. */
  readonly lagrangian: number;
  readonly incumbent: Incumbent | null;
  /** The objective of no solution reaches this: a bound that does shows that there is none. */
  readonly ceiling: number;
  /** Price of one item of each column. With `constant` they add up to no more than the objective of any solution. */
  readonly costs: Float64Array;
  readonly constant: number;
}

const STEPS = 400;

/** Steps after which a stage without any solution in hand is left to an engine, if there is none near either. */
const STEPS_WITHOUT_SOLUTION = 48;

/** Of the gap, what that many steps have to close for more to be worth while. */
const LEAST_GAIN = { steps: 40, part: 0.02 };

/** Steps without a better bound before the step length is halved. */
const PATIENCE = 10;

/** How long prices are made, and what is done where they close nothing. */
export interface PriceOptions {
  /** Looks for a solution near the cheapest choice, where the bound does not close the stage; default: none is looked for. */
  readonly near?: (counts: readonly number[]) => Incumbent | null;
  /** Most steps; default 400. */
  readonly steps?: number;
}

/**
 * A Lagrangian relaxation of a stage, so that its parts separate: limits have a price each, and a shared block is charged to
 * the fragments by a mix of the thresholds of the pairing bound. Prices go by a subgradient method, the mix by
 * multiplicative weights (both from memory; any prices give a bound, good or bad, so nothing rests on them).
 */
export async function priceColumns(
  model: StageModel,
  known: Incumbent | null,
  { near, steps = STEPS }: PriceOptions = {},
): Promise<Priced> {
  const { pack, active, limits, rows, firstRow, parts } = model;
  const ceiling = ceilingOf(model);
  const divisor = stepIn(model, model.task.objective);
  const roundUp = (bound: number) => divisor * Math.ceil(bound / divisor - EPSILON);
  let incumbent = known;
  /** Only less than this is better than what is known. */
  const least = () => incumbent?.value ?? ceiling;
  /** Limits of like size make for even steps. */
  const scale = limits.map(({ spends, limit }) => {
    let sum = 0;
    for (const column of active) sum += Math.abs(spends[column]!);
    return sum > 0 ? sum / active.length : Math.max(1, limit);
  });
  let prices: Float64Array = new Float64Array(limits.length);
  let mix: Float64Array = Float64Array.from(rows, ({ key }) => 1 / (firstRow[key + 1]! - firstRow[key]!));
  let best: { bound: number; costs: Float64Array; constant: number; counts: readonly number[] } | null = null;
  let kept = { prices, mix };
  let theta = 1;
  let idle = 0;
  let before = Number.NEGATIVE_INFINITY;
  for (let step = 0; step < steps; step++) {
    const limitPrices = prices.map((price, l) => price / scale[l]!);
    const keyPrice = keyPrices(model, limitPrices);
    const rowPrices = mix.map((part, r) => (part * keyPrice[rows[r]!.key]!) / 2);
    const { costs, constant } = columnPrices(model, limitPrices, rowPrices);
    const counts = Array<number>(pack.columns.length).fill(0);
    const bound = parts.reduce((sum, part) => sum + settle(part, costs, counts), constant);
    const totals = totalsOf(model, counts);
    const most = totals.top.map((r) => (r < 0 ? 0 : totals.demand[r]!));
    if (model.exactShares) {
      const { value, fits } = exactCost(model, totals);
      if (fits && (incumbent === null || value < incumbent.value)) incumbent = { counts, value };
    }

    const target = least();
    if (incumbent === null && step >= STEPS_WITHOUT_SOLUTION && best !== null) break;
    await model.task.pause();
    if (step % LEAST_GAIN.steps === LEAST_GAIN.steps - 1) {
      if (best!.bound - before < LEAST_GAIN.part * (target - best!.bound)) break;
      before = best!.bound;
    }
    const late = step % 16 === 15 && Date.now() > model.task.stopAt;
    if (best === null || bound > best.bound + 1e-9) {
      best = { bound, costs, constant, counts };
      kept = { prices, mix };
      idle = 0;
      if (roundUp(bound) >= target) break;
      if (late) break;
    } else if (late) {
      break;
    } else if (++idle >= PATIENCE) {
      theta /= 2;
      idle = 0;
      ({ prices, mix } = kept);
      if (theta < 1e-3) break;
      continue;
    }
    const gradient = limits.map(({ shared, limit }, l) => {
      const own = totals.spent[l]! - limit;
      const sum = most.reduce((total, top, key) => total + (top / 2) * shared[key]!, own) / scale[l]!;
      return sum < 0 && prices[l] === 0 ? 0 : sum;
    });
    const norm = gradient.reduce((sum, g) => sum + g * g, 0);
    if (norm < 1e-12 && rows.length === 0) break;
    const gap = Math.max(0.5, Math.min(target, 2 * Math.abs(bound) + 10) - bound);
    const length = norm < 1e-12 ? 0 : (theta * gap) / norm;
    prices = prices.map((price, l) => Math.max(0, price + length * gradient[l]!));
    mix = mixed(model, mix, totals.demand, most, theta);
  }
  if (near !== undefined && roundUp(best!.bound) < least()) {
    const found = near(best!.counts);
    if (found !== null && found.value < least()) incumbent = found;
  }
  return {
    bound: roundUp(best!.bound),
    lagrangian: best!.bound,
    incumbent,
    ceiling,
    costs: best!.costs,
    constant: best!.constant,
  };
}

/** Price of a shared block of each key: its cost, and what it spends of the limits. */
export function keyPrices({ sharedCost, limits }: StageModel, limitPrices: ArrayLike<number>): number[] {
  return sharedCost.map((cost, key) =>
    limits.reduce((price, { shared }, l) => price + limitPrices[l]! * shared[key]!, cost),
  );
}

/**
 * Price of one item of each column, and what all limits are worth together: by prices of limits, and of half a block in
 * each share row, which together must not be above the price of a block of the key.
 */
export function columnPrices(
  { pack, active, own, limits, start, row, halves }: StageModel,
  limitPrices: ArrayLike<number>,
  rowPrices: ArrayLike<number>,
): { readonly costs: Float64Array; readonly constant: number } {
  const costs = new Float64Array(pack.columns.length);
  for (const column of active) costs[column] = own[column]!;
  for (const [l, { spends }] of limits.entries()) {
    const price = limitPrices[l]!;
    if (price !== 0) for (const column of active) costs[column]! += price * spends[column]!;
  }
  for (const column of active) {
    let cost = costs[column]!;
    for (let e = start[column]!; e < start[column + 1]!; e++) cost += halves[e]! * rowPrices[row[e]!]!;
    costs[column] = cost;
  }
  return { costs, constant: -limits.reduce((sum, { limit }, l) => sum + limitPrices[l]! * limit, 0) };
}

/** The mix with more weight on the thresholds that ask for most blocks. */
function mixed(
  { rows, firstRow }: StageModel,
  mix: Float64Array,
  demand: Float64Array,
  most: readonly number[],
  theta: number,
): Float64Array {
  const next = new Float64Array(rows.length);
  most.forEach((top, key) => {
    let sum = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      next[r] = Math.max(1e-9, mix[r]!) * Math.exp(theta * 4 * (demand[r]! / Math.max(1, top) - 1));
      sum += next[r]!;
    }
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) next[r]! /= sum;
  });
  return next;
}

/** More than the objective of any solution. */
function ceilingOf({ pack, active, own, sharedCost, rows, start, row, halves }: StageModel): number {
  let sum = 1;
  for (const column of active) {
    let one = own[column]!;
    for (let e = start[column]!; e < start[column + 1]!; e++) {
      one += (halves[e]! / 2) * sharedCost[rows[row[e]!]!.key]!;
    }
    sum += one * mostItems(pack.choices, pack.columns[column]!);
  }
  return Math.ceil(sum);
}

/** The columns that a solution better than `target` may use. */
export function columnsWithin({ parts }: StageModel, priced: Priced, target: number): Set<number> {
  const { costs, lagrangian } = priced;
  const columns = new Set<number>();
  for (const part of parts) {
    for (const [column, above] of reducedPrices(part, costs)) {
      if (Math.ceil(lagrangian + above - EPSILON) < target) columns.add(column);
    }
  }
  return columns;
}

/** What holds for every solution of the given value or better: the prices of its columns stay within the gap. */
export function cutOf({ costs, constant }: Priced, value: number): Cut {
  return { spends: Array.from(costs), limit: value - constant + EPSILON };
}

/** How much dearer the whole gets, at least, when one item of a column is in use. */
export function reducedPrices(part: Part, costs: Float64Array): [column: number, above: number][] {
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
