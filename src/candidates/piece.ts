import type { Height } from "./fragment-pool.js";
import { mergedShares, NO_SHARES, type Shares, timesShares } from "./shares.js";
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

/** Bits `[start, end)` of a word in one block's width. */
export interface Column {
  readonly option: TileOption;
  readonly start: number;
  readonly end: number;
}

/** Columns side by side, whatever rows they have. Options are told by their index. */
export interface Columns {
  /** Options that columns are of, in ascending order, each with how many. */
  readonly counts: readonly number[];
  /** Units of all blocks. */
  readonly units: number;
  readonly tiles: number;
  /** One for each option, in whatever order its columns stand. */
  readonly rectangles: number;
  readonly first: number;
  readonly last: number;
  list(): readonly Column[];
}

/** Where the stacks of a piece come from. */
type Made =
  | { readonly sort: "stacks"; readonly stacks: readonly Stack[]; readonly shares: Shares }
  /** One tile a column. */
  | { readonly sort: "columns"; readonly columns: Columns; readonly height: Height }
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

/** A tiled rectangle while it is being put together: what counts of it, and how to list its stacks. */
export class Piece {
  private listed: Shares | null = null;

  constructor(
    /** Units of the pool taken by tiles that cannot share. */
    readonly units: number,
    /** Units if every fragment had its block to itself. */
    readonly unshared: number,
    /** Units that it fills, part-filled tiles in part. */
    readonly room: number,
    readonly tiles: number,
    readonly luts: number,
    readonly cascade: number,
    /** Rectangles of one option each, and the options of the first and the last; those of the plainest piece that it stands in for. */
    readonly rectangles: number,
    readonly first: number,
    readonly last: number,
    readonly made: Made,
  ) {}

  /** Tiles that can share. Listed when they are asked for: most pieces are told from better ones by less. */
  get shares(): Shares {
    this.listed ??= this.unshared === this.units ? NO_SHARES : sharesOf(this.made);
    return this.listed;
  }

  /** The same with other logic. */
  with(luts: number, cascade: number): Piece {
    return this.changed(luts, cascade, this);
  }

  /** The same, counted as plain as one that it can stand in for. */
  standingFor(plain: Piece): Piece {
    return this.changed(this.luts, this.cascade, plain);
  }

  private changed(luts: number, cascade: number, { rectangles, first, last }: Piece): Piece {
    const { units, unshared, room, tiles, made } = this;
    const piece = new Piece(units, unshared, room, tiles, luts, cascade, rectangles, first, last, made);
    piece.listed = this.listed;
    return piece;
  }
}

function sharesOf(made: Made): Shares {
  switch (made.sort) {
    case "stacks":
      return made.shares;
    case "columns":
      return columnShares(made.columns, made.height);
    case "join":
      return mergedShares(made.a.shares, made.b.shares);
    case "slabs":
      return timesShares(made.of.shares, made.times);
  }
}

function columnShares({ counts }: Columns, { left, order }: Height): Shares {
  let shares: Shares = NO_SHARES;
  for (let place = 0; place < order.length; place++) {
    const index = order[place]!;
    for (let at = 0; at < counts.length; at += 2) {
      if (counts[at] === index) shares = mergedShares(shares, timesShares(left[index]!.one, counts[at + 1]!));
    }
  }
  return shares;
}

/** The piece that holds nothing. */
export const NOTHING = new Piece(0, 0, 0, 0, 0, 0, 0, -1, -1, {
  sort: "stacks",
  stacks: [],
  shares: NO_SHARES,
});

/** The stacks of a piece, which begins at bit 0 and row 0. */
export function stacksOf(piece: Piece): Stack[] {
  const stacks: Stack[] = [];
  const list = ({ made }: Piece, bits: number, rows: number, times: number): void => {
    switch (made.sort) {
      case "stacks":
        // Only pieces of the whole are made of stacks.
        stacks.push(...made.stacks);
        break;
      case "columns":
        for (const { option, start, end } of made.columns.list()) {
          stacks.push({
            option,
            start: start + bits,
            end: end + bits,
            firstRow: rows,
            rows: made.height.rows * times,
            slabRows: made.height.rows,
            count: times,
          });
        }
        break;
      case "join":
        list(made.a, bits, rows, times);
        list(made.b, bits + made.bits, rows + made.rows, times);
        break;
      case "slabs":
        list(made.of, bits, rows, times * made.times);
        break;
    }
  };
  list(piece, 0, 0, 1);
  return stacks;
}

/** Columns as a piece of so many rows. */
export function columnsPiece(columns: Columns, options: readonly TileOption[], height: Height): Piece {
  const { counts, units: all, tiles, rectangles, first, last } = columns;
  let units = 0;
  let room = 0;
  for (let at = 0; at < counts.length; at += 2) {
    const index = counts[at]!;
    const taken = options[index]!.units * counts[at + 1]!;
    const left = height.left[index]!;
    if (left === null) units += taken;
    else room += (taken * left.fragment.extent) / left.fragment.cells;
  }
  const made = { sort: "columns", columns, height } as const;
  return new Piece(units, all, room + units, tiles, 0, 0, rectangles, first, last, made);
}

/** Two pieces side by side or one above the other: `b` begins so many bits and rows further on. */
export function join(a: Piece, b: Piece, bits: number, rows: number): Piece {
  if (a.tiles === 0) return b;
  if (b.tiles === 0) return a;
  return new Piece(
    a.units + b.units,
    a.unshared + b.unshared,
    a.room + b.room,
    a.tiles + b.tiles,
    a.luts + b.luts,
    Math.max(a.cascade, b.cascade),
    a.rectangles + b.rectangles - (a.last === b.first ? 1 : 0),
    a.first,
    b.last,
    { sort: "join", a, b, bits, rows },
  );
}

/** So many slabs, each tiled like the piece of one slab. */
export function slabs(of: Piece, times: number, slabRows: number): Piece {
  if (times === 1) return of;
  return new Piece(
    of.units * times,
    of.unshared * times,
    of.room * times,
    of.tiles * times,
    of.luts,
    of.cascade,
    of.rectangles,
    of.first,
    of.last,
    { sort: "slabs", of, times, slabRows },
  );
}
