import {
  type Candidate,
  type Choices,
  cascadeCost,
  type Fragment,
  type GroupConfig,
  type StackRule,
} from "../candidates/index.js";
import { type Design, type Device, type Logic, multiplexer } from "../model/index.js";
import {
  type FragmentType,
  firstFit,
  lonersAmongPairs,
  type Pattern,
  type TenantCost,
  usefulPatterns,
} from "./patterns.js";
import { unitWeights } from "./weights.js";

/** One choice: how many instances of a request take a candidate, or how many copies of a group take a layout. */
export type Column =
  | { readonly sort: "request"; readonly owner: number; readonly candidate: Candidate }
  | { readonly sort: "group"; readonly owner: number; readonly config: GroupConfig }
  /** How many stacks of one sort of an exclusive group take a candidate: `stack` is the index of the sort. */
  | {
      readonly sort: "stack";
      readonly owner: number;
      readonly stack: number;
      readonly candidate: Candidate;
    }
  /** One member of a large exclusive group, in every copy of the group: `place` is its index among the members. */
  | {
      readonly sort: "member";
      readonly owner: number;
      readonly place: number;
      readonly candidate: Candidate;
    };

/** Blocks that several fragments may share. */
export type ShareKey = PairKey | StackKey;

interface AnyKey {
  readonly name: string;
  readonly pool: string;
  readonly units: number;
  readonly cells: number;
}

/** Blocks of one kind and family whose two ports serve a fragment each. */
export interface PairKey extends AnyKey {
  readonly sort: "pair";
}

/** Blocks of one shape at whose ports any number of fragments take turns. */
export interface StackKey extends AnyKey {
  readonly sort: "stack";
  readonly rule: StackRule;
  /** Blocks in the system for each block of a pattern: the copies of a group whose copies are laid out alike. */
  readonly times: number;
  readonly types: readonly FragmentType[];
  /** Where no block holds more than two: the types that share with none. Null where more than two may share a block. */
  readonly loners: ReadonlySet<number> | null;
  /** The patterns in play: all useful ones, or those made so far. */
  patterns: readonly Pattern[];
  /** False where there may be better patterns than those in play. */
  complete: boolean;
}

/** Patterns of a stack key beyond which they are made as they are needed. */
const PATTERN_LIMIT = 8000;

/** What may be spent: units of a pool, logic units, or logic units used as memory. */
export interface Budget {
  readonly name: string;
  readonly limit: number;
  /** What one of each column spends. */
  readonly spends: readonly number[];
  /** What one shared block of each key spends. */
  readonly shared: readonly number[];
  /** Whether it is the units of a pool. */
  readonly ofPool: boolean;
  /** Whether the multiplexers of shared blocks spend it. */
  readonly sharedLuts: boolean;
  /** Weight of one unit over the limit, for the plan that overruns least. */
  readonly weight: number;
}

/** The objectives, in the order in which they count. */
export type Objective = "blocks" | "luts" | "cascade";

/** In the order in which they count: fewest weighted blocks, then fewest LUTs, then least cascade. */
export const OBJECTIVES: readonly Objective[] = ["blocks", "luts", "cascade"];

/** The chip-wide program as columns, shared blocks and rows that are not yet tied to an engine. */
export interface PackProgram {
  readonly choices: Choices;
  readonly columns: readonly Column[];
  /** Indices of the columns of each request and of each group. */
  readonly columnsOf: {
    readonly requests: readonly (readonly number[])[];
    readonly groups: readonly (readonly number[])[];
  };
  readonly shareKeys: readonly ShareKey[];
  /** Index of each share key by its name. */
  readonly keyIndex: ReadonlyMap<string, number>;
  readonly budgets: readonly Budget[];
  /** Objective weight of one shared block of each key. */
  readonly sharedWeight: readonly number[];
  /** Multiplexer LUTs of one block of a key with so many tenants, in all copies. */
  readonly muxLuts: (key: StackKey, tenants: number) => number;
  /** Cost of one of each column. */
  readonly costs: Readonly<Record<Objective, readonly number[]>>;
}

/** The candidate behind a column; null for a layout that joins no members of a group. */
export function columnCandidate(column: Column): Candidate | null {
  return column.sort === "group" ? column.config.joined : column.candidate;
}

/** Copies in the system of one item of a column: those of its group where all copies are laid out alike. */
function columnTimes(choices: Choices, column: Column): number {
  return column.sort === "member" ? choices.groups[column.owner]!.copies : 1;
}

/** What tells the memory, the member, the sort of stack or the group that a column is a choice for from all others. */
export function ownerOf(column: Column): string {
  const place = column.sort === "stack" ? column.stack : column.sort === "member" ? column.place : 0;
  return `${column.sort} ${column.owner} ${place}`;
}

/** The most items that a column can have. */
export function mostItems(choices: Choices, column: Column): number {
  const { sort, owner } = column;
  if (sort === "request") return choices.requests[owner]!.request.instances;
  const { copies, configs } = choices.groups[owner]!;
  if (sort === "member") return 1;
  return sort === "group" ? copies : copies * Math.max(...configs.map(({ stacks }) => stacks[column.stack]!));
}

function keyTimes(key: ShareKey): number {
  return key.sort === "stack" ? key.times : 1;
}

/** How often each fragment of one item of a column counts in a key. */
export function fragmentTimes(choices: Choices, column: Column, key: ShareKey): number {
  return columnTimes(choices, column) / keyTimes(key);
}

function sameType(a: FragmentType, b: FragmentType): boolean {
  return a.rows === b.rows && a.owner === b.owner && a.turns[0] === b.turns[0] && a.turns[1] === b.turns[1];
}

/** Index of a fragment's type in its key. */
export function typeIndex(key: StackKey, { stack }: Fragment): number {
  return key.types.findIndex((type) => sameType(type, stack!));
}

/** Multiplexer LUTs of a block in one copy, by its tenants. */
function muxLutsOf({ muxBits }: StackRule, logic: Logic): TenantCost {
  return (tenants) => (muxBits === 0 ? 0 : muxBits * multiplexer(logic, tenants).luts);
}

function shareKeysOf(
  chosen: readonly (Candidate | null)[],
  copies: readonly number[],
  logic: Logic,
): ShareKey[] {
  const first = new Map<string, { pool: string; fragment: Fragment; times: number; types: FragmentType[] }>();
  for (const [index, candidate] of chosen.entries()) {
    for (const fragment of candidate?.fragments ?? []) {
      const entry = first.get(fragment.shareKey) ?? {
        pool: candidate!.home,
        fragment,
        times: fragment.stack?.rule.distinctOwners === true ? copies[index]! : 1,
        types: [],
      };
      first.set(fragment.shareKey, entry);
      const { stack } = fragment;
      if (stack === null) continue;
      const { rows, turns, owner } = stack;
      if (!entry.types.some((type) => sameType(type, stack))) entry.types.push({ rows, turns, owner });
    }
  }
  return [...first].map(([name, { pool, fragment, times, types }]) => {
    const { units, cells, stack } = fragment;
    const shared = { name, pool, units, cells };
    if (stack === null) return { ...shared, sort: "pair" };
    types.sort((a, b) => b.rows - a.rows);
    const all = usefulPatterns(stack.rule, types, PATTERN_LIMIT, muxLutsOf(stack.rule, logic));
    const alone = types.map((_, index) => [index]);
    return {
      ...shared,
      sort: "stack",
      rule: stack.rule,
      times,
      types,
      loners: stack.rule.muxBits > 0 ? null : lonersAmongPairs(stack.rule, types),
      patterns: all ?? [
        ...alone,
        ...firstFit(
          stack.rule,
          types,
          types.map(() => 4),
        ).map(({ pattern }) => pattern),
      ],
      complete: all !== null,
    };
  });
}

/** Whether no block of a key holds more than two fragments, so that the pairing bound tells how many blocks there are. */
export function sharedByTwo(
  key: ShareKey,
): key is PairKey | (StackKey & { readonly loners: ReadonlySet<number> }) {
  return key.sort === "pair" || key.loners !== null;
}

/** The cells that a fragment counts for in the pairing bound of its key: all of the block where it shares with none. */
export function pairingExtent(key: ShareKey, fragment: Fragment): number {
  const alone = key.sort === "stack" && key.loners?.has(typeIndex(key, fragment)) === true;
  return alone ? key.cells : fragment.extent;
}

/** Whether all useful patterns of blocks that are shared in turns are in play, so that an engine's proof holds for all. */
export function allPatternsInPlay({ shareKeys }: PackProgram): boolean {
  return shareKeys.every((key) => sharedByTwo(key) || key.complete);
}

/** Columns, costs and budgets of a design on a device. */
export function packProgram(choices: Choices, design: Design, device: Device): PackProgram {
  const columns: Column[] = [];
  choices.requests.forEach(({ candidates }, owner) => {
    for (const candidate of candidates) columns.push({ sort: "request", owner, candidate });
  });
  choices.groups.forEach(({ configs, stacks, members }, owner) => {
    for (const config of configs) columns.push({ sort: "group", owner, config });
    stacks.forEach(({ candidates }, stack) => {
      for (const candidate of candidates) columns.push({ sort: "stack", owner, stack, candidate });
    });
    members.forEach(({ candidates }, place) => {
      for (const candidate of candidates) columns.push({ sort: "member", owner, place, candidate });
    });
  });
  const times = columns.map((column) => columnTimes(choices, column));
  const weights = unitWeights(device, design);
  const chosen = columns.map(columnCandidate);
  const shareKeys = shareKeysOf(chosen, times, device.logic);
  const budgets: Budget[] = device.pools.map((pool) => {
    const blocks = Math.min(pool.blocks, design.limits.blocks[pool.name] ?? pool.blocks);
    return {
      name: pool.name,
      limit: Math.floor(blocks * pool.unitsPerBlock),
      spends: chosen.map((candidate, index) =>
        candidate?.home === pool.name ? candidate.units * times[index]! : 0,
      ),
      shared: shareKeys.map((key) => (key.pool === pool.name ? key.units * keyTimes(key) : 0)),
      ofPool: true,
      sharedLuts: false,
      weight: weights.get(pool.name)!,
    };
  });
  const none = shareKeys.map(() => 0);
  budgets.push({
    name: "LUT",
    limit: Math.min(device.logic.count, design.limits.luts ?? device.logic.count),
    spends: chosen.map((candidate, index) => (candidate?.luts ?? 0) * times[index]!),
    shared: none,
    ofPool: false,
    sharedLuts: true,
    weight: 1,
  });
  if (device.lutMemory !== null && device.lutMemory.count !== null) {
    budgets.push({
      name: "LUT memory",
      limit: device.lutMemory.count,
      spends: chosen.map((candidate, index) => (candidate?.lutMemory ?? 0) * times[index]!),
      shared: none,
      ofPool: false,
      sharedLuts: false,
      weight: 1,
    });
  }
  const ownedBy = (own: (column: Column) => boolean, owners: number): number[][] => {
    const lists = Array.from({ length: owners }, (): number[] => []);
    columns.forEach((column, index) => {
      if (own(column)) lists[column.owner]!.push(index);
    });
    return lists;
  };
  return {
    choices,
    columns,
    columnsOf: {
      requests: ownedBy(({ sort }) => sort === "request", choices.requests.length),
      groups: ownedBy(({ sort }) => sort !== "request", choices.groups.length),
    },
    shareKeys,
    keyIndex: new Map(shareKeys.map((key, index) => [key.name, index])),
    budgets,
    sharedWeight: shareKeys.map((key) => key.units * keyTimes(key) * weights.get(key.pool)!),
    muxLuts: (key, tenants) => key.times * muxLutsOf(key.rule, device.logic)(tenants),
    costs: {
      blocks: chosen.map((candidate, index) =>
        candidate === null ? 0 : candidate.units * times[index]! * (weights.get(candidate.home) ?? 0),
      ),
      luts: chosen.map((candidate, index) => (candidate?.luts ?? 0) * times[index]!),
      cascade: chosen.map((candidate, index) =>
        candidate === null ? 0 : cascadeCost(candidate) * times[index]!,
      ),
    },
  };
}
