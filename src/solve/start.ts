import type { Fragment, StackDemand } from "../candidates/index.js";
import {
  columnCandidate,
  fragmentTimes,
  OBJECTIVES,
  type PackProgram,
  spendingOf,
} from "../program/index.js";
import { compareCosts } from "./compare-costs.js";
import { components } from "./components.js";
import { partsOf, settle } from "./parts.js";

type Cost = readonly number[];

/** The part of a block that a fragment takes, as a guess for a start: its room or its turns, what is more. */
function shareOf({ extent, cells, stack }: Fragment): number {
  if (stack === null) return Math.max(0.5, extent / cells);
  return Math.max(extent / cells, turnShare(stack));
}

function turnShare({ rule, turns }: StackDemand): number {
  if (rule.distinctOwners) return 0;
  return rule.joint ? turns[0] / rule.turns[0] : Math.max(turns[0] / rule.turns[0], turns[1] / rule.turns[1]);
}

/** A part of a block such that the parts of what shares a block never add up to more than one. */
function provenShareOf({ extent, cells, stack }: Fragment): number {
  if (stack === null) return 0.5;
  const { rule, turns } = stack;
  if (rule.distinctOwners) return extent / cells;
  const byTurns = rule.joint
    ? turns[0] / rule.turns[0]
    : (turns[0] + turns[1]) / (rule.turns[0] + rule.turns[1]);
  return (extent / cells + byTurns) / 2;
}

/** Weighted blocks of one item of each column, a fragment counted as a part of a block. */
function blocksWithShares(pack: PackProgram, share: (fragment: Fragment) => number): number[] {
  return pack.columns.map((column, index) =>
    (columnCandidate(column)?.fragments ?? []).reduce((sum, fragment) => {
      const key = pack.keyIndex.get(fragment.shareKey)!;
      const times = fragmentTimes(pack.choices, column, pack.shareKeys[key]!);
      return sum + pack.sharedWeight[key]! * times * share(fragment);
    }, pack.costs.blocks[index]!),
  );
}

/** Objectives of one item of each column, a fragment counted as the part of a block that it may take. */
function columnCosts(pack: PackProgram): Cost[] {
  return blocksWithShares(pack, shareOf).map((blocks, column) => [
    blocks,
    ...OBJECTIVES.slice(1).map((objective) => pack.costs[objective][column]!),
  ]);
}

/**
 * The best choice for every component by itself, as if budgets did not bind: exact for components that share nothing,
 * a good start for the others. Members of large exclusive groups are tried with all that they may share, with nothing,
 * and with blocks of each shape alone. Null where a component has no choice.
 */
export function independentBest(pack: PackProgram): number[] | null {
  const stacks = new Set(
    pack.shareKeys.flatMap((key) => (key.sort === "stack" && key.rule.distinctOwners ? [key.name] : [])),
  );
  if (stacks.size === 0) return independentChoice(pack, () => true);
  const onlyIn = (name: string | null) => (column: number) => {
    const fragments = columnCandidate(pack.columns[column]!)?.fragments ?? [];
    return fragments.every(({ shareKey }) => !stacks.has(shareKey) || shareKey === name);
  };
  let best: { counts: number[]; cost: Cost } | null = null;
  for (const admitted of [() => true, onlyIn(null), ...[...stacks].map(onlyIn)]) {
    const counts = independentChoice(pack, admitted);
    if (counts === null) continue;
    const { objectives } = spendingOf(pack, counts);
    const cost = OBJECTIVES.map((objective) => objectives[objective]);
    if (best === null || compareCosts(cost, best.cost) < 0) best = { counts, cost };
  }
  return best?.counts ?? null;
}

/** The cheapest choice for every component, each fragment counted as the part of a block that it may take. */
function independentChoice(pack: PackProgram, admit: (column: number) => boolean): number[] | null {
  const costs = columnCosts(pack);
  const least = (list: readonly number[]): number | null => {
    let best: number | null = null;
    for (const column of list) {
      if (admit(column) && (best === null || compareCosts(costs[column]!, costs[best]!) < 0)) best = column;
    }
    return best;
  };
  const counts = pack.columns.map(() => 0);
  for (const { items, requests, configs } of partsOf(pack, components(pack))) {
    const best = requests.map(least);
    if (configs === null) {
      if (best[0] === null || best[0] === undefined) return null;
      counts[best[0]]! += items;
      continue;
    }
    let winner: { config: (typeof configs)[number]; cost: Cost } | null = null;
    for (const config of configs) {
      let cost: Cost | null = admit(config.column) ? costs[config.column]! : null;
      for (const [part, members] of config.alone.entries()) {
        const own = best[part];
        if (members === 0 || cost === null) continue;
        cost =
          own === null || own === undefined
            ? null
            : cost.map((value, i) => value + members * costs[own]![i]!);
      }
      if (cost !== null && (winner === null || compareCosts(cost, winner.cost) < 0))
        winner = { config, cost };
    }
    if (winner === null) return null;
    counts[winner.config.column]! += items;
    winner.config.alone.forEach((members, part) => {
      if (members > 0) counts[best[part]!]! += members * items;
    });
  }
  return counts;
}

/** A bound on the weighted blocks of all components: every fragment takes at least its proven part of a block. */
export function independentBound(pack: PackProgram): number {
  const least = Float64Array.from(blocksWithShares(pack, provenShareOf));
  const counts = pack.columns.map(() => 0);
  const bound = partsOf(pack, components(pack)).reduce((sum, part) => sum + settle(part, least, counts), 0);
  return Math.ceil(bound - 1e-9);
}
