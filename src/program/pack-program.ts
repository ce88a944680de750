import { type Candidate, type Choices, cascadeCost, type GroupConfig } from "../candidates/index.js";
import type { Design, Device } from "../model/index.js";
import type { IntegerProgram } from "./integer-program.js";
import { fragmentsByKey, halvesAt, thresholds } from "./share-rows.js";
import { unitWeights } from "./weights.js";

/** One choice: how many instances of a request take a candidate, or how many copies of a group take a layout. */
export type Column =
  | { readonly sort: "request"; readonly owner: number; readonly candidate: Candidate }
  | { readonly sort: "group"; readonly owner: number; readonly config: GroupConfig };

/** Blocks of one kind and family whose two ports serve two fragments. */
export interface ShareKey {
  readonly name: string;
  readonly pool: string;
  readonly units: number;
  readonly cells: number;
}

/** What may be spent: units of a pool, logic units, or logic units used as memory. */
export interface Budget {
  readonly name: string;
  readonly limit: number;
  /** What one of each column spends. */
  readonly spends: readonly number[];
  /** What one shared block of each key spends. */
  readonly shared: readonly number[];
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
  readonly shareKeys: readonly ShareKey[];
  readonly budgets: readonly Budget[];
  /** Objective weight of one shared block of each key. */
  readonly sharedWeight: readonly number[];
  /** Cost of one of each column. */
  readonly costs: Readonly<Record<Objective, readonly number[]>>;
}

/** The candidate behind a column; null for a layout in which all members of a group stand alone. */
export function columnCandidate(column: Column): Candidate | null {
  return column.sort === "request" ? column.candidate : column.config.joined;
}

/** Columns, costs and budgets of a design on a device. */
export function packProgram(choices: Choices, design: Design, device: Device): PackProgram {
  const columns: Column[] = [];
  choices.requests.forEach(({ candidates }, owner) => {
    for (const candidate of candidates) columns.push({ sort: "request", owner, candidate });
  });
  choices.groups.forEach(({ configs }, owner) => {
    for (const config of configs) columns.push({ sort: "group", owner, config });
  });
  const shareKeys: ShareKey[] = [];
  const weights = unitWeights(device, design);
  const chosen = columns.map(columnCandidate);
  for (const candidate of chosen) {
    for (const { shareKey, units, cells } of candidate?.fragments ?? []) {
      if (shareKeys.some(({ name }) => name === shareKey)) continue;
      shareKeys.push({ name: shareKey, pool: candidate!.home, units, cells });
    }
  }
  const budgets: Budget[] = device.pools.map((pool) => {
    const blocks = Math.min(pool.blocks, design.limits.blocks[pool.name] ?? pool.blocks);
    return {
      name: pool.name,
      limit: Math.floor(blocks * pool.unitsPerBlock),
      spends: chosen.map((candidate) => (candidate?.home === pool.name ? candidate.units : 0)),
      shared: shareKeys.map((key) => (key.pool === pool.name ? key.units : 0)),
      weight: weights.get(pool.name)!,
    };
  });
  const none = shareKeys.map(() => 0);
  budgets.push({
    name: "LUT",
    limit: Math.min(device.logic.count, design.limits.luts ?? device.logic.count),
    spends: chosen.map((candidate) => candidate?.luts ?? 0),
    shared: none,
    weight: 1,
  });
  if (device.lutMemory !== null && device.lutMemory.count !== null) {
    budgets.push({
      name: "LUT memory",
      limit: device.lutMemory.count,
      spends: chosen.map((candidate) => candidate?.lutMemory ?? 0),
      shared: none,
      weight: 1,
    });
  }
  return {
    choices,
    columns,
    shareKeys,
    budgets,
    sharedWeight: shareKeys.map((key) => key.units * weights.get(key.pool)!),
    costs: {
      blocks: chosen.map((candidate) =>
        candidate === null ? 0 : candidate.units * (weights.get(candidate.home) ?? 0),
      ),
      luts: chosen.map((candidate) => candidate?.luts ?? 0),
      cascade: chosen.map((candidate) => (candidate === null ? 0 : cascadeCost(candidate))),
    },
  };
}

/** What the integer program minimises and what is already settled. */
export interface Stage {
  readonly minimise: Objective | "overrun";
  /** Objectives of earlier stages with the values that must be kept. */
  readonly settled: readonly { readonly objective: Objective | "overrun"; readonly value: number }[];
  /** Whether budgets are limits, may be overrun at a price, or are left out. */
  readonly budgets: "hard" | "soft" | "none";
  /** Only these columns' owners; null: all. Owners that are left out have no rows. */
  readonly owners: { readonly requests: ReadonlySet<number>; readonly groups: ReadonlySet<number> } | null;
}

/** An integer program and, for each of its variables, the column it counts (-1: a shared block or an overrun). */
export interface StagedProgram {
  readonly program: IntegerProgram;
  readonly columnOf: readonly number[];
}

/** The integer program of one stage. Variables: columns, then shared blocks, then overruns. */
export function stageProgram(pack: PackProgram, stage: Stage): StagedProgram {
  const { columns, shareKeys, budgets, choices } = pack;
  const active = columns
    .map((_, index) => index)
    .filter((index) => {
      const { sort, owner } = columns[index]!;
      if (stage.owners === null) return true;
      return (sort === "request" ? stage.owners.requests : stage.owners.groups).has(owner);
    });
  const variableOf = new Map(active.map((column, variable) => [column, variable]));
  const firstShared = active.length;
  const firstOver = firstShared + shareKeys.length;
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
      pack.sharedWeight.forEach((weight, index) => {
        add(firstShared + index, weight);
      });
    }
    return found;
  };
  const objective = new Map(
    terms(stage.minimise).map(({ variable, coefficient }) => [variable, coefficient]),
  );
  const upper = (column: number) => {
    const { sort, owner } = columns[column]!;
    return sort === "request" ? choices.requests[owner]!.request.instances : choices.groups[owner]!.copies;
  };
  const variables = [
    ...active.map((column, variable) => ({
      name: `x${column}`,
      objective: objective.get(variable) ?? 0,
      upper: upper(column) as number | null,
    })),
    ...shareKeys.map((_, index) => ({
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
  const byOwner = (sort: Column["sort"], owner: number) =>
    active.filter((column) => columns[column]!.sort === sort && columns[column]!.owner === owner);
  choices.requests.forEach(({ request }, owner) => {
    const own = byOwner("request", owner);
    if (stage.owners !== null && !stage.owners.requests.has(owner)) return;
    const row = own.map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 }));
    let grouped = false;
    choices.groups.forEach((group, index) => {
      group.requests.forEach((member, part) => {
        if (member !== owner) return;
        grouped = true;
        for (const column of byOwner("group", index)) {
          const { config } = columns[column] as Extract<Column, { sort: "group" }>;
          const alone = config.alone[part]!;
          if (alone > 0) row.push({ variable: variableOf.get(column)!, coefficient: -alone });
        }
      });
    });
    const right = grouped ? 0 : request.instances;
    rows.push({ name: `r${owner}`, terms: row, lower: right, upper: right });
  });
  choices.groups.forEach((group, owner) => {
    if (stage.owners !== null && !stage.owners.groups.has(owner)) return;
    rows.push({
      name: `g${owner}`,
      terms: byOwner("group", owner).map((column) => ({
        variable: variableOf.get(column)!,
        coefficient: 1,
      })),
      lower: group.copies,
      upper: group.copies,
    });
  });
  shareKeys.forEach((key, index) => {
    const holders = active.flatMap((column) => {
      const fragments = fragmentsByKey(columnCandidate(columns[column]!)?.fragments ?? []).get(key.name);
      return fragments === undefined ? [] : [{ variable: variableOf.get(column)!, fragments }];
    });
    const extents = holders.flatMap(({ fragments }) => fragments.map(({ extent }) => extent));
    thresholds(extents, key.cells).forEach((threshold, step) => {
      const row: { variable: number; coefficient: number }[] = [
        { variable: firstShared + index, coefficient: 2 },
      ];
      for (const { variable, fragments } of holders) {
        const halves = fragments.reduce((sum, { extent }) => sum + halvesAt(extent, threshold, key.cells), 0);
        if (halves > 0) row.push({ variable, coefficient: -halves });
      }
      if (row.length > 1) rows.push({ name: `s${index}_${step}`, terms: row, lower: 0, upper: null });
    });
  });
  if (stage.budgets !== "none") {
    budgets.forEach((budget, index) => {
      const row = active
        .filter((column) => budget.spends[column]! > 0)
        .map((column) => ({ variable: variableOf.get(column)!, coefficient: budget.spends[column]! }));
      budget.shared.forEach((units, key) => {
        if (units > 0) row.push({ variable: firstShared + key, coefficient: units });
      });
      if (row.length === 0) return;
      if (soft) row.push({ variable: firstOver + index, coefficient: -1 });
      rows.push({ name: `b${index}`, terms: row, lower: null, upper: budget.limit });
    });
  }
  stage.settled.forEach(({ objective: settled, value }, index) => {
    const row = terms(settled);
    if (row.length > 0) rows.push({ name: `k${index}`, terms: row, lower: null, upper: value });
  });
  return {
    program: { variables, rows },
    columnOf: [...active, ...variables.slice(active.length).map(() => -1)],
  };
}
