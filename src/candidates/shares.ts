/**
 * Tiles that can share, like ones counted together: for each sort of them extent, key, units and count, one after the
 * other, the largest extent first and then by key. Numbers in one list, as there are hundreds of thousands of them.
 */
export type Shares = readonly number[];

const SORT = 4;

export const NO_SHARES: Shares = [];

/** A list while it is made: kept, so that lists are no longer than they need to be. */
const merged: number[] = [];

/** The tiles of two lists. */
export function mergedShares(a: Shares, b: Shares): Shares {
  if (a.length === 0) return b;
  if (b.length === 0) return a;
  let size = 0;
  for (let i = 0, j = 0; i < a.length || j < b.length; size += SORT) {
    const order = j === b.length ? -1 : i === a.length ? 1 : b[j]! - a[i]! || a[i + 1]! - b[j + 1]!;
    const from = order <= 0 ? a : b;
    const at = order <= 0 ? i : j;
    merged[size] = from[at]!;
    merged[size + 1] = from[at + 1]!;
    merged[size + 2] = from[at + 2]!;
    merged[size + 3] = order === 0 ? a[i + 3]! + b[j + 3]! : from[at + 3]!;
    if (order <= 0) i += SORT;
    if (order >= 0) j += SORT;
  }
  return merged.slice(0, size);
}

/** Each tile so many times. */
export function timesShares(shares: Shares, times: number): Shares {
  if (times === 1 || shares.length === 0) return shares;
  const all = shares.slice();
  for (let at = SORT - 1; at < all.length; at += SORT) all[at]! *= times;
  return all;
}

/** Tiles of each sort that nothing stands in for yet; kept, as it is asked for many times. */
const free: number[] = [];

/** The same as `fragmentsCovered`, of tiles that differ in key and extent alone. */
export function sharesCovered(a: Shares, b: Shares, spare: number): boolean {
  let left = spare;
  if (left < 0) return false;
  for (let j = SORT - 1; j < b.length; j += SORT) free[j] = b[j]!;
  for (let i = 0; i < a.length; i += SORT) {
    const extent = a[i]!;
    const key = a[i + 1]!;
    let open = a[i + 3]!;
    for (let j = 0; j < b.length && open > 0 && b[j]! >= extent; j += SORT) {
      if (b[j + 1] !== key) continue;
      const taken = Math.min(open, free[j + 3]!);
      free[j + 3]! -= taken;
      open -= taken;
    }
    if (open === 0) continue;
    left -= open * a[i + 2]!;
    if (left < 0) return false;
  }
  return true;
}

/** Calls back for each sort of tiles. */
export function eachShare(shares: Shares, call: (extent: number, key: number, count: number) => void): void {
  for (let at = 0; at < shares.length; at += SORT) call(shares[at]!, shares[at + 1]!, shares[at + 3]!);
}
