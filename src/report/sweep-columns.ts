import type { Sweep, SweepRow } from "../advise/index.js";

/** One figure of a row: how the table and the CSV file show it. */
export interface SweepColumn {
  /** Name as in conditions and in the CSV file. */
  readonly name: string;
  readonly value: (row: SweepRow) => string | number | boolean | null;
}

/** The pools of all devices of a sweep, in the order in which rows have them. */
export function poolsOf({ rows }: Sweep): string[] {
  return [...new Set(rows.flatMap(({ usage }) => Object.keys(usage.blocks)))];
}

/** The caches to show: those that vary, or all where none does. */
export function cachesShown({ rows, varyingCaches }: Sweep): readonly string[] {
  if (varyingCaches.length > 0) return varyingCaches;
  return [...new Set(rows.flatMap(({ caches }) => Object.keys(caches)))];
}

/** Every figure of a row, in order. */
export function sweepColumns(sweep: Sweep): SweepColumn[] {
  const figure = (name: string, value: SweepColumn["value"]): SweepColumn => ({ name, value });
  const cache = (name: string): SweepColumn[] =>
    sweep.trace !== null
      ? [
          figure(`${name}.hit_rate`, ({ caches }) => caches[name]?.hitRate ?? null),
          figure(`${name}.misses`, ({ caches }) => caches[name]?.counts?.misses ?? null),
          figure(`${name}.write_backs`, ({ caches }) => caches[name]?.counts?.writeBacks ?? null),
        ]
      : [
          figure(`${name}.square_root_rule`, ({ caches }) => caches[name]?.rules?.missesBySquareRoot ?? null),
          figure(`${name}.two_to_one_rule`, ({ caches }) => caches[name]?.rules?.directMappedBytes ?? null),
        ];
  return [
    ...sweep.axes.map(({ path }) => figure(path, ({ values }) => values[path] ?? null)),
    figure("device", ({ device }) => device),
    figure("status", ({ status }) => status),
    figure("fits", ({ fits }) => fits),
    ...poolsOf(sweep).map((pool) => figure(`blocks.${pool}`, ({ usage }) => usage.blocks[pool] ?? null)),
    figure("block_bits", ({ usage }) => usage.blockBits),
    figure("efficiency", ({ efficiency }) => efficiency),
    figure("capacity", ({ capacity }) => capacity),
    figure("luts", ({ usage }) => usage.luts),
    figure("registers", ({ usage }) => usage.registers),
    figure("cascade", ({ usage }) => usage.cascade),
    ...cachesShown(sweep).flatMap(cache),
    ...(sweep.pareto === null ? [] : [figure("pareto", ({ pareto }) => pareto)]),
    ...(sweep.devices.length > 1 ? [figure("smallest_device", ({ smallestDevice }) => smallestDevice)] : []),
  ];
}
