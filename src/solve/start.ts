import type { Candidate, Fragment, StackDemand } from "../candidates/index.js";
import {
  columnCandidate,
  fragmentTimes,
  OBJECTIVES,
  type PackProgram,
  spendingOf,
} from "../program/index.js";

/** Requests and groups that depend on each other: a request alone, or a group with its requests. */
export interface Component {
  readonly requests: readonly number[];
  readonly group: number | null;
  /** True where some candidate leaves a fragment, so that the component may share blocks with others. */
  readonly shares: boolean;
}

/** The independent parts of a pack program, budgets and shared blocks apart. */
export function components(pack: PackProgram): Component[] {
  const { requests, groups } = pack.choices;
  const sharing = (candidates: readonly (Candidate | null)[]) =>
    candidates.some((candidate) => candidate !== null && candidate.fragments.length > 0);
  const grouped = new Set(groups.flatMap((group) => group.requests));
  return [
    ...requests.flatMap(({ candidates }, index) =>
      grouped.has(index) ? [] : [{ requests: [index], group: null, shares: sharing(candidates) }],
    ),
    ...groups.map((group, index) => ({
      requests: group.requests,
      group: index,
      shares:
        sharing(group.members.flatMap(({ candidates }) => candidates)) ||
        sharing(group.configs.map(({ joined }) => joined)) ||
        group.requests.some((request) => sharing(requests[request]!.candidates)),
    })),
  ];
}

type Cost = readonly number[];

function compare(a: Cost, b: Cost): number {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return a[i]! - b[i]!;
  return 0;
}

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
  const keys = new Map(
    pack.shareKeys.map((key, index) => [key.name, { key, weight: pack.sharedWeight[index]! }]),
  );
  return pack.columns.map((column, index) =>
    (columnCandidate(column)?.fragments ?? []).reduce((sum, fragment) => {
      const { key, weight } = keys.get(fragment.shareKey)!;
      return sum + weight * fragmentTimes(pack.choices, column, key) * share(fragment);
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

function bestMember(
  pack: PackProgram,
  group: number,
  place: number,
  admit: (column: number) => boolean,
  costs: readonly Cost[],
): number | null {
  let best: number | null = null;
  pack.columns.forEach((column, index) => {
    if (column.sort !== "member" || column.owner !== group || column.place !== place || !admit(index)) return;
    if (best === null || compare(costs[index]!, costs[best]!) < 0) best = index;
  });
  return best;
}

/**
 * The best choice for every component by itself, as if budgets did not bind: exact for components that share nothing,
 * a good start for the others. Members of large exclusive groups are tried with all that they may share, with nothing,
 * and with blocks of each shape alone. `admit` leaves out columns. Null where a component has no choice left.
 */
export function independentBest(
  pack: PackProgram,
  admit: (column: number) => boolean = () => true,
): number[] | null {
  const stacks = new Set(
    pack.shareKeys.flatMap((key) => (key.sort === "stack" && key.rule.distinctOwners ? [key.name] : [])),
  );
  if (stacks.size === 0) return independentChoice(pack, admit);
  const onlyIn = (name: string | null) => (column: number) => {
    const fragments = columnCandidate(pack.columns[column]!)?.fragments ?? [];
    return admit(column) && fragments.every(({ shareKey }) => !stacks.has(shareKey) || shareKey === name);
  };
  let best: { counts: number[]; cost: Cost } | null = null;
  for (const admitted of [admit, onlyIn(null), ...[...stacks].map(onlyIn)]) {
    const counts = independentChoice(pack, admitted);
    if (counts === null) continue;
    const { objectives } = spendingOf(pack, counts);
    const cost = OBJECTIVES.map((objective) => objectives[objective]);
    if (best === null || compare(cost, best.cost) < 0) best = { counts, cost };
  }
  return best?.counts ?? null;
}

/** The cheapest choice for every component, each fragment counted as the part of a block that it may take. */
function independentChoice(pack: PackProgram, admit: (column: number) => boolean): number[] | null {
  const costs = columnCosts(pack);
  const bestOf = (requestIndex: number): number | null => {
    let best: number | null = null;
    pack.columns.forEach((column, index) => {
      if (column.sort !== "request" || column.owner !== requestIndex || !admit(index)) return;
      if (best === null || compare(costs[index]!, costs[best]!) < 0) best = index;
    });
    return best;
  };
  const counts = pack.columns.map(() => 0);
  for (const component of components(pack)) {
    if (component.group === null) {
      const request = component.requests[0]!;
      const best = bestOf(request);
      if (best === null) return null;
      counts[best] = pack.choices.requests[request]!.request.instances;
      continue;
    }
    const group = pack.choices.groups[component.group]!;
    if (group.members.length > 0) {
      for (const place of group.members.keys()) {
        const best = bestMember(pack, component.group, place, (index) => admit(index), costs);
        if (best === null) return null;
        counts[best] = 1;
      }
      continue;
    }
    const alone = group.requests.map(bestOf);
    let winner: { column: number; cost: Cost } | null = null;
    pack.columns.forEach((column, index) => {
      if (column.sort !== "group" || column.owner !== component.group || !admit(index)) return;
      let cost: Cost = costs[index]!;
      for (const [part, members] of column.config.alone.entries()) {
        if (members === 0) continue;
        const own = alone[part];
        if (own === null || own === undefined) return;
        cost = cost.map((value, i) => value + members * costs[own]![i]!);
      }
      if (winner === null || compare(cost, winner.cost) < 0) winner = { column: index, cost };
    });
    if (winner === null) return null;
    const { column: chosen } = winner as { column: number };
    counts[chosen] = group.copies;
    const column = pack.columns[chosen]!;
    if (column.sort !== "group") continue;
    column.config.alone.forEach((members, part) => {
      if (members > 0) counts[alone[part]!]! += members * group.copies;
    });
  }
  return counts;
}

/** A bound on the weighted blocks of all components: every fragment takes at least its proven part of a block. */
export function independentBound(pack: PackProgram): number {
  const least = blocksWithShares(pack, provenShareOf);
  const bestOf = (request: number) =>
    pack.columns.reduce(
      (best, column, index) =>
        column.sort === "request" && column.owner === request ? Math.min(best, least[index]!) : best,
      Number.POSITIVE_INFINITY,
    );
  let bound = 0;
  for (const component of components(pack)) {
    if (component.group === null) {
      const request = component.requests[0]!;
      bound += bestOf(request) * pack.choices.requests[request]!.request.instances;
      continue;
    }
    const group = pack.choices.groups[component.group]!;
    if (group.members.length > 0) {
      for (const place of group.members.keys()) {
        const own = least.map((value) => [value]);
        bound += own[bestMember(pack, component.group, place, () => true, own)!]![0]!;
      }
      continue;
    }
    let best = Number.POSITIVE_INFINITY;
    pack.columns.forEach((column, index) => {
      if (column.sort !== "group" || column.owner !== component.group) return;
      const alone = column.config.alone.reduce(
        (sum, members, part) => (members === 0 ? sum : sum + members * bestOf(group.requests[part]!)),
        0,
      );
      best = Math.min(best, least[index]! + alone);
    });
    bound += best * group.copies;
  }
  return Math.ceil(bound - 1e-9);
}

/**
 * Moves instances of ungrouped requests to other candidates while that lowers the overrun, the cheapest move first.
 * Returns the best counts found; the overrun may remain.
 */
export function repaired(pack: PackProgram, start: readonly number[]): number[] {
  let counts = [...start];
  let spending = spendingOf(pack, counts);
  const grouped = new Set(pack.choices.groups.flatMap((group) => group.requests));
  const byRequest = pack.choices.requests.map((_, owner) =>
    pack.columns
      .map((_column, index) => index)
      .filter((index) => pack.columns[index]!.sort === "request" && pack.columns[index]!.owner === owner),
  );
  for (let step = 0; step < 200 && spending.overrun > 0; step++) {
    let best: { counts: number[]; score: number } | null = null;
    byRequest.forEach((columns, owner) => {
      if (grouped.has(owner)) return;
      for (const from of columns) {
        if (counts[from]! === 0) continue;
        for (const to of columns) {
          if (to === from) continue;
          for (const moved of new Set([1, counts[from]!])) {
            const next = [...counts];
            next[from]! -= moved;
            next[to]! += moved;
            const then = spendingOf(pack, next);
            if (then.overrun >= spending.overrun) continue;
            const gain = spending.overrun - then.overrun;
            const price = then.objectives.blocks - spending.objectives.blocks;
            const score = Math.max(0, price) / gain;
            if (best === null || score < best.score) best = { counts: next, score };
          }
        }
      }
    });
    if (best === null) break;
    counts = (best as { counts: number[] }).counts;
    spending = spendingOf(pack, counts);
  }
  return counts;
}
