import { leastCommonMultiple } from "../model/divisor.js";
import { bestPieces } from "./best-pieces.js";
import { ColumnEnds } from "./column-ends.js";
import { columnMarks } from "./column-marks.js";
import { FragmentPool } from "./fragment-pool.js";
import { type ColumnTask, Knapsacks, knapsackItems, type Preference } from "./knapsacks.js";
import { type Column, type Columns, columnsPiece, type Piece } from "./piece.js";
import type { TileOption } from "./tile-option.js";

/**
 * Where tiles may share blocks, cutting ever finer would always find room somewhere, at the price of a port a tile:
 * a copy is cut so that its tiles, each in a block of its own, would take at most one unit more than the fewest.
 */
export const EXTRA_UNITS = 1;

/** Of the columns that one option takes, how many at the end are left to a knapsack at most; for the last, two of each other option are tried too. */
const MOST_LEFT = 3;

/**
 * Ways to cover bits of one slab with tiles of some options as deep as the slab: some full columns of one option, and the rest
 * as a knapsack over the width chooses. Made once for all words that are cut alike. Bits are told as in `ColumnEnds`.
 */
export class SlabCovers {
  readonly columns: ColumnEnds;
  readonly fragments: FragmentPool;
  /** Whether a tile can leave anything to share. */
  readonly shareable: boolean;
  /** Native depths, the deepest first. */
  readonly depths: readonly number[];
  /** For each option, what one row of a tile takes of its block, as a multiple of a part that goes into all of them. */
  readonly areas: readonly number[];
  readonly preferences: readonly Preference[];
  private readonly task: ColumnTask;
  private readonly items: (ReturnType<typeof knapsackItems> | undefined)[] = [];
  private readonly knapsacks = new Map<number, Knapsacks>();
  private readonly ranges = new Map<number, Map<number, RangeCovers>>();
  private readonly marks: readonly number[];
  /** Marks of the columns that are made, and where those of one option start: kept, as they are asked for many times. */
  private readonly seen: number[] = [];
  private readonly starts: number[] = [];

  constructor(readonly options: readonly TileOption[]) {
    this.columns = new ColumnEnds(options);
    this.fragments = new FragmentPool(options);
    this.shareable = options.some(({ shareKey }) => shareKey !== null);
    this.depths = [...new Set(options.map(({ shape }) => shape.depth))].sort((a, b) => b - a);
    const whole = this.depths.reduce(leastCommonMultiple);
    this.areas = options.map(({ units, shape }) => (units * whole) / shape.depth);
    this.marks = columnMarks(options.length);
    this.task = { options, ends: this.columns.ends, areas: this.areas };
    const fewestUnits: Preference = { family: null, byArea: false };
    const families = [...new Set(options.map(({ shape }) => shape.family))];
    const ofFamilies = families.flatMap((family) => [
      { family, byArea: true },
      { family, byArea: false },
    ]);
    // Area is what others may use of a block: without sharing only units count.
    this.preferences = this.shareable
      ? [fewestUnits, { family: null, byArea: true }, ...(families.length > 1 ? ofFamilies : [])]
      : [fewestUnits];
  }

  /** Covers of the bits between `from` and `to` bits left. */
  between(from: number, to: number): RangeCovers {
    let ofEnd = this.ranges.get(to);
    if (ofEnd === undefined) {
      ofEnd = new Map();
      this.ranges.set(to, ofEnd);
    }
    let range = ofEnd.get(from);
    if (range === undefined) {
      range = new RangeCovers(this, from, to);
      ofEnd.set(from, range);
    }
    return range;
  }

  /** Fewest units of columns of options as deep as the `level`-th native depth for the bits between; Infinity: there are none. */
  unitsBetween(from: number, to: number, level: number): number {
    const knapsacks = this.knapsacksOf(to, level);
    knapsacks.fill(from, 1);
    return knapsacks.optionAt(0, from) < 0 ? Number.POSITIVE_INFINITY : knapsacks.unitsFrom(0, from);
  }

  /** Columns of options as deep as the `level`-th native depth for the bits between, no two alike in what they consist of. */
  columnsBetween(from: number, to: number, level: number): readonly Columns[] {
    const { options, ends } = this.task;
    const depth = this.depths[level]!;
    const knapsacks = this.knapsacksOf(to, level);
    knapsacks.fill(from, this.preferences.length);
    if (knapsacks.optionAt(0, from) < 0) return [];
    const path = (rest: number, bulk: number, columns: number, place: number, tail = -1) =>
      new Path(this.task, from, rest, to, bulk, columns, knapsacks, place, tail);
    if (!this.shareable) return [path(from, -1, 0, 0)];
    const limit = knapsacks.unitsFrom(0, from) + EXTRA_UNITS;
    const places = [...this.preferences.keys()].filter((place) => knapsacks.isNew(place));
    const found: Columns[] = [];
    const { seen, starts } = this;
    seen.length = 0;
    const isNew = (mark: number) => !seen.includes(mark) && seen.push(mark) > 0;
    for (const place of places) {
      if (knapsacks.optionAt(place, from) < 0 || knapsacks.unitsFrom(place, from) > limit) continue;
      if (isNew(knapsacks.marksFrom(place, from))) found.push(path(from, -1, 0, place));
    }
    for (let index = 0; index < options.length; index++) {
      const { shape, units } = options[index]!;
      if (shape.depth < depth) continue;
      const own = ends[index]!;
      starts.length = 0;
      starts.push(from);
      for (let at = from; at > to && units * starts.length <= limit + units; ) {
        at = Math.max(to, own[at]!);
        starts.push(at);
      }
      for (let back = 1; back <= MOST_LEFT && back < starts.length; back++) {
        const columns = starts.length - back;
        const bulk = columns * units;
        if (bulk > limit) continue;
        const rest = starts[columns]!;
        const mark = columns * this.marks[index]!;
        if (rest === to) {
          if (isNew(mark)) found.push(path(rest, index, columns, 0));
          continue;
        }
        for (const place of places) {
          const next = knapsacks.optionAt(place, rest);
          // With a column of the same option next it is that of one column more.
          if (next < 0 || (next === index && back > 1)) continue;
          if (bulk + knapsacks.unitsFrom(place, rest) > limit) continue;
          if (isNew(mark + knapsacks.marksFrom(place, rest))) found.push(path(rest, index, columns, place));
        }
        if (back > 2) continue;
        for (let tail = 0; tail < options.length; tail++) {
          const narrow = ends[tail]!;
          const first = narrow[rest]!;
          if (first <= to || narrow[first]! > to || options[tail]!.shape.depth < depth) continue;
          if (bulk + 2 * options[tail]!.units > limit) continue;
          if (isNew(mark + 2 * this.marks[tail]!)) found.push(path(rest, index, columns, 0, tail));
        }
      }
    }
    return found;
  }

  /** How to choose the columns of a slab until `to` bits are left, whose least native depth is the `level`-th. */
  private knapsacksOf(to: number, level: number): Knapsacks {
    const key = to * this.depths.length + level;
    let known = this.knapsacks.get(key);
    if (known === undefined) {
      this.items[level] ??= knapsackItems(this.task, this.depths[level]!, this.preferences);
      known = new Knapsacks(this.marks, to, this.items[level]!, this.preferences);
      this.knapsacks.set(key, known);
    }
    known.reach(this.columns.width);
    return known;
  }
}

/** Covers of some bits of a word in slabs of any height. */
export class RangeCovers {
  private readonly units: number[] = [];
  private readonly columns: (readonly Columns[] | undefined)[] = [];
  private readonly covers = new Map<number, readonly Piece[]>();

  constructor(
    private readonly slabs: SlabCovers,
    private readonly from: number,
    private readonly to: number,
  ) {}

  /** Fewest units of one slab of so many rows, each tile in a block of its own; Infinity: no block is as deep. */
  unitsOfSlab(rows: number): number {
    const level = this.levelOf(rows);
    if (level < 0) return Number.POSITIVE_INFINITY;
    this.units[level] ??= this.slabs.unitsBetween(this.from, this.to, level);
    return this.units[level]!;
  }

  private levelOf(rows: number): number {
    const { depths } = this.slabs;
    let level = depths.length - 1;
    while (level >= 0 && depths[level]! < rows) level -= 1;
    return level;
  }

  /** `coversOf` full blocks, kept: they are what memories of any depth have in common. */
  coversOfFull(native: number): readonly Piece[] {
    let known = this.covers.get(native);
    if (known === undefined) {
      known = this.coversOf(native);
      this.covers.set(native, known);
    }
    return known;
  }

  /** Ways to cover one slab of so many rows, as pieces that begin at the first of the bits. */
  coversOf(rows: number): readonly Piece[] {
    const { slabs, from, to } = this;
    const level = this.levelOf(rows);
    if (level < 0) return [];
    this.columns[level] ??= slabs.columnsBetween(from, to, level);
    const height = slabs.fragments.height(rows);
    const found: Piece[] = [];
    for (const columns of this.columns[level]!) found.push(columnsPiece(columns, slabs.options, height));
    return bestPieces(found);
  }
}

/** Columns of each option while they are counted, and the list of those that there are: kept, as they are asked for many times. */
let counted = new Int32Array(32);
const listed: number[] = [];

function countsOf(options: number): Int32Array {
  if (counted.length < options) counted = new Int32Array(2 * options);
  return counted.fill(0, 0, options);
}

/**
 * Columns side by side: some of one option until `rest` bits are left, and from there on those of the option `tail`, or of a knapsack where
 * that is below 0. Listed from bit 0.
 */
class Path implements Columns {
  readonly counts: readonly number[];
  readonly units: number;
  readonly tiles: number;
  readonly rectangles: number;
  readonly first: number;
  readonly last: number;

  constructor(
    private readonly task: ColumnTask,
    private readonly from: number,
    rest: number,
    private readonly to: number,
    private readonly bulk: number,
    private readonly columns: number,
    private readonly knapsacks: Knapsacks,
    private readonly place: number,
    private readonly tail: number,
  ) {
    const { ends, options } = task;
    const of = countsOf(options.length);
    if (columns > 0) of[bulk] = columns;
    let tiles = columns;
    let last = columns > 0 ? bulk : -1;
    let first = last;
    for (let at = rest; at > to; at = ends[last]![at]!) {
      const option = this.optionAt(at);
      of[option]! += 1;
      tiles += 1;
      if (first < 0) first = option;
      last = option;
    }
    let units = 0;
    let sorts = 0;
    for (let index = 0; index < options.length; index++) {
      const count = of[index]!;
      if (count === 0) continue;
      listed[sorts++] = index;
      listed[sorts++] = count;
      units += count * options[index]!.units;
    }
    this.counts = listed.slice(0, sorts);
    this.units = units;
    this.tiles = tiles;
    this.rectangles = sorts / 2;
    this.first = first;
    this.last = last;
  }

  /** The option of the column that begins with so many bits left, after the bulk. */
  private optionAt(at: number): number {
    return this.tail < 0 ? this.knapsacks.optionAt(this.place, at) : this.tail;
  }

  list(): readonly Column[] {
    const { options, ends } = this.task;
    const { from, to } = this;
    const found: Column[] = [];
    let at = from;
    for (let column = 0; at > to; column++) {
      const option = column < this.columns ? this.bulk : this.optionAt(at);
      const end = Math.max(to, ends[option]![at]!);
      found.push({ option: options[option]!, start: from - at, end: from - end });
      at = end;
    }
    return found;
  }
}
