import { shapeBits } from "../model/index.js";
import type { StackRule, TileOption } from "./tile-option.js";

/** A tile that leaves room and a port: `extent` of its block's `cells` are spoken for. */
export interface Fragment {
  readonly shareKey: string;
  readonly extent: number;
  /** Cells that the shapes of this family reach. */
  readonly cells: number;
  readonly units: number;
  /** Set where the tenants of the block take turns at its ports. */
  readonly stack: StackDemand | null;
}

/** What a fragment takes of a block whose tenants take turns. */
export interface StackDemand {
  readonly rule: StackRule;
  readonly rows: number;
  readonly turns: readonly [a: number, b: number];
  /** Who may have only one tenant in the block; null where that does not matter. */
  readonly owner: string | null;
}

/** What a tile of so many rows leaves to share; null where it leaves no room or no port. */
export function fragmentOf(option: TileOption, rows: number): Fragment | null {
  const { shareKey, stackRule, owner, turns, units, shape } = option;
  if (shareKey === null) return null;
  const extent = rows * shape.width;
  const cells = shapeBits(shape);
  if (extent >= cells) return null;
  const stack = stackRule === null ? null : { rule: stackRule, rows, turns, owner };
  return { shareKey, extent, cells, units, stack };
}

function standsIn(a: Fragment, b: Fragment): boolean {
  if (a === b) return true;
  if (a.shareKey !== b.shareKey || a.extent > b.extent || a.stack?.owner !== b.stack?.owner) return false;
  if (a.stack === null || b.stack === null) return true;
  return a.stack.turns[0] <= b.stack.turns[0] && a.stack.turns[1] <= b.stack.turns[1];
}

/** So many like fragments. */
export interface FragmentRun {
  readonly fragment: Fragment;
  readonly count: number;
}

/** A list of fragments, like neighbours counted together. */
export function runsOf(fragments: readonly Fragment[]): readonly FragmentRun[] {
  const runs: { fragment: Fragment; count: number }[] = [];
  for (const fragment of fragments) {
    const last = runs.at(-1);
    if (last !== undefined && last.fragment === fragment) last.count += 1;
    else runs.push({ fragment, count: 1 });
  }
  return runs;
}

/** Fragments of each run that nothing stands in for yet; kept, as it is asked for many times. */
let free = new Int32Array(64);

/**
 * Whether fragments `a` are never worse to place than fragments `b` plus `spare` units of whole blocks: each of `a`
 * stands in for one of `b` of its key that is no smaller, or for a whole block. Both lists largest extent first.
 */
export function fragmentsCovered(
  a: readonly FragmentRun[],
  b: readonly FragmentRun[],
  spare: number,
): boolean {
  if (a.length === 0) return spare >= 0;
  let left = spare;
  if (free.length < b.length) free = new Int32Array(2 * b.length);
  for (let index = 0; index < b.length; index++) free[index] = b[index]!.count;
  for (const { fragment, count } of a) {
    let open = count;
    for (let index = 0; index < b.length && open > 0; index++) {
      if (free[index] === 0 || !standsIn(fragment, b[index]!.fragment)) continue;
      const taken = Math.min(open, free[index]!);
      free[index]! -= taken;
      open -= taken;
    }
    left -= open * fragment.units;
    if (left < 0) return false;
  }
  return left >= 0;
}
