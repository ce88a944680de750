import {
  type Candidate,
  type Choices,
  cascadeCost,
  type Fragment,
  type GroupConfig,
  type StackRule,
} from "../candidates/index.js";
import { type Design, type Device, multiplexer } from "../model/index.js";
import type { IntegerProgram } from "./integer-program.js";
import { pairRows } from "./pair-rows.js";
import { type FragmentType, firstFit, type Pattern, usefulPatterns } from "./patterns.js";
import { fragmentsByKey } from "./share-rows.js";
import { unitWeights } from "./weights.js";

/** One choice: how many instances of a request take a candidate, or how many copies of a group take a layout. */
export type Column =
  | { readonly sort: "request"; readonly owner: number; readonly candidate: Candidate }
  | { readonly sort: "group"; readonly owner: number; readonly config: GroupConfig }
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
}

/** Blocks of one kind and family whose two ports serve a fragment each. */
export interface PairKey extends AnyKey {
  readonly sort: "pair";
  readonly cells: number;
}

/** Blocks of one shape at whose ports any number of fragments take turns. */
export interface StackKey extends AnyKey {
  readonly sort: "stack";
  readonly rule: StackRule;
  /** Blocks in the system for each block of a pattern: the copies of a group whose copies are laid out alike. */
  readonly times: number;
  readonly types: readonly FragmentType[];
  /** The patterns in play: all useful ones, or those made so far. */
  patterns: readonly Pattern[];
  /** False where there may be better patterns than those in play. */
  complete: boolean;
}

/** Patterns of a stack key beyond which they are made as they are needed. */
const PATTERN_LIMIT = 4000;

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
  /** Multiplexer LUTs of one block of a pattern, in all copies. */
  readonly patternLuts: (key: StackKey, pattern: Pattern) => number;
  /** Cost of one of each column. */
  readonly costs: Readonly<Record<Objective, readonly number[]>>;
}

/** The candidate behind a column; null for a layout in which all members of a group stand alone. */
export function columnCandidate(column: Column): Candidate | null {
  return column.sort === "group" ? column.config.joined : column.candidate;
}

/** Copies in the system of one item of a column: those of its group where all copies are laid out alike. */
function columnTimes(choices: Choices, column: Column): number {
  return column.sort === "member" ? choices.groups[column.owner]!.copies : 1;
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

function shareKeysOf(chosen: readonly (Candidate | null)[], copies: readonly number[]): ShareKey[] {
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
    if (stack === null) return { sort: "pair", name, pool, units, cells };
    types.sort((a, b) => b.rows - a.rows);
    const all = usefulPatterns(stack.rule, types, PATTERN_LIMIT);
    const alone = types.map((_, index) => [index]);
    return {
      sort: "stack",
      name,
      pool,
      units,
      rule: stack.rule,
      times,
      types,
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

/** Whether all useful patterns of blocks that are shared in turns are in play, so that an engine's proof holds for all. */
export function allPatternsInPlay({ shareKeys }: PackProgram): boolean {
  return shareKeys.every((key) => key.sort === "pair" || key.complete);
}

/** Columns, costs and budgets of a design on a device. */
export function packProgram(choices: Choices, design: Design, device: Device): PackProgram {
  const columns: Column[] = [];
  choices.requests.forEach(({ candidates }, owner) => {
    for (const candidate of candidates) columns.push({ sort: "request", owner, candidate });
  });
  choices.groups.forEach(({ configs, members }, owner) => {
    for (const config of configs) columns.push({ sort: "group", owner, config });
    members.forEach(({ candidates }, place) => {
      for (const candidate of candidates) columns.push({ sort: "member", owner, place, candidate });
    });
  });
  const times = columns.map((column) => columnTimes(choices, column));
  const weights = unitWeights(device, design);
  const chosen = columns.map(columnCandidate);
  const shareKeys = shareKeysOf(chosen, times);
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
    patternLuts: (key, pattern) =>
      key.times * key.rule.muxBits * multiplexer(device.logic, pattern.length).luts,
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

/** An objective, and what one of it counts in a sum of several. */
export interface Aim {
  readonly objective: Objective | "overrun";
  readonly weight: number;
}

/** What the integer program minimises and what is already settled. */
export interface Stage {
  /** The sum of these is minimised. */
  readonly minimise: readonly Aim[];
  /** Objectives of earlier stages with the values that must be kept. */
  readonly settled: readonly { readonly objective: Objective | "overrun"; readonly value: number }[];
  /** A proven lower bound on the first of these; null: none is known. */
  readonly atLeast: number | null;
  /** Whether budgets are limits, may be overrun at a price, or are left out. */
  readonly budgets: "hard" | "soft" | "none";
  /** Only these columns' owners; null: all. Owners that are left out have no rows. */
  readonly owners: { readonly requests: ReadonlySet<number>; readonly groups: ReadonlySet<number> } | null;
  /** Only these columns; null: all. */
  readonly columns: ReadonlySet<number> | null;
}

/** An integer program and, for each of its variables, the column it counts (-1: a shared block, an overrun or a count of fragments). */
export interface StagedProgram {
  readonly program: IntegerProgram;
  readonly columnOf: readonly number[];
  /** For each variable, the share key and pattern it counts; null: something else. */
  readonly patternOf: readonly ({ readonly key: number; readonly pattern: Pattern } | null)[];
  /** The row of each type of each stack key, by key index; empty for pair keys. */
  readonly typeRows: readonly (readonly number[])[];
}

/** The integer program of one stage. Variables: columns, then shared blocks, then overruns, then counts of fragments. */
export function stageProgram(pack: PackProgram, stage: Stage): StagedProgram {
  const { columns, shareKeys, budgets, choices } = pack;
  const active = columns
    .map((_, index) => index)
    .filter((index) => {
      const { sort, owner } = columns[index]!;
      if (stage.columns !== null && !stage.columns.has(index)) return false;
      if (stage.owners === null) return true;
      return (sort === "request" ? stage.owners.requests : stage.owners.groups).has(owner);
    });
  const variableOf = new Map(active.map((column, variable) => [column, variable]));
  const firstShared = active.length;
  /** A variable a pair key, and one a pattern of a stack key. */
  const shared = shareKeys.flatMap((key, index): { key: number; pattern: Pattern | null }[] =>
    key.sort === "pair"
      ? [{ key: index, pattern: null }]
      : key.patterns.map((pattern) => ({ key: index, pattern })),
  );
  const sharedOf = (key: number) =>
    shared.flatMap((entry, index) => (entry.key === key ? [firstShared + index] : []));
  const firstOver = firstShared + shared.length;
  const soft = stage.budgets === "soft";
  const terms = (
    objective: Objective | "overrun",
  ): { readonly variable: number; readonly coefficient: number }[] => {
    const found: { variable: number; coefficient: number }[] = [];
    const add = (variable: number, coefficient: number) => {
      if (coefficient !== 0) found.push({ variable, coefficient });
    };
    if (objective === "overrun") {
      budgets.forEach((budget, index) => {
        add(firstOver + index, budget.weight);
      });
      return found;
    }
    for (const column of active) add(variableOf.get(column)!, pack.costs[objective][column]!);
    if (objective === "blocks") {
      shared.forEach(({ key }, index) => {
        add(firstShared + index, pack.sharedWeight[key]!);
      });
    }
    if (objective === "luts") {
      shared.forEach(({ key, pattern }, index) => {
        if (pattern !== null) add(firstShared + index, pack.patternLuts(shareKeys[key] as StackKey, pattern));
      });
    }
    return found;
  };
  const objective = new Map<number, number>();
  for (const aim of stage.minimise) {
    for (const { variable, coefficient } of terms(aim.objective)) {
      objective.set(variable, (objective.get(variable) ?? 0) + aim.weight * coefficient);
    }
  }
  const upper = (column: number) => {
    const { sort, owner } = columns[column]!;
    if (sort === "member") return 1;
    return sort === "request" ? choices.requests[owner]!.request.instances : choices.groups[owner]!.copies;
  };
  const variables = [
    ...active.map((column, variable) => ({
      name: `x${column}`,
      objective: objective.get(variable) ?? 0,
      upper: upper(column) as number | null,
    })),
    ...shared.map((_, index) => ({
      name: `z${index}`,
      objective: objective.get(firstShared + index) ?? 0,
      upper: null,
    })),
    ...(soft
      ? budgets.map((_, index) => ({
          name: `o${index}`,
          objective: objective.get(firstOver + index) ?? 0,
          upper: null,
        }))
      : []),
  ];
  const rows: IntegerProgram["rows"][number][] = [];
  const inPlay = (list: readonly number[]) => list.filter((column) => variableOf.has(column));
  choices.requests.forEach(({ request }, owner) => {
    const own = inPlay(pack.columnsOf.requests[owner]!);
    if (stage.owners !== null && !stage.owners.requests.has(owner)) return;
    const row = own.map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 }));
    let grouped = false;
    choices.groups.forEach((group, groupIndex) => {
      group.requests.forEach((member, part) => {
        if (member !== owner) return;
        grouped = true;
        for (const index of inPlay(pack.columnsOf.groups[groupIndex]!)) {
          const column = columns[index]!;
          const alone = column.sort === "group" ? column.config.alone[part]! : 0;
          if (alone > 0) row.push({ variable: variableOf.get(index)!, coefficient: -alone });
        }
      });
    });
    const right = grouped ? 0 : request.instances;
    rows.push({ name: `r${owner}`, terms: row, lower: right, upper: right });
  });
  choices.groups.forEach((group, owner) => {
    if (stage.owners !== null && !stage.owners.groups.has(owner)) return;
    const inGroup = inPlay(pack.columnsOf.groups[owner]!);
    group.members.forEach((_, place) => {
      const own = inGroup.filter((index) => {
        const column = columns[index]!;
        return column.sort === "member" && column.place === place;
      });
      rows.push({
        name: `m${owner}_${place}`,
        terms: own.map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 })),
        lower: 1,
        upper: 1,
      });
    });
    if (group.members.length > 0) return;
    rows.push({
      name: `g${owner}`,
      terms: inGroup.map((column) => ({
        variable: variableOf.get(column)!,
        coefficient: 1,
      })),
      lower: group.copies,
      upper: group.copies,
    });
  });
  const typeRows = shareKeys.map((): number[] => []);
  shareKeys.forEach((key, index) => {
    const holders = active.flatMap((column) => {
      const fragments = fragmentsByKey(columnCandidate(columns[column]!)?.fragments ?? []).get(key.name);
      const times = fragmentTimes(choices, columns[column]!, key);
      return fragments === undefined ? [] : [{ variable: variableOf.get(column)!, fragments, times }];
    });
    if (key.sort === "stack") {
      const variables = sharedOf(index);
      key.types.forEach((_, type) => {
        const row: { variable: number; coefficient: number }[] = [];
        for (const { variable, fragments, times } of holders) {
          const count = times * fragments.filter((fragment) => typeIndex(key, fragment) === type).length;
          if (count > 0) row.push({ variable, coefficient: -count });
        }
        key.patterns.forEach((pattern, place) => {
          const count = pattern.filter((held) => held === type).length;
          if (count > 0) row.push({ variable: variables[place]!, coefficient: count });
        });
        typeRows[index]!.push(rows.length);
        rows.push({ name: `t${index}_${type}`, terms: row, lower: 0, upper: null });
      });
      return;
    }
    const sharing = pairRows(`${index}`, holders, key.cells, sharedOf(index)[0]!, variables.length);
    variables.push(...sharing.variables);
    rows.push(...sharing.rows);
  });
  if (stage.budgets !== "none") {
    budgets.forEach((budget, index) => {
      const row = active
        .filter((column) => budget.spends[column]! > 0)
        .map((column) => ({ variable: variableOf.get(column)!, coefficient: budget.spends[column]! }));
      budget.shared.forEach((units, key) => {
        if (units > 0) for (const variable of sharedOf(key)) row.push({ variable, coefficient: units });
      });
      if (budget.sharedLuts) {
        shared.forEach(({ key, pattern }, place) => {
          const luts = pattern === null ? 0 : pack.patternLuts(shareKeys[key] as StackKey, pattern);
          if (luts > 0) row.push({ variable: firstShared + place, coefficient: luts });
        });
      }
      if (row.length === 0) return;
      if (soft) row.push({ variable: firstOver + index, coefficient: -1 });
      // A variable for the units of each pool but the last, which follows from them and the objective: what an engine branches
      // on, and cuts by, is then how many blocks there are.
      if (!soft && budget.ofPool && budgets[index + 1]?.ofPool === true) {
        row.push({ variable: variables.length, coefficient: -1 });
        variables.push({ name: `u${index}`, objective: 0, upper: budget.limit });
        rows.push({ name: `b${index}`, terms: row, lower: 0, upper: 0 });
      } else rows.push({ name: `b${index}`, terms: row, lower: null, upper: budget.limit });
    });
  }
  if (stage.atLeast !== null && stage.atLeast > 0) {
    const row = terms(stage.minimise[0]!.objective);
    if (row.length > 0) rows.push({ name: "l", terms: row, lower: stage.atLeast, upper: null });
  }
  stage.settled.forEach(({ objective: settled, value }, index) => {
    const row = terms(settled);
    if (row.length > 0) rows.push({ name: `k${index}`, terms: row, lower: null, upper: value });
  });
  return {
    program: { variables, rows },
    columnOf: [...active, ...variables.slice(active.length).map(() => -1)],
    patternOf: variables.map((_, variable) => {
      const entry = shared[variable - firstShared];
      return entry === undefined || entry.pattern === null
        ? null
        : { key: entry.key, pattern: entry.pattern };
    }),
    typeRows,
  };
}
