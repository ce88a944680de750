/**
 * The opponent of the `reference` section: HiGHS alone on the plain integer program.
 *
 * One integer variable for each way to hold one memory (each legal home, realisation and mix of shapes that
 * `rawCandidates` lists, none left out because another is better, together with those that the packer itself
 * considers, so that both sides choose from the same space), and one for each sharing pattern (two fragments that fit
 * one block together, or one alone). Rows: instances of each memory, copies of each group, fragments covered by patterns,
 * blocks of each pool, LUTs, LUT memory. No pruning, no bound, no decomposition. Exact twins are merged, which only helps
 * the opponent. Three stages like ours: blocks, then LUTs, then cascade, each with the value of the earlier ones kept.
 *
 * `milliseconds` of the outcome run while HiGHS works, three stages together: from handing over arrays that are ready to
 * the proof. Loading the module is not counted; listing and building is measured by the caller.
 */
import highsModule from "highs";
import { type Candidate, type Choices, cascadeCost } from "../../src/candidates/index.js";
import type { Design, Device } from "../../src/model/index.js";
import { unitWeights } from "../../src/program/weights.js";
import { rawCandidates } from "./raw-candidates.js";

const loadHighs = highsModule as unknown as typeof import("highs")["default"];
let loaded: Promise<import("highs").Highs> | undefined;

/** The objectives in the order in which they count. */
export interface Values {
  readonly blocks: number;
  readonly luts: number;
  readonly cascade: number;
}

/** What became of the plain program. */
export type PlainOutcome =
  | { readonly status: "optimal"; readonly values: Values; readonly milliseconds: number }
  | { readonly status: "infeasible" | "out-of-time"; readonly milliseconds: number };

interface Entry {
  readonly row: number;
  readonly coefficient: number;
}

interface PlainColumn {
  readonly upper: number;
  readonly blocks: number;
  readonly luts: number;
  readonly cascade: number;
  readonly entries: readonly Entry[];
}

/** The plain program as columns and row limits. */
export interface PlainProgram {
  readonly columns: readonly PlainColumn[];
  readonly lower: readonly number[];
  readonly upper: readonly number[];
  /** Columns that are sharing patterns. */
  readonly patterns: number;
}

/** What a plan can tell of a candidate; twins have the same. */
function signature(candidate: Candidate): string {
  const { home, units, luts, lutMemory } = candidate;
  const fragments = candidate.fragments.map(({ shareKey, extent }) => `${shareKey}:${extent}`).sort();
  return JSON.stringify([home, units, luts, lutMemory, cascadeCost(candidate), fragments]);
}

function withoutTwins(candidates: readonly Candidate[]): Candidate[] {
  return [...new Map(candidates.map((candidate) => [signature(candidate), candidate])).values()];
}

/** Candidates of every memory: those of the packer (`listed`), and with `raw` also all that no pruning has left out. */
function candidatesOf(choices: Choices, design: Design, device: Device, raw: boolean): Candidate[][] {
  return choices.requests.map(({ request, candidates }) =>
    withoutTwins(raw ? [...candidates, ...rawCandidates(design, device, request, candidates)] : candidates),
  );
}

/**
 * The plain program of a design. `raw` false: only the candidates that the packer considers. Throws RangeError where tenants
 * take turns in a block (pumping, large exclusive groups): its patterns have two tenants at most.
 */
export function plainProgram(choices: Choices, design: Design, device: Device, raw = true): PlainProgram {
  const weights = unitWeights(device, design);
  const lists = candidatesOf(choices, design, device, raw);
  const lower: number[] = [];
  const upper: number[] = [];
  const rowAt = (from: number, to: number) => {
    lower.push(from);
    upper.push(to);
    return lower.length - 1;
  };
  const grouped = new Set(choices.groups.flatMap(({ requests }) => requests));
  const memoryRows = choices.requests.map(({ request }, index) => {
    const right = grouped.has(index) ? 0 : request.instances;
    return rowAt(right, right);
  });
  const groupRows = choices.groups.map(({ copies }) => rowAt(copies, copies));
  const stackRows = choices.groups.map(({ stacks }) => stacks.map(() => rowAt(0, 0)));
  const poolRows = new Map(
    device.pools.map(({ name, blocks, unitsPerBlock }) => [
      name,
      rowAt(
        Number.NEGATIVE_INFINITY,
        Math.floor(Math.min(blocks, design.limits.blocks[name] ?? blocks) * unitsPerBlock),
      ),
    ]),
  );
  const lutRow = rowAt(
    Number.NEGATIVE_INFINITY,
    Math.min(device.logic.count, design.limits.luts ?? device.logic.count),
  );
  const lutMemoryRow = rowAt(Number.NEGATIVE_INFINITY, device.lutMemory?.count ?? Number.POSITIVE_INFINITY);
  const all = [
    ...lists.flat(),
    ...choices.groups.flatMap(({ configs, stacks }) => [
      ...configs.map(({ joined }) => joined),
      ...stacks.flatMap(({ candidates }) => candidates),
    ]),
  ];
  /** For each share key, its pool, units and cells, and the row of each extent that occurs. */
  const keys = new Map<string, { pool: string; units: number; cells: number; rows: Map<number, number> }>();
  for (const candidate of all) {
    for (const { shareKey, extent, units, cells, stack } of candidate?.fragments ?? []) {
      if (stack !== null) throw new RangeError("the plain program has patterns of two tenants only");
      let key = keys.get(shareKey);
      if (key === undefined) {
        key = { pool: candidate!.home, units, cells, rows: new Map() };
        keys.set(shareKey, key);
      }
      if (!key.rows.has(extent)) key.rows.set(extent, rowAt(0, Number.POSITIVE_INFINITY));
    }
  }
  const columns: PlainColumn[] = [];
  const add = (candidate: Candidate | null, most: number, owners: readonly Entry[]) => {
    const entries = [...owners];
    const count = (row: number, coefficient: number) => {
      if (coefficient !== 0) entries.push({ row, coefficient });
    };
    if (candidate !== null) {
      const poolRow = poolRows.get(candidate.home);
      if (poolRow !== undefined) count(poolRow, candidate.units);
      count(lutRow, candidate.luts);
      count(lutMemoryRow, candidate.lutMemory);
      const covered = new Map<number, number>();
      for (const { shareKey, extent } of candidate.fragments) {
        const row = keys.get(shareKey)!.rows.get(extent)!;
        covered.set(row, (covered.get(row) ?? 0) + 1);
      }
      for (const [row, fragments] of covered) count(row, -fragments);
    }
    columns.push({
      upper: most,
      blocks: candidate === null ? 0 : candidate.units * (weights.get(candidate.home) ?? 0),
      luts: candidate?.luts ?? 0,
      cascade: candidate === null ? 0 : cascadeCost(candidate),
      entries,
    });
  };
  lists.forEach((candidates, owner) => {
    const { instances } = choices.requests[owner]!.request;
    for (const candidate of candidates) {
      add(candidate, instances, [{ row: memoryRows[owner]!, coefficient: 1 }]);
    }
  });
  choices.groups.forEach((group, owner) => {
    for (const config of group.configs) {
      const alone = config.alone.flatMap((members, part) =>
        members === 0 ? [] : [{ row: memoryRows[group.requests[part]!]!, coefficient: -members }],
      );
      const stacked = config.stacks.flatMap((stacks, sort) =>
        stacks === 0 ? [] : [{ row: stackRows[owner]![sort]!, coefficient: -stacks }],
      );
      add(config.joined, group.copies, [{ row: groupRows[owner]!, coefficient: 1 }, ...alone, ...stacked]);
    }
    group.stacks.forEach(({ candidates }, sort) => {
      const most = group.copies * Math.max(0, ...group.configs.map(({ stacks }) => stacks[sort]!));
      for (const candidate of candidates) {
        add(candidate, most, [{ row: stackRows[owner]![sort]!, coefficient: 1 }]);
      }
    });
  });
  const held = columns.length;
  for (const { pool, units, cells, rows } of keys.values()) {
    const pattern = (...entries: Entry[]) => {
      columns.push({
        upper: Number.POSITIVE_INFINITY,
        blocks: units * weights.get(pool)!,
        luts: 0,
        cascade: 0,
        entries: [{ row: poolRows.get(pool)!, coefficient: units }, ...entries],
      });
    };
    const extents = [...rows].sort(([a], [b]) => a - b);
    extents.forEach(([extent, row], index) => {
      pattern({ row, coefficient: 1 });
      if (2 * extent <= cells) pattern({ row, coefficient: 2 });
      for (const [other, otherRow] of extents.slice(index + 1)) {
        if (extent + other > cells) break;
        pattern({ row, coefficient: 1 }, { row: otherRow, coefficient: 1 });
      }
    });
  }
  return { columns, lower, upper, patterns: columns.length - held };
}

type Objective = keyof Values;
const STAGES: readonly Objective[] = ["blocks", "luts", "cascade"];

function modelData(
  program: PlainProgram,
  minimise: Objective,
  settled: Partial<Values>,
  highs: import("highs").Highs,
) {
  const kept = STAGES.filter((objective) => settled[objective] !== undefined);
  const rows = program.lower.length;
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const column of program.columns) {
    for (const { row, coefficient } of column.entries) {
      indices.push(row);
      values.push(coefficient);
    }
    kept.forEach((objective, index) => {
      if (column[objective] === 0) return;
      indices.push(rows + index);
      values.push(column[objective]);
    });
    starts.push(indices.length);
  }
  const finite = (value: number) =>
    Number.isFinite(value) ? value : value > 0 ? highs.infinity : -highs.infinity;
  const size = { numCols: program.columns.length, numRows: rows + kept.length };
  return {
    ...size,
    colCost: program.columns.map((column) => column[minimise]),
    colLower: program.columns.map(() => 0),
    colUpper: program.columns.map((column) => finite(column.upper)),
    rowLower: [...program.lower.map(finite), ...kept.map(() => -highs.infinity)],
    rowUpper: [...program.upper.map(finite), ...kept.map((objective) => settled[objective]!)],
    matrix: { format: "csc" as const, ...size, starts, indices, values },
    integrality: program.columns.map(() => highs.constants.variableType.integer),
  };
}

/** Loads HiGHS, so that no clock counts it. */
export function warmHighs(): Promise<import("highs").Highs> {
  loaded ??= loadHighs();
  return loaded;
}

/**
 * Solves the three stages in this thread, with HiGHS's own defaults but for the relative gap, which is 0: the value has
 * to be proven. HiGHS keeps the limit for all stages together by itself.
 */
export async function solvePlain(program: PlainProgram, limitMs: number): Promise<PlainOutcome> {
  const highs = await warmHighs();
  const { modelStatus } = highs.constants;
  const settled: { -readonly [K in Objective]?: number } = {};
  let milliseconds = 0;
  for (const objective of STAGES) {
    if (!program.columns.some((column) => column[objective] !== 0)) {
      settled[objective] = 0;
      continue;
    }
    const data = modelData(program, objective, settled, highs);
    const left = (limitMs - milliseconds) / 1000;
    if (left <= 0) return { status: "out-of-time", milliseconds };
    const started = performance.now();
    const [status, value] = highs.withModel(data, (model) => {
      model.options.set({ output_flag: false, time_limit: left, mip_rel_gap: 0 });
      model.run();
      const reached = model.getModelStatus();
      return [reached, reached === modelStatus.optimal ? model.getObjectiveValue() : Number.NaN] as const;
    });
    milliseconds += performance.now() - started;
    if (status === modelStatus.infeasible) return { status: "infeasible", milliseconds };
    if (status !== modelStatus.optimal) return { status: "out-of-time", milliseconds };
    settled[objective] = Math.round(value);
  }
  return { status: "optimal", values: settled as Values, milliseconds };
}
