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

/** Room for lists while they are merged: thousands of small arrays take longer to make than to fill. */
class Room {
  spent = new Float64Array(1024);
  cost = new Float64Array(1024);

  /** Makes it large enough; keeps nothing. */
  fit(pairs: number): void {
    if (this.spent.length >= pairs) return;
    this.spent = new Float64Array(2 * pairs);
    this.cost = new Float64Array(2 * pairs);
  }
}

let room = new Room();
let other = new Room();

/**
 * Merges the lists that `room` holds one after the other, list n up to `ends[n]`: all of their pairs in order, without those that another one makes
 * needless.
 */
function mergedRoom(ends: number[]): TradeOffs {
  other.fit(ends.at(-1) ?? 0);
  let left = ends;
  while (left.length > 1) {
    const next: number[] = [];
    let n = 0;
    for (let list = 0; list < left.length; list += 2) {
      const from = list === 0 ? 0 : left[list - 1]!;
      const middle = left[list]!;
      n = mergedInto(from, middle, left[list + 1] ?? middle, n);
      next.push(n);
    }
    [room, other] = [other, room];
    left = next;
  }
  const end = left[0] ?? 0;
  return { spent: room.spent.slice(0, end), cost: room.cost.slice(0, end) };
}

/** Merges the lists in `room` from `from` to `middle` and from there to `to` into `other` from `at` on, up to the end that is returned. */
function mergedInto(from: number, middle: number, to: number, at: number): number {
  const { spent, cost } = room;
  const { spent: outSpent, cost: outCost } = other;
  let least = Number.POSITIVE_INFINITY;
  let n = at;
  for (let i = from, j = middle; i < middle || j < to; ) {
    const place = j >= to || (i < middle && spent[i]! <= spent[j]!) ? i++ : j++;
    const c = cost[place]!;
    if (c >= least) continue;
    const s = spent[place]!;
    if (n > at && outSpent[n - 1] === s) n -= 1;
    outSpent[n] = s;
    outCost[n] = c;
    n += 1;
    least = c;
  }
  return n;
}

/** One of several lists. */
export function either(lists: readonly TradeOffs[]): TradeOffs {
  if (lists.length === 1) return lists[0]!;
  room.fit(lists.reduce((sum, { spent }) => sum + spent.length, 0));
  const ends: number[] = [];
  let n = 0;
  for (const { spent, cost } of lists) {
    room.spent.set(spent, n);
    room.cost.set(cost, n);
    n += spent.length;
    ends.push(n);
  }
  return mergedRoom(ends);
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
export function both(a: TradeOffs, b: TradeOffs, { price, room: most }: Worth): TradeOffs {
  const [long, short] = a.spent.length < b.spent.length ? [b, a] : [a, b];
  room.fit(long.spent.length * short.spent.length);
  const { spent, cost } = room;
  const { spent: longSpent, cost: longCost } = long;
  const ends: number[] = [];
  let n = 0;
  for (let j = 0; j < short.spent.length; j++) {
    const [moreSpent, moreCost] = [short.spent[j]!, short.cost[j]!];
    const first = n;
    for (let i = 0; i < longSpent.length; i++) {
      const s = longSpent[i]! + moreSpent;
      const c = longCost[i]! + moreCost;
      if (c + price * s > most) continue;
      spent[n] = s;
      cost[n] = c;
      n += 1;
    }
    if (n > first) ends.push(n);
  }
  return thinned(mergedRoom(ends));
}

/** The least of `cost + price * spent`; infinite in an empty list. */
export function leastOf({ spent, cost }: TradeOffs, price: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < spent.length; i++) least = Math.min(least, cost[i]! + price * spent[i]!);
  return least;
}
