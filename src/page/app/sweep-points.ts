import type { Sweep, SweepRow } from "../../advise/sweep/index.js";

/** What points are laid out by from left to right. */
export const MEASURES = ["capacity", "misses", "luts"] as const;
export type Measure = (typeof MEASURES)[number];

/** A row of a sweep as a point of the plot. */
export interface Point {
  readonly row: SweepRow;
  readonly x: number;
  /** Blocks of all pools. */
  readonly y: number;
  /** True where no row that fits has as few blocks and as good an x, and better one of them. */
  readonly best: boolean;
}

function measured(row: SweepRow, measure: Measure): number | null {
  if (measure === "capacity") return row.capacity;
  if (measure === "luts") return row.usage.luts;
  const misses = Object.values(row.caches).map(
    ({ counts, rules }) => counts?.misses ?? rules?.missesBySquareRoot ?? null,
  );
  const known = misses.filter((each) => each !== null);
  return known.length === 0 ? null : known.reduce((sum, each) => sum + each, 0);
}

/** The points of a sweep; more capacity is better, fewer misses and fewer LUTs. Rows without the measure are left out. */
export function pointsOf(sweep: Sweep, measure: Measure): Point[] {
  const sign = measure === "capacity" ? -1 : 1;
  const points = sweep.rows.flatMap((row) => {
    const x = measured(row, measure);
    const y = Object.values(row.usage.blocks).reduce((sum, blocks) => sum + blocks, 0);
    return x === null ? [] : [{ row, x, y }];
  });
  const fitting = points.filter(({ row }) => row.fits);
  const beaten = (point: (typeof points)[number]) =>
    fitting.some(
      ({ x, y }) => x * sign <= point.x * sign && y <= point.y && (x * sign < point.x * sign || y < point.y),
    );
  return points
    .map((point) => ({ ...point, best: point.row.fits && !beaten(point) }))
    .sort((a, b) => a.x - b.x || a.y - b.y);
}

/** True where a value has what the plot needs of a sweep. */
export function isSweep(value: unknown): value is Sweep {
  const sweep = value as Partial<Sweep> | null;
  return sweep?.format === "ramtailor-sweep/1" && Array.isArray(sweep.rows) && Array.isArray(sweep.axes);
}

/** The values of a row, in words: `l1d.ways 4, l1d.size 16 KiB on ecp5-85f`. */
export function rowName({ values, device }: SweepRow): string {
  const parts = Object.entries(values).map(([path, value]) => `${path} ${value}`);
  return `${parts.join(", ")}${parts.length > 0 ? " " : ""}on ${device}`;
}
