import {
  columnCandidate,
  fragmentTimes,
  type Objective,
  type PackProgram,
  type StackKey,
  typeIndex,
} from "./pack-program.js";
import { firstFit, type Pattern } from "./patterns.js";
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

/** The patterns without the places that no fragment fills. */
function trimmed(patterns: readonly UsedPattern[], demand: readonly number[]): UsedPattern[] {
  const left = [...demand];
  const used: UsedPattern[] = [];
  for (const { pattern, count } of patterns) {
    for (let open = count; open > 0; ) {
      const held: number[] = [];
      for (const type of pattern) {
        if (held.filter((other) => other === type).length < left[type]!) held.push(type);
      }
      if (held.length === 0) break;
      const times = held.reduce((most, type) => {
        const each = held.filter((other) => other === type).length;
        return Math.min(most, Math.floor(left[type]! / each));
      }, open);
      for (const type of held) left[type]! -= times;
      used.push({ pattern: held, count: times });
      open -= times;
    }
  }
  return used;
}

/** Blocks that patterns take, and the LUTs of the multiplexers before them. */
function blocksAndLuts(pack: PackProgram, key: StackKey, patterns: readonly UsedPattern[]) {
  return {
    blocks: patterns.reduce((sum, { count }) => sum + count, 0),
    luts: patterns.reduce((sum, { pattern, count }) => sum + count * pack.muxLuts(key, pattern.length), 0),
  };
}

function covers(patterns: readonly UsedPattern[], demand: readonly number[]): boolean {
  const held = demand.map(() => 0);
  for (const { pattern, count } of patterns) for (const type of pattern) held[type]! += count;
  return demand.every((count, type) => held[type]! >= count);
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
    if (offered === null || offered === undefined || !covers(offered, types[index]!)) return greedy;
    const exact = trimmed(offered, types[index]!);
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
