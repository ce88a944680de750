import { type Logic, multiplexer } from "../model/index.js";
import { bestPieces, fewestUnits } from "./best-pieces.js";
import { periodOf } from "./column-ends.js";
import type { Fragment } from "./fragment.js";
import { join, NOTHING, Piece, type Stack, slabs, stacksOf } from "./piece.js";
import { mergedShares, NO_SHARES, type Shares } from "./shares.js";
import { EXTRA_UNITS, type RangeCovers, type SlabCovers } from "./slab-covers.js";
import { joinedFreely, type TileOption } from "./tile-option.js";
import type { TilingTables } from "./tiling-tables.js";
import type { Word } from "./word.js";

/** One copy of a word x depth rectangle, tiled. */
export interface Tiling {
  readonly stacks: readonly Stack[];
  /** Units of the pool taken by tiles that cannot share. */
  readonly units: number;
  /** Tiles that can share, largest extent first. */
  readonly fragments: readonly Fragment[];
  readonly tiles: number;
  /** Read multiplexers of all read ports of the copy. */
  readonly luts: number;
  /** Most blocks one above the other. */
  readonly cascade: number;
}

/** What the tiler is asked for. */
export interface TilingTask {
  readonly word: Word;
  readonly depth: number;
  readonly options: readonly TileOption[];
  readonly logic: Logic;
  /** Read ports of the copy, each with a multiplexer of its own. */
  readonly readPorts: number;
  /** Most blocks one above the other; null: no limit. */
  readonly maxCascade: number | null;
  readonly tables: TilingTables;
}

/** Vertical strips of one copy, at most. */
const MOST_STRIPS = 4;

/** Floating point slack of costs by area. */
const SLACK = 1e-9;

/** Blocks in depth behind the read multiplexer, counting those that join without one as a single input. */
function muxInputs(option: TileOption, count: number): number {
  return Math.ceil(count / joinedFreely(option.kind, option.shape));
}

/** A column of one option over the whole depth. */
interface FullColumn {
  readonly index: number;
  readonly option: TileOption;
  readonly count: number;
  readonly units: number;
  readonly area: number;
  /** Read multiplexers of one bit. */
  readonly luts: number;
  readonly ends: readonly number[];
}

/** The option chosen at each position, and the sums from there on; kept, as they are asked for many times. */
const knapsack = { first: new Float64Array(0), second: new Float64Array(0), choice: new Int32Array(0) };

function knapsackFor(width: number): typeof knapsack {
  if (knapsack.choice.length <= width) {
    knapsack.first = new Float64Array(2 * width + 1);
    knapsack.second = new Float64Array(2 * width + 1);
    knapsack.choice = new Int32Array(2 * width + 1);
  }
  return knapsack;
}

/** Fewest units that one of the pieces takes if nothing shares; Infinity where there is none. */
function leastUnshared(found: readonly Piece[]): number {
  return found.reduce((least, { unshared }) => Math.min(least, unshared), Number.POSITIVE_INFINITY);
}

/** Positions in the word are told by the bits from there to its end, as in `ColumnEnds`. */
class Tiler {
  private readonly covers: SlabCovers;
  private readonly ends: readonly (readonly number[])[];
  private readonly depths: readonly number[];
  /** Most bits of the word that one unit can hold. */
  private readonly bitsOfUnit: number;
  private readonly shareable: boolean;
  private readonly period: number;
  private readonly full: readonly FullColumn[];
  private readonly muxCosts = new Map<number, number>();
  /** Units that a piece of the whole may take, each tile in a block of its own. */
  private mostUnits = Number.POSITIVE_INFINITY;
  private readonly stripsKnown = new Map<number, readonly Piece[]>();

  constructor(private readonly task: TilingTask) {
    const { word, options, tables } = task;
    this.covers = tables.coversOf(options, word);
    const { columns, depths, shareable } = this.covers;
    this.ends = columns.ends;
    this.depths = depths;
    this.shareable = shareable;
    this.bitsOfUnit = columns.bitsOfUnit(word.width);
    this.period = periodOf(word);
    this.full = options.map((option, index) => {
      const count = Math.ceil(task.depth / option.shape.depth);
      const luts = this.muxLuts(1, muxInputs(option, count));
      const [area, ends] = [this.covers.areas[index]!, this.ends[index]!];
      return { index, option, count, units: option.units * count, area, luts, ends };
    });
  }

  private muxLuts(bits: number, inputs: number): number {
    let luts = this.muxCosts.get(inputs);
    if (luts === undefined) {
      luts = multiplexer(this.task.logic, inputs).luts;
      this.muxCosts.set(inputs, luts);
    }
    return luts * bits * this.task.readPorts;
  }

  /**
   * Columns of one shape each over the whole depth, no more than `cap` deep: a knapsack over the width. What a column of an
   * option costs is either the same whatever its bits, or for each bit; where the first sum is equal, the second decides.
   */
  private uniform(cap: number, by: "units" | "LUTs" | "area"): Piece | null {
    const { width } = this.task.word;
    const usable = this.full.filter(({ count }) => count <= cap);
    if (usable.length === 0) return null;
    const lutsFirst = by === "LUTs";
    const { first, second, choice } = knapsackFor(width);
    for (let left = 1; left <= width; left++) {
      let best = -1;
      let least = 0;
      let least2 = 0;
      for (let i = 0; i < usable.length; i++) {
        const item = usable[i]!;
        const end = item.ends[left]!;
        if (end > 0 && choice[end]! < 0) continue;
        const luts = item.luts * (left - end);
        const column = by === "area" ? item.area : item.units;
        const a = first[end]! + (lutsFirst ? luts : column);
        if (best >= 0 && a > least) continue;
        const b = second[end]! + (lutsFirst ? column : luts);
        if (best >= 0 && a === least && b >= least2) continue;
        best = item.index;
        least = a;
        least2 = b;
      }
      choice[left] = best;
      first[left] = least;
      second[left] = least2;
    }
    return choice[width]! < 0 ? null : this.fullColumns(choice);
  }

  /** A column of the option chosen at each position, each over the whole depth. */
  private fullColumns(choice: Int32Array): Piece {
    const { word, depth } = this.task;
    const stacks: Stack[] = [];
    let units = 0;
    let unshared = 0;
    let room = 0;
    let luts = 0;
    let cascade = 0;
    let rectangles = 0;
    let shares: Shares = NO_SHARES;
    let last = -1;
    for (let left = word.width; left > 0; ) {
      const index = choice[left]!;
      const { option, count, luts: perBit } = this.full[index]!;
      const slabRows = option.shape.depth;
      const end = this.ends[index]![left]!;
      const [from, to] = [word.width - left, word.width - end];
      stacks.push({ option, start: from, end: to, firstRow: 0, rows: depth, slabRows, count });
      // Tiles above the last are full.
      const open = this.covers.fragments.height(depth - (count - 1) * slabRows).left[index]!;
      const full = open === null ? count : count - 1;
      const inLast = open === null ? 0 : (option.units * open.fragment.extent) / open.fragment.cells;
      if (open !== null) shares = mergedShares(shares, open.one);
      room += inLast + option.units * full;
      units += option.units * full;
      unshared += option.units * count;
      luts += perBit * (left - end);
      cascade = Math.max(cascade, count);
      if (index !== last) rectangles += 1;
      last = index;
      left = end;
    }
    const tiles = stacks.reduce((sum, { count }) => sum + count, 0);
    const made = { sort: "stacks", stacks, shares } as const;
    return new Piece(
      units,
      unshared,
      room,
      tiles,
      luts,
      cascade,
      rectangles,
      choice[word.width]!,
      last,
      made,
    );
  }

  private withinLimit(found: readonly Piece[]): readonly Piece[] {
    if (!this.shareable) return found;
    const most = leastUnshared(found) + EXTRA_UNITS;
    return found.filter(({ unshared }) => unshared <= most);
  }

  /** All joins of a piece and one that begins so many bits and rows further on that limits on units allow. */
  private joins(
    left: readonly Piece[],
    right: readonly Piece[],
    bits: number,
    rows: number,
    limit = Number.POSITIVE_INFINITY,
  ): Piece[] {
    const most = this.shareable
      ? Math.min(limit, fewestUnits(left) + fewestUnits(right) + EXTRA_UNITS)
      : Number.POSITIVE_INFINITY;
    const found: Piece[] = [];
    for (const a of left) {
      for (const b of right) {
        // The best come in rising order of units.
        if (a.unshared + b.unshared > most) break;
        found.push(join(a, b, bits, rows));
      }
    }
    return found;
  }

  /**
   * Bits between over the whole depth, cut into slabs of native depths in falling order, so that each starts at a multiple
   * of its depth.
   */
  private strip(from: number, to: number): readonly Piece[] {
    const shift = this.period * Math.floor(to / this.period);
    const key = (from - shift) * (this.task.word.width + 1) + to - shift;
    let known = this.stripsKnown.get(key);
    if (known === undefined) {
      known = this.newStrip(from - shift, to - shift);
      this.stripsKnown.set(key, known);
    }
    return known;
  }

  private newStrip(from: number, to: number): readonly Piece[] {
    const range = this.covers.between(from, to);
    if (!this.shareable) return bestPieces(this.slabCuts(range, from - to, Number.POSITIVE_INFINITY));
    const least = this.leastUnitsOf(range, this.task.depth, 0);
    const found = this.slabCuts(range, from - to, least);
    const all =
      leastUnshared(found) === least ? found : this.slabCuts(range, from - to, Number.POSITIVE_INFINITY);
    return bestPieces(this.withinLimit(all));
  }

  /**
   * Fewest units, each tile in a block of its own, that so many rows take in slabs of the `level`-th depth or less: what is
   * known before any of them is covered.
   */
  private leastUnitsOf(range: RangeCovers, rows: number, level: number): number {
    const { depths } = this;
    let least = rows <= depths[0]! ? range.unitsOfSlab(rows) : Number.POSITIVE_INFINITY;
    for (let next = level; next < depths.length; next++) {
      const slabRows = depths[next]!;
      const full = Math.floor(rows / slabRows);
      if (full === 0) continue;
      const rest = rows - full * slabRows;
      const units = full * range.unitsOfSlab(slabRows);
      if (units >= least) continue;
      least = Math.min(least, units + (rest === 0 ? 0 : this.leastUnitsOf(range, rest, next + 1)));
    }
    return least;
  }

  /**
   * Cuts of `bits` bits over the whole depth into slabs; where tiles can share, those of no more than `fewest` units and
   * EXTRA_UNITS, or than the fewest that are found.
   */
  private slabCuts(range: RangeCovers, bits: number, fewest: number): Piece[] {
    const { depth, maxCascade } = this.task;
    const { depths, shareable } = this;
    const cap = maxCascade ?? Number.POSITIVE_INFINITY;
    const found: Piece[] = [];
    const lowSlabs = new Map<number, readonly Piece[]>();
    /** Covers of one slab, which is as deep as a block or the last. */
    const coversOf = (rows: number) => {
      if (depths.includes(rows)) return range.coversOfFull(rows);
      const covers = lowSlabs.get(rows) ?? range.coversOf(rows);
      lowSlabs.set(rows, covers);
      return covers;
    };
    let most = fewest + EXTRA_UNITS;
    /** What is done with one more slab, or several alike; none where what is left cannot be done in few enough units. */
    const slab = (
      done: readonly Piece[],
      firstRow: number,
      times: number,
      slabRows: number,
      level: number,
    ) => {
      const rest = depth - firstRow - times * slabRows;
      if (shareable) {
        const units = fewestUnits(done) + times * range.unitsOfSlab(slabRows);
        if (units > most) return [];
        if (rest > 0 && units + this.leastUnitsOf(range, rest, level) > most) return [];
      }
      const covers = this.alike(coversOf(slabRows), times, slabRows);
      // The first slab, and the covers of one are the best already.
      if (firstRow === 0 && times === 1) return covers;
      return bestPieces(this.joins(done, covers, 0, firstRow));
    };
    const finish = (done: readonly Piece[], deep: number) => {
      const luts = this.muxLuts(bits, deep);
      for (const piece of done) found.push(piece.with(luts, deep));
      most = Math.min(most, fewestUnits(done) + EXTRA_UNITS);
    };
    const cut = (done: readonly Piece[], firstRow: number, level: number, deep: number) => {
      const left = depth - firstRow;
      if (left === 0) return finish(done, deep);
      if (deep >= cap || done.length === 0) return;
      if (left <= depths[0]!) finish(slab(done, firstRow, 1, left, level), deep + 1);
      for (let next = level; next < depths.length; next++) {
        const slabRows = depths[next]!;
        const full = Math.floor(left / slabRows);
        if (full === 0 || (full === 1 && left === slabRows) || deep + full > cap) continue;
        cut(
          slab(done, firstRow, full, slabRows, next + 1),
          firstRow + full * slabRows,
          next + 1,
          deep + full,
        );
      }
    };
    cut([NOTHING], 0, 0, 0);
    return found;
  }

  /** Ways to cover so many slabs of `slabRows` rows alike, from those to cover one. */
  private alike(one: readonly Piece[], times: number, slabRows: number): readonly Piece[] {
    if (times === 1) return one;
    const most = this.shareable ? fewestUnits(one) + EXTRA_UNITS / times : Number.POSITIVE_INFINITY;
    const all: Piece[] = [];
    for (const piece of one) if (piece.unshared <= most) all.push(slabs(piece, times, slabRows));
    return all;
  }

  /** Fewest units that so many bits of the word can take over so many rows. */
  private leastUnits(bits: number, rows = this.task.depth): number {
    return Math.ceil((bits * rows) / this.bitsOfUnit - SLACK);
  }

  /**
   * Vertical strips, each of full columns of one option or all that is left; within a strip, slabs. `known`: pieces of the
   * whole; where tiles can share, nothing is looked at that would take more units than these do and EXTRA_UNITS.
   */
  private strips(known: readonly Piece[]): readonly Piece[] {
    const { width } = this.task.word;
    const { shareable } = this;
    if (shareable) for (const { unshared } of known) this.limitTo(unshared);
    const memo = new Map<number, readonly Piece[]>();
    const from = (start: number, stripsLeft: number): readonly Piece[] => {
      const known = memo.get(start);
      if (known !== undefined) return known;
      const least = this.leastUnits(width - start);
      const whole = least + this.leastUnits(start) > this.mostUnits ? [] : this.strip(start, 0);
      if (start === width && shareable) this.limitTo(fewestUnits(whole));
      let fewest = fewestUnits(whole);
      const found = [...whole];
      if (stripsLeft > 1) {
        for (const cut of this.covers.columns.bulkEnds(start)) {
          const others = least + this.leastUnits(cut);
          if (others + this.leastUnits(start - cut) > this.mostUnits) continue;
          const left = this.strip(start, cut);
          if (others + fewestUnits(left) > this.mostUnits) continue;
          if (shareable && fewestUnits(left) > fewest + EXTRA_UNITS) continue;
          const right = from(cut, stripsLeft - 1);
          for (const piece of this.joins(left, right, start - cut, 0, fewest + EXTRA_UNITS)) {
            found.push(piece);
            fewest = Math.min(fewest, piece.unshared);
          }
        }
      }
      const kept = bestPieces(this.withinLimit(found));
      memo.set(start, kept);
      return kept;
    };
    return from(width, MOST_STRIPS);
  }

  private limitTo(units: number): void {
    this.mostUnits = Math.min(this.mostUnits, units + EXTRA_UNITS);
  }

  /** The Pareto set of tilings. */
  run(): Tiling[] {
    const { depth, maxCascade } = this.task;
    const found: Piece[] = [];
    const cap = maxCascade ?? Number.POSITIVE_INFINITY;
    const counts = new Set(this.full.map(({ count }) => count));
    const caps = [...counts].filter((count) => count <= cap).sort((a, b) => b - a);
    for (const by of ["units", "LUTs", "area"] as const) {
      if (by === "area" && !this.shareable) continue;
      // One block deep there is nothing to multiplex.
      if (by === "LUTs" && caps[0] === 1) continue;
      let deepest = Number.POSITIVE_INFINITY;
      for (const most of caps) {
        // What keeps a lower limit by itself is the best of that limit too.
        if (most >= deepest) continue;
        const piece = this.uniform(most, by);
        if (piece === null) break;
        found.push(piece);
        deepest = piece.cascade;
      }
    }
    // Where nothing shares and no block has another above it, the fewest columns are all that counts.
    const inOneSlab = !this.shareable && this.depths.every((native) => native >= depth);
    if (!inOneSlab) found.push(...this.strips(found));
    return bestPieces(this.withinLimit(found)).map((piece) => ({
      stacks: stacksOf(piece),
      units: piece.units,
      fragments: this.covers.fragments.listed(piece.shares),
      tiles: piece.tiles,
      luts: piece.luts,
      cascade: piece.cascade,
    }));
  }
}

/**
 * The ways to tile one copy that are worth considering: no other is at least as good in blocks, in what is left to
 * share, in LUTs and in cascade. Empty where no option is legal or the cascade limit forbids all.
 */
export function tilings(task: TilingTask): Tiling[] {
  if (task.options.length === 0) return [];
  return new Tiler(task).run();
}
