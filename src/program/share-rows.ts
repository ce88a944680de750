import type { Fragment } from "../candidates/index.js";

/** How many fragments of each extent a column brings to one share key. */
export interface FragmentCount {
  readonly extent: number;
  readonly count: number;
}

/**
 * The thresholds at which the pairing bound can change, for fragments of the given extents in blocks of `cells`.
 *
 * Two fragments share a block when their extents together are at most `cells`, and no block takes a third. Blocks
 * needed are then the largest, over all thresholds t up to half the cells, rounded up, of: fragments larger than cells - t (each needs a
 * block that takes no other of extent t or more), plus half of those from t to cells - t, rounded up. That is the
 * duality of maximum matching (Berge) on a graph in which neighbourhoods are nested; for bin packing in general it is
 * the bound of Martello & Toth, which two items a bin make exact. Source: from memory; tests hold it against search.
 */
export function thresholds(extents: readonly number[], cells: number): number[] {
  // Of an odd number of cells the larger half is a threshold too: two fragments above the smaller do not pair.
  const half = Math.ceil(cells / 2);
  const found = new Set<number>();
  for (const extent of extents) {
    const threshold = extent <= half ? extent : cells - extent + 1;
    if (threshold >= 1 && threshold <= half) found.add(threshold);
  }
  found.add(half);
  return [...found].sort((a, b) => a - b);
}

/** Twice the blocks that one fragment asks for at a threshold: 2, 1 or 0. */
export function halvesAt(extent: number, threshold: number, cells: number): 0 | 1 | 2 {
  if (extent > cells - threshold) return 2;
  return extent >= threshold ? 1 : 0;
}

/** Those of the thresholds of fragments of the given extents at which some number of them may ask for more blocks than at any other. */
export function tellingThresholds(extents: readonly number[], cells: number): number[] {
  const isMore = (a: number, b: number) =>
    extents.some((extent) => halvesAt(extent, a, cells) > halvesAt(extent, b, cells));
  const found: number[] = [];
  for (const threshold of thresholds(extents, cells)) {
    const last = found.at(-1);
    // Fragments above half the cells ask for more the higher the threshold is, and the others for less, so that only neighbours have to be compared.
    if (last !== undefined && !isMore(threshold, last)) continue;
    if (last !== undefined && !isMore(last, threshold)) found.pop();
    found.push(threshold);
  }
  return found;
}

/** Blocks that hold the given fragments, two at most in each: the value of the bound above. */
export function blocksForFragments(counts: readonly FragmentCount[], cells: number): number {
  let most = 0;
  for (const threshold of thresholds(
    counts.map(({ extent }) => extent),
    cells,
  )) {
    const halves = counts.reduce(
      (sum, { extent, count }) => sum + count * halvesAt(extent, threshold, cells),
      0,
    );
    // Big fragments count whole, so only the middle ones are rounded up; the sum of both rounds up alike.
    most = Math.max(most, Math.ceil(halves / 2));
  }
  return most;
}

/** Fragments by share key. */
export function fragmentsByKey(fragments: readonly Fragment[]): Map<string, Fragment[]> {
  const byKey = new Map<string, Fragment[]>();
  for (const fragment of fragments) {
    const list = byKey.get(fragment.shareKey);
    if (list === undefined) byKey.set(fragment.shareKey, [fragment]);
    else list.push(fragment);
  }
  return byKey;
}
