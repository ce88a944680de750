import { byExtent, type Fragment, type FragmentRun, fragmentOf, fragmentsCovered } from "./fragment.js";
import type { TileOption } from "./tile-option.js";

/** `count` tiles of one option, one above the other, that hold bits `[start, end)` of the word. */
export interface Stack {
  readonly option: TileOption;
  readonly start: number;
  readonly end: number;
  readonly firstRow: number;
  /** Rows held by all of them; all but the last are full, each of `slabRows` rows. */
  readonly rows: number;
  readonly slabRows: number;
  readonly count: number;
}

/** Rows of the `index`-th tile of a stack. */
export function tileRows(stack: Stack, index: number): number {
  return Math.min(stack.slabRows, stack.rows - index * stack.slabRows);
}

/** A tiled rectangle while it is being put together: what counts of it, and how to list its stacks. */
export interface Piece {
  /** Units of the pool taken by tiles that cannot share. */
  readonly units: number;
  /** Tiles that can share, largest extent first. */
  readonly shares: readonly FragmentRun[];
  /** Units if every fragment had its block to itself. */
  readonly unshared: number;
  /** Units that it fills, part-filled tiles in part. */
  readonly room: number;
  readonly tiles: number;
  readonly luts: number;
  readonly cascade: number;
  /** Rectangles of one option each, and the options of the first and the last. */
  readonly rectangles: number;
  readonly ends: readonly [first: TileOption | null, last: TileOption | null];
  readonly made: Made;
}

/** Where the stacks of a piece come from. */
type Made =
  | { readonly sort: "nothing" }
  | { readonly sort: "stack"; readonly stack: Stack }
  /** One tile a column, each of `rows` rows. */
  | { readonly sort: "columns"; readonly columns: Columns; readonly rows: number }
  /** `b` begins so many bits and rows further on than `a`. */
  | {
      readonly sort: "join";
      readonly a: Piece;
      readonly b: Piece;
      readonly bits: number;
      readonly rows: number;
    }
  /** So many slabs like the one of `of`, each of `slabRows` rows, one above the other. */
  | { readonly sort: "slabs"; readonly of: Piece; readonly times: number; readonly slabRows: number };

/** Bits `[start, end)` of a word in one block's width. */
export interface Column {
  readonly option: TileOption;
  readonly start: number;
  readonly end: number;
}

/** Columns side by side, listed when they are asked for. */
export interface Columns {
  list(): readonly Column[];
}

/** The piece that holds nothing. */
export const NOTHING: Piece = {
  units: 0,
  shares: [],
  unshared: 0,
  room: 0,
  tiles: 0,
  luts: 0,
  cascade: 0,
  rectangles: 0,
  ends: [null, null],
  made: { sort: "nothing" },
};

const NO_SHARES: readonly FragmentRun[] = [];

/** The stacks of a piece, which begins at bit 0 and row 0. Not by recursion: a wide word has thousands of joins in a chain. */
export function stacksOf(piece: Piece): Stack[] {
  const stacks: Stack[] = [];
  const open = [{ piece, bits: 0, rows: 0, times: 1 }];
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const { bits, rows, times } = next;
    const { made } = next.piece;
    switch (made.sort) {
      case "nothing":
        break;
      case "stack": {
        const { stack } = made;
        stacks.push({
          ...stack,
          start: stack.start + bits,
          end: stack.end + bits,
          firstRow: stack.firstRow + rows,
          rows: times === 1 ? stack.rows : stack.slabRows * times,
          count: stack.count * times,
        });
        break;
      }
      case "columns":
        for (const column of made.columns.list()) {
          stacks.push({
            option: column.option,
            start: column.start + bits,
            end: column.end + bits,
            firstRow: rows,
            rows: made.rows * times,
            slabRows: made.rows,
            count: times,
          });
        }
        break;
      case "join":
        open.push(
          { piece: made.b, bits: bits + made.bits, rows: rows + made.rows, times },
          { ...next, piece: made.a },
        );
        break;
      case "slabs":
        open.push({ ...next, piece: made.of, times: times * made.times });
        break;
    }
  }
  return stacks;
}

/** What tiles leave to share; like tiles share one fragment object, so that lists of them can be merged. */
export class FragmentPool {
  private readonly known = new Map<TileOption, Map<number, FragmentRun | null>>();
  private readonly fragments = new Map<string, Fragment>();

  /** The fragment of one tile of so many rows; null: it leaves nothing to share. */
  of(option: TileOption, rows: number): FragmentRun | null {
    let ofOption = this.known.get(option);
    if (ofOption === undefined) {
      ofOption = new Map();
      this.known.set(option, ofOption);
    }
    let run = ofOption.get(rows);
    if (run === undefined) {
      const made = fragmentOf(option, rows);
      if (made === null) run = null;
      else {
        const key = `${made.shareKey} ${made.extent}`;
        const fragment = this.fragments.get(key) ?? made;
        this.fragments.set(key, fragment);
        run = { fragment, count: 1 };
      }
      ofOption.set(rows, run);
    }
    return run;
  }
}

/** A stack as a piece. */
export function stackPiece(stack: Stack, fragments: FragmentPool, luts: number, cascade: number): Piece {
  const { option, count, slabRows } = stack;
  const last = tileRows(stack, count - 1);
  let units = 0;
  let room = 0;
  let shares = NO_SHARES;
  const full = last === slabRows ? count : count - 1;
  for (const [rows, tiles] of [
    [slabRows, full],
    [last, count - full],
  ] as const) {
    if (tiles === 0) continue;
    const run = fragments.of(option, rows);
    if (run === null) units += option.units * tiles;
    else {
      room += (option.units * tiles * run.fragment.extent) / run.fragment.cells;
      const more = [tiles === 1 ? run : { fragment: run.fragment, count: tiles }];
      shares = shares.length === 0 ? more : mergedRuns(shares, more);
    }
  }
  return {
    units,
    shares,
    unshared: option.units * count,
    room: room + units,
    tiles: count,
    luts,
    cascade,
    rectangles: 1,
    ends: [option, option],
    made: { sort: "stack", stack },
  };
}

function mergedRuns(a: readonly FragmentRun[], b: readonly FragmentRun[]): readonly FragmentRun[] {
  if (a.length === 0) return b;
  if (b.length === 0) return a;
  const merged: FragmentRun[] = [];
  let i = 0;
  let j = 0;
  while (i < a.length && j < b.length) {
    const left = a[i]!;
    const right = b[j]!;
    if (left.fragment === right.fragment) {
      merged.push({ fragment: left.fragment, count: left.count + right.count });
      i += 1;
      j += 1;
    } else if (byExtent(left.fragment, right.fragment) < 0) {
      merged.push(left);
      i += 1;
    } else {
      merged.push(right);
      j += 1;
    }
  }
  while (i < a.length) merged.push(a[i++]!);
  while (j < b.length) merged.push(b[j++]!);
  return merged;
}

/** Two pieces side by side or one above the other: `b` begins so many bits and rows further on. */
export function join(a: Piece, b: Piece, bits: number, rows: number): Piece {
  if (a.tiles === 0) return b;
  if (b.tiles === 0) return a;
  return {
    units: a.units + b.units,
    shares: mergedRuns(a.shares, b.shares),
    unshared: a.unshared + b.unshared,
    room: a.room + b.room,
    tiles: a.tiles + b.tiles,
    luts: a.luts + b.luts,
    cascade: Math.max(a.cascade, b.cascade),
    rectangles: a.rectangles + b.rectangles - (a.ends[1] === b.ends[0] ? 1 : 0),
    ends: [a.ends[0], b.ends[1]],
    made: { sort: "join", a, b, bits, rows },
  };
}

/** So many slabs, each tiled like the piece of one slab. */
export function slabs(piece: Piece, times: number, slabRows: number): Piece {
  if (times === 1) return piece;
  return {
    ...piece,
    units: piece.units * times,
    shares: piece.shares.map(({ fragment, count }) => ({ fragment, count: count * times })),
    unshared: piece.unshared * times,
    room: piece.room * times,
    tiles: piece.tiles * times,
    made: { sort: "slabs", of: piece, times, slabRows },
  };
}

/** Whether `a` is at least as good as `b` in blocks, what is left to share, LUTs, cascade and (last) tile count. */
function pieceDominates(a: Piece, b: Piece): boolean {
  // What stands in for something fills no more.
  if (a.room > b.room + SLACK || a.luts > b.luts || a.cascade > b.cascade || a.units > b.units) return false;
  if (a.units === b.units && a.shares.length === 0 && b.shares.length === 0) {
    return a.luts < b.luts || a.cascade < b.cascade || a.tiles <= b.tiles;
  }
  return fragmentsCovered(a.shares, b.shares, b.units - a.units);
}

/** Floating point slack of room. */
const SLACK = 1e-9;

/**
 * Cuts of one piece that are kept, and those looked at for them. Only pieces with many part-filled tiles have more, which
 * differ in how room is spread over fragments; kept are plain ones, then those with the fewest blocks, then LUTs, then
 * room taken.
 */
const MOST_CUTS = 40;
const MOST_SEEN = 200;

/** Rectangles of one option each that a plain cut has at most: a slab, and below it the bulk of the word beside what is left. */
const PLAIN = 3;

function isPlain({ rectangles }: Piece): boolean {
  return rectangles <= PLAIN;
}

/** What dominates before what it dominates, and of pieces that are alike the one of fewest tiles first. */
function byCost(a: Piece, b: Piece): number {
  return (
    a.unshared - b.unshared ||
    a.luts - b.luts ||
    // A sign, as a fraction would be an object for each comparison.
    Math.sign(a.room - b.room) ||
    a.cascade - b.cascade ||
    a.tiles - b.tiles
  );
}

/** The best of the Pareto set, the best first. */
export function bestPieces(found: readonly Piece[]): Piece[] {
  if (found.length < 2) return [...found];
  const kept: Piece[] = [];
  for (const piece of [...found].sort(byCost)) {
    let dominated = false;
    // The latest first: they are most like it.
    for (let i = kept.length - 1; i >= 0 && !dominated; i--) dominated = pieceDominates(kept[i]!, piece);
    if (!dominated && kept.push(piece) === MOST_SEEN) break;
  }
  if (kept.length <= MOST_CUTS) return kept;
  let others = MOST_CUTS - kept.filter(isPlain).length;
  return kept.filter((piece) => isPlain(piece) || others-- > 0);
}

/** Fewest units that one of the pieces takes if nothing shares; Infinity where there is none. */
export function fewestUnits(found: readonly Piece[]): number {
  let fewest = Number.POSITIVE_INFINITY;
  for (const { unshared } of found) if (unshared < fewest) fewest = unshared;
  return fewest;
}
