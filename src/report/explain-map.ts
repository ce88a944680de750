import type { Layout, Plan, Tenant } from "../model/index.js";
import { figure } from "./text.js";

/** A tile of one copy as the map draws it. */
interface MapTile {
  readonly rows: readonly [number, number];
  readonly bits: readonly [number, number];
  /** What stands in it: its shape, with a star where its block holds something else too. */
  readonly label: string;
}

/** The tiles of the first copy of the first instance of a layout. */
export function tilesOf(plan: Plan, memory: string, layout: Layout): MapTile[] {
  const instance = layout.instances[0];
  const ours = ({ memory: name, copy, instance: first }: Tenant, repeat: number) =>
    name === memory && copy === 0 && first <= instance && instance < first + repeat;
  return plan.blocks.flatMap(({ tenants, repeat }) =>
    tenants
      .filter((tenant) => ours(tenant, repeat))
      .map(({ rows, bits, shape }) => ({
        rows,
        bits,
        label: tenants.length > 1 ? `${shape}*` : shape,
      })),
  );
}

/** Starts of the pieces that intervals cut a line into, ascending, and the end of the last. */
function edgesOf(intervals: readonly (readonly [number, number])[]): number[] {
  const edges = intervals.flatMap(([first, last]) => [first, last + 1]);
  return [...new Set(edges)].sort((a, b) => a - b);
}

/** A run of like rows or columns of the grid that is drawn as one. */
interface Run {
  readonly from: number;
  /** Rows or columns of the grid; more than 1: alike, each with tiles of its own. */
  readonly count: number;
}

/** Neighbours for which `alike` holds are drawn together. */
function runsOf(count: number, alike: (a: number, b: number) => boolean): Run[] {
  const runs: Run[] = [];
  for (let index = 0; index < count; index += 1) {
    const last = runs.at(-1);
    if (last !== undefined && alike(index - 1, index)) {
      runs[runs.length - 1] = { from: last.from, count: last.count + 1 };
    } else {
      runs.push({ from: index, count: 1 });
    }
  }
  return runs;
}

/** Most rows or columns that are drawn; larger maps are told in words alone. */
const MOST_DRAWN = 16;
/** Most tiles that are looked at. */
const MOST_TILES = 4000;

/**
 * One copy of a memory as a map of its tiles: words from the top down, bits from the most significant on the left. Like
 * columns, and like rows, are drawn as one with their number. Null where it would be larger than `width` characters or
 * 16 rows.
 */
export function tileMap(tiles: readonly MapTile[], width: number): string | null {
  if (tiles.length === 0 || tiles.length > MOST_TILES) return null;
  const rowEdges = edgesOf(tiles.map(({ rows }) => rows));
  // The most significant bit stands on the left.
  const bitEdges = edgesOf(tiles.map(({ bits }) => bits)).reverse();
  const rows = rowEdges.length - 1;
  const columns = bitEdges.length - 1;
  const grid = Array.from({ length: rows }, () => new Array<number>(columns).fill(-1));
  const rowAt = new Map(rowEdges.map((edge, index) => [edge, index]));
  const columnAt = new Map(bitEdges.map((edge, index) => [edge, index]));
  tiles.forEach((tile, id) => {
    for (let row = rowAt.get(tile.rows[0])!; row < rowAt.get(tile.rows[1] + 1)!; row += 1) {
      for (let at = columnAt.get(tile.bits[1] + 1)!; at < columnAt.get(tile.bits[0])!; at += 1) {
        grid[row]![at] = id;
      }
    }
  });
  const label = (row: number, column: number) => tiles[grid[row]![column]!]?.label ?? "";
  const goesOn = (row: number, column: number) => row > 0 && grid[row - 1]![column]! === grid[row]![column]!;
  const all = Array.from({ length: rows }, (_, row) => row);
  const bitsIn = (column: number) => bitEdges[column]! - bitEdges[column + 1]!;
  const columnRuns = runsOf(columns, (a, b) => {
    const alike = (row: number) =>
      label(row, a) === label(row, b) && grid[row]![a] !== grid[row]![b] && goesOn(row, a) === goesOn(row, b);
    return bitsIn(a) === bitsIn(b) && all.every(alike);
  });
  const each = Array.from({ length: columns }, (_, column) => column);
  const rowsIn = (row: number) => rowEdges[row + 1]! - rowEdges[row]!;
  const rowRuns = runsOf(rows, (a, b) => {
    const alike = (column: number) =>
      label(a, column) === label(b, column) && !goesOn(a, column) && !goesOn(b, column);
    return rowsIn(a) === rowsIn(b) && each.every(alike);
  });
  if (rowRuns.length > MOST_DRAWN || columnRuns.length > MOST_DRAWN) return null;

  const heads = columnRuns.map(({ from, count }) => {
    const [high, low] = [bitEdges[from]! - 1, bitEdges[from + count]!];
    return high === low ? `${high}` : `${high}-${low}`;
  });
  const goesAcross = (row: Run, at: number) =>
    at > 0 && grid[row.from]![columnRuns[at - 1]!.from] === grid[row.from]![columnRuns[at]!.from];
  const cell = (row: Run, at: number) => {
    const column = columnRuns[at]!;
    if (goesOn(row.from, column.from) || goesAcross(row, at)) return "";
    const name = label(row.from, column.from);
    const count = row.count * column.count;
    return count > 1 && name !== "" ? `${figure(count)} x ${name}` : name;
  };
  const widths = heads.map((head, at) =>
    Math.max(head.length, ...rowRuns.map((row) => cell(row, at).length)),
  );
  const names = rowRuns.map(
    ({ from, count }) => `${figure(rowEdges[from]!)}-${figure(rowEdges[from + count]! - 1)}`,
  );
  const left = Math.max("words".length, ...names.map((name) => name.length));
  if (left + 1 + widths.reduce((sum, each) => sum + each + 3, 1) > width) return null;

  const rule = (row: Run | undefined) => {
    const parts = columnRuns.map(({ from }, index) => {
      const open = row !== undefined && goesOn(row.from, from);
      return `+${(open ? " " : "-").repeat(widths[index]! + 2)}`;
    });
    return `${" ".repeat(left)} ${parts.join("")}+`;
  };
  const lines = [
    `${"words".padStart(left)}   ${heads.map((head, index) => head.padEnd(widths[index]! + 2)).join(" ")}  bits`,
  ];
  rowRuns.forEach((row, index) => {
    lines.push(rule(index === 0 ? undefined : row));
    const cells = widths.map((room, at) => {
      return `${goesAcross(row, at) ? " " : "|"} ${cell(row, at).padEnd(room)} `;
    });
    lines.push(`${names[index]!.padStart(left)} ${cells.join("")}|`);
  });
  lines.push(rule(undefined));
  return lines.map((line) => line.trimEnd()).join("\n");
}
