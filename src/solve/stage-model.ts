import {
  columnCandidate,
  fragmentTimes,
  halvesAt,
  type Objective,
  type PackProgram,
  pairingExtent,
  sharedByTwo,
  tenantLuts,
  thresholds,
} from "../program/index.js";
import { stepOf } from "./bound.js";
import type { Component } from "./components.js";
import { type Limit, limitsOf, type StageTask, sharedCostOf } from "./limits.js";
import { type Part, partsOf } from "./parts.js";

/** One threshold of the pairing bound of a share key, or the room that all tenants of a key take together. */
export interface ShareRow {
  readonly key: number;
  /** 0 where it is room. */
  readonly threshold: number;
}

/**
 * A stage as flat arrays. Every array over columns is indexed by the column of the pack program; `active` lists those
 * that some part may use.
 */
export interface StageModel {
  readonly task: StageTask;
  readonly pack: PackProgram;
  readonly components: readonly Component[];
  readonly parts: readonly Part[];
  readonly active: Int32Array;
  /** What one of each column adds to the objective. */
  readonly own: readonly number[];
  /** What one shared block of each key adds to the objective. */
  readonly sharedCost: readonly number[];
  readonly limits: readonly Limit[];
  readonly rows: readonly ShareRow[];
  /** First row of each key, and the number of rows at the end. */
  readonly firstRow: Int32Array;
  /** Twice the blocks that one of a column asks for in each row: entries `[start[c], start[c + 1])`. */
  readonly start: Int32Array;
  readonly row: Int32Array;
  readonly halves: Float64Array;
  /** False where more than two share a block: the key's row is a bound, not the number of blocks. */
  readonly exactShares: boolean;
}

/** The model of a stage over the columns of some components, or over those that are left of them. */
export function stageModel(
  task: StageTask,
  components: readonly Component[],
  columns: ReadonlySet<number> | null = null,
): StageModel {
  const { pack } = task;
  const parts = partsOf(pack, components, columns);
  const active = Int32Array.from(
    parts.flatMap(({ requests, configs }) => [
      ...requests.flat(),
      ...(configs ?? []).map(({ column }) => column),
    ]),
  );
  const extents = pack.shareKeys.map(() => new Set<number>());
  const isActive = new Uint8Array(pack.columns.length);
  for (const column of active) isActive[column] = 1;
  /** The fragments of active columns, those of one column after those of the one before. */
  const fragments: { key: number; extent: number; times: number }[] = [];
  const firstFragment = new Int32Array(pack.columns.length + 1);
  pack.columns.forEach((column, index) => {
    if (isActive[index] === 1) {
      for (const fragment of columnCandidate(column)?.fragments ?? []) {
        const key = pack.keyIndex.get(fragment.shareKey)!;
        const shareKey = pack.shareKeys[key]!;
        const extent = pairingExtent(shareKey, fragment);
        extents[key]!.add(extent);
        fragments.push({ key, extent, times: fragmentTimes(pack.choices, column, shareKey) });
      }
    }
    firstFragment[index + 1] = fragments.length;
  });
  const lists = pack.shareKeys.map((key, index) => {
    if (extents[index]!.size === 0) return [];
    return sharedByTwo(key) ? thresholds([...extents[index]!], key.cells) : [0];
  });
  const firstRow = new Int32Array(lists.length + 1);
  const rows: ShareRow[] = [];
  lists.forEach((list, key) => {
    for (const threshold of list) rows.push({ key, threshold });
    firstRow[key + 1] = rows.length;
  });
  const start = new Int32Array(pack.columns.length + 1);
  const row: number[] = [];
  const halves: number[] = [];
  /** Where the entry of each row of the column at hand is. */
  const place = new Int32Array(rows.length).fill(-1);
  pack.columns.forEach((_, index) => {
    const first = row.length;
    for (let f = firstFragment[index]!; f < firstFragment[index + 1]!; f++) {
      const { key, extent, times } = fragments[f]!;
      const shareKey = pack.shareKeys[key]!;
      const { cells } = shareKey;
      const byTwo = sharedByTwo(shareKey);
      lists[key]!.forEach((threshold, step) => {
        const part = byTwo ? halvesAt(extent, threshold, cells) : (2 * extent) / cells;
        if (part === 0) return;
        const at = firstRow[key]! + step;
        if (place[at]! < first) {
          place[at] = row.length;
          row.push(at);
          halves.push(0);
        }
        halves[place[at]!]! += part * times;
      });
    }
    start[index + 1] = row.length;
  });
  return {
    task,
    pack,
    components,
    parts,
    active,
    own: pack.costs[task.objective],
    sharedCost: sharedCostOf(pack, task.objective),
    limits: limitsOf(task),
    rows,
    firstRow,
    start,
    row: Int32Array.from(row),
    halves: Float64Array.from(halves),
    exactShares: pack.shareKeys.every((key, index) => sharedByTwo(key) || extents[index]!.size === 0),
  };
}

/** What one of each column, and one shared block of each key, adds to a weighted sum of objectives. */
export function weightedCosts(pack: PackProgram, aims: readonly { objective: Objective; weight: number }[]) {
  const columns = new Float64Array(pack.columns.length);
  const shared = new Float64Array(pack.shareKeys.length);
  for (const { objective, weight } of aims) {
    pack.costs[objective].forEach((cost, column) => {
      columns[column]! += weight * cost;
    });
    sharedCostOf(pack, objective).forEach((cost, key) => {
      shared[key]! += weight * cost;
    });
  }
  return { columns, shared };
}

/** A whole number that divides every value that an objective can take. */
export function stepIn({ pack, active, rows }: StageModel, objective: Objective): number {
  const shared = sharedCostOf(pack, objective);
  const keys = new Set(rows.map(({ key }) => key));
  const own = Array.from(active, (column) => pack.costs[objective][column]!);
  const multiplexers = Array.from(keys, (key) => pack.shareKeys[key]!).flatMap((key) =>
    objective === "luts" ? tenantLuts(pack, key) : [],
  );
  return stepOf([...own, ...Array.from(keys, (key) => shared[key]!), ...multiplexers]) || 1;
}
