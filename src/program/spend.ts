import {
  columnCandidate,
  fragmentTimes,
  type Objective,
  type PackProgram,
  type StackKey,
  typeIndex,
} from "./pack-program.js";
import { classesOf, firstFit, type Pattern, placesOf } from "./patterns.js";
import { blocksForFragments, type FragmentCount } from "./share-rows.js";

/** A pattern and how many blocks hold it. */
export interface UsedPattern {
  readonly pattern: Pattern;
  readonly count: number;
}

/** What a choice costs, worked out from the choice alone. */
export interface Spending {
  /** Shared blocks of each key. */
  readonly shared: readonly number[];
  /** For each stack key the patterns that cover its fragments; null for pair keys. */
  readonly patterns: readonly (readonly UsedPattern[] | null)[];
  /** What each budget has spent, in its own unit. */
  readonly spent: readonly number[];
  /** Weighted amount over the budgets. */
  readonly overrun: number;
  readonly objectives: Readonly<Record<Objective, number>>;
}

/** Fragments of each type of a stack key, or of each extent of a pair key, that a choice brings. */
function demands(pack: PackProgram, counts: readonly number[], used: readonly number[]) {
  const extents = pack.shareKeys.map((): FragmentCount[] => []);
  const types = pack.shareKeys.map((key) => (key.sort === "stack" ? key.types.map(() => 0) : []));
  for (const index of used) {
    const column = pack.columns[index]!;
    const count = counts[index]!;
    for (const fragment of columnCandidate(column)?.fragments ?? []) {
      const at = pack.keyIndex.get(fragment.shareKey)!;
      const key = pack.shareKeys[at]!;
      const items = count * fragmentTimes(pack.choices, column, key);
      if (key.sort === "pair") extents[at]!.push({ extent: fragment.extent, count: items });
      else types[at]![typeIndex(key, fragment)]! += items;
    }
  }
  return { extents, types };
}

/** Blocks of one pattern that hold the same fragments so far. */
interface Alike {
  readonly pattern: Pattern;
  readonly count: number;
  readonly held: readonly number[];
}

/**
 * The fragments in the places of patterns, without the places that none fills: of each class the largest fragment in the largest place, and so on. Null
 * where they do not find places.
 */
export function placed(
  { types }: StackKey,
  patterns: readonly UsedPattern[],
  demand: readonly number[],
): UsedPattern[] | null {
  let blocks: Alike[] = patterns.map((used) => ({ ...used, held: [] }));
  for (const list of classesOf(types)) {
    const left = list.map((type) => demand[type]!);
    for (const place of list) {
      const filled: Alike[] = [];
      const open = blocks.map((alike) => ({
        alike,
        places: placesOf([place], alike.pattern).length,
      }));
      for (let next = open.shift(); next !== undefined; next = open.shift()) {
        const { alike, places } = next;
        const largest = left.findIndex((count) => count > 0);
        if (places === 0 || largest < 0) {
          filled.push(alike);
          continue;
        }
        const type = list[largest]!;
        if (types[type]!.rows > types[place]!.rows) return null;
        const count = Math.min(alike.count, left[largest]!);
        left[largest]! -= count;
        if (count < alike.count) open.unshift({ alike: { ...alike, count: alike.count - count }, places });
        open.unshift({ alike: { ...alike, count, held: [...alike.held, type] }, places: places - 1 });
      }
      blocks = filled;
    }
    if (left.some((count) => count > 0)) return null;
  }
  const used = new Map<string, { pattern: Pattern; count: number }>();
  for (const { held, count } of blocks) {
    if (held.length === 0) continue;
    const pattern = [...held].sort((a, b) => a - b);
    const entry = used.get(pattern.join());
    if (entry === undefined) used.set(pattern.join(), { pattern, count });
    else entry.count += count;
  }
  return [...used.values()];
}

/** Blocks that patterns take, and the LUTs of the multiplexers before them. */
function blocksAndLuts(pack: PackProgram, key: StackKey, patterns: readonly UsedPattern[]) {
  return {
    blocks: patterns.reduce((sum, { count }) => sum + count, 0),
    luts: patterns.reduce((sum, { pattern, count }) => sum + count * pack.muxLuts(key, pattern.length), 0),
  };
}

/**
 * Exact cost of `counts[column]` of each column. Blocks shared by pairs: by the pairing bound, which is met exactly.
 * Blocks shared in turns: the given patterns where they cover the fragments, first-fit decreasing otherwise and where that
 * takes no more blocks and no more LUTs.
 */
export function spendingOf(
  pack: PackProgram,
  counts: readonly number[],
  given: Spending["patterns"] | null = null,
): Spending {
  const used = [...counts.keys()].filter((column) => counts[column] !== 0);
  const { extents, types } = demands(pack, counts, used);
  const patterns = pack.shareKeys.map((key, index) => {
    if (key.sort === "pair") return null;
    const offered = given?.[index];
    const greedy = firstFit(key.rule, key.types, types[index]!);
    const exact = offered === null || offered === undefined ? null : placed(key, offered, types[index]!);
    if (exact === null) return greedy;
    const [a, b] = [greedy, exact].map((list) => blocksAndLuts(pack, key, list));
    // Fewer blocks with more LUTs may be over a budget that the given patterns keep.
    return a!.blocks <= b!.blocks && a!.luts <= b!.luts ? greedy : exact;
  });
  const sharing = pack.shareKeys.map((key, index) =>
    key.sort === "pair"
      ? { blocks: blocksForFragments(extents[index]!, key.cells), luts: 0 }
      : blocksAndLuts(pack, key, patterns[index]!),
  );
  const shared = sharing.map(({ blocks }) => blocks);
  const sum = (costs: readonly number[]) =>
    used.reduce((total, column) => total + costs[column]! * counts[column]!, 0);
  const muxLuts = sharing.reduce((total, { luts }) => total + luts, 0);
  const spent = pack.budgets.map(
    (budget) =>
      sum(budget.spends) +
      shared.reduce((total, n, key) => total + n * budget.shared[key]!, 0) +
      (budget.sharedLuts ? muxLuts : 0),
  );
  const overrun = pack.budgets.reduce(
    (total, budget, index) => total + budget.weight * Math.max(0, spent[index]! - budget.limit),
    0,
  );
  const sharedCost = shared.reduce((total, n, key) => total + n * pack.sharedWeight[key]!, 0);
  return {
    shared,
    patterns,
    spent,
    overrun,
    objectives: {
      blocks: sum(pack.costs.blocks) + sharedCost,
      luts: sum(pack.costs.luts) + muxLuts,
      cascade: sum(pack.costs.cascade),
    },
  };
}
