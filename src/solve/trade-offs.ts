/**
 * What some items may spend and cost: pairs in order of what they spend, each cheaper than those that spend less. Choices that are no better
 * than one of these in both are left out.
 */
export interface TradeOffs {
  readonly spent: Float64Array;
  readonly cost: Float64Array;
}

/** Which pairs are worth keeping: `cost + price * spent` at most `room`. */
export interface Worth {
  readonly price: number;
  readonly room: number;
}

/** All pairs. */
export const ANY: Worth = { price: 0, room: Number.POSITIVE_INFINITY };

/** Pairs of a list, at most: of more, those that lie close together become one that spends and costs the least of them. */
const MOST_PAIRS = 1024;

/** A single pair. */
export function one(spent: number, cost: number): TradeOffs {
  return { spent: Float64Array.of(spent), cost: Float64Array.of(cost) };
}

/** Nothing at all. */
export const NOTHING: TradeOffs = one(0, 0);

/** Pairs of two lists, in order, without those that another one makes needless. */
function merged(a: TradeOffs, b: TradeOffs): TradeOffs {
  const [inA, inB] = [a.spent.length, b.spent.length];
  const spent = new Float64Array(inA + inB);
  const cost = new Float64Array(inA + inB);
  let least = Number.POSITIVE_INFINITY;
  let n = 0;
  for (let i = 0, j = 0; i < inA || j < inB; ) {
    const fromA = j >= inB || (i < inA && a.spent[i]! <= b.spent[j]!);
    const s = fromA ? a.spent[i]! : b.spent[j]!;
    const c = fromA ? a.cost[i++]! : b.cost[j++]!;
    if (c >= least) continue;
    if (n > 0 && spent[n - 1] === s) n -= 1;
    spent[n] = s;
    cost[n] = c;
    n += 1;
    least = c;
  }
  return { spent: spent.subarray(0, n), cost: cost.subarray(0, n) };
}

/** One of several lists. */
export function either(lists: readonly TradeOffs[]): TradeOffs {
  if (lists.length === 0) return { spent: new Float64Array(0), cost: new Float64Array(0) };
  let left = lists;
  while (left.length > 1) {
    const next: TradeOffs[] = [];
    for (let i = 0; i < left.length; i += 2) {
      next.push(i + 1 < left.length ? merged(left[i]!, left[i + 1]!) : left[i]!);
    }
    left = next;
  }
  return left[0]!;
}

/** No more than so many pairs: none spends or costs more than one that it stands for. */
function thinned(list: TradeOffs): TradeOffs {
  const { spent, cost } = list;
  const from = spent.length;
  if (from <= MOST_PAIRS) return list;
  const width = (spent[from - 1]! - spent[0]!) / MOST_PAIRS;
  let n = 0;
  let end = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < from; i++) {
    if (spent[i]! < end) {
      cost[n - 1] = cost[i]!;
      continue;
    }
    end = spent[i]! + width;
    spent[n] = spent[i]!;
    cost[n] = cost[i]!;
    n += 1;
  }
  return { spent: spent.subarray(0, n), cost: cost.subarray(0, n) };
}

/** The sums of one pair of each of two lists that are worth keeping. */
export function both(a: TradeOffs, b: TradeOffs, { price, room }: Worth): TradeOffs {
  const [long, short] = a.spent.length < b.spent.length ? [b, a] : [a, b];
  const most = long.spent.length;
  const sums: TradeOffs[] = [];
  for (let j = 0; j < short.spent.length; j++) {
    const spent = new Float64Array(most);
    const cost = new Float64Array(most);
    let n = 0;
    for (let i = 0; i < most; i++) {
      const s = long.spent[i]! + short.spent[j]!;
      const c = long.cost[i]! + short.cost[j]!;
      if (c + price * s > room) continue;
      spent[n] = s;
      cost[n] = c;
      n += 1;
    }
    if (n > 0) sums.push({ spent: spent.subarray(0, n), cost: cost.subarray(0, n) });
  }
  return thinned(either(sums));
}

/** The least of `cost + price * spent`; infinite in an empty list. */
export function leastOf({ spent, cost }: TradeOffs, price: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < spent.length; i++) least = Math.min(least, cost[i]! + price * spent[i]!);
  return least;
}
