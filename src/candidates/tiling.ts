import { leastCommonMultiple } from "../model/divisor.js";
import { type Logic, multiplexer } from "../model/index.js";
import type { Fragment } from "./fragment.js";
import {
  bestPieces,
  FragmentPool,
  fewestUnits,
  join,
  NOTHING,
  type Piece,
  type Stack,
  slabs,
  stackPiece,
  stacksOf,
} from "./piece.js";
import { SlabCovers } from "./slab-covers.js";
import type { TileOption } from "./tile-option.js";
import { columnEnd, type Word } from "./word.js";

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
}

/**
 * Where tiles may share blocks, cutting ever finer would always find room somewhere, at the price of a port a tile:
 * a copy is cut so that its tiles, each in a block of its own, would take at most one unit more than the fewest.
 */
const EXTRA_UNITS = 1;

/** Vertical strips of one copy, at most. */
const MOST_STRIPS = 4;

/** Floating point slack of costs by area. */
const SLACK = 1e-9;

/** Blocks in depth behind the read multiplexer, counting those that join without one as a single input. */
function muxInputs(option: TileOption, count: number): number {
  const free = option.kind.freeCascade.find(
    (entry) => entry.shape.depth === option.shape.depth && entry.shape.width === option.shape.width,
  );
  return free === undefined ? count : Math.ceil(count / free.blocks);
}

class Tiler {
  private readonly ends: readonly Int32Array[];
  /** For each option, what one row of a tile takes of its block, as a multiple of a part that goes into all of them. */
  private readonly areas: readonly number[];
  private readonly depths: readonly number[];
  /** Most bits of the word that one unit can hold. */
  private readonly bitsOfUnit: number;
  private slabsMade: SlabCovers | null = null;
  private readonly shareable: boolean;
  /**
   * Bits are covered alike so many positions further on: anywhere without write lanes, a stretch further where all stretches
   * are of one width, nowhere else in words of other sorts.
   */
  private readonly period: number;
  private readonly fragments = new FragmentPool();
  private readonly muxCosts = new Map<number, number>();
  private readonly covers = new Map<string, Piece[]>();
  /** Units that a piece of the whole may take, each tile in a block of its own. */
  private mostUnits = Number.POSITIVE_INFINITY;
  private readonly stripsKnown = new Map<number, Piece[]>();

  constructor(private readonly task: TilingTask) {
    const { word, options } = task;
    this.ends = options.map(({ slots, laneBits }) => {
      const ends = new Int32Array(word.width);
      for (let at = 0; at < word.width; at++) ends[at] = columnEnd(word, at, slots, laneBits);
      return ends;
    });
    this.depths = [...new Set(options.map(({ shape }) => shape.depth))].sort((a, b) => b - a);
    const whole = this.depths.reduce(leastCommonMultiple);
    this.areas = options.map(({ units, shape }) => (units * whole) / shape.depth);
    this.bitsOfUnit = options.reduce((most, { units, shape }, index) => {
      const widest = this.ends[index]!.reduce((bits, end, at) => Math.max(bits, end - at), 0);
      return Math.max(most, (widest * shape.depth) / units);
    }, 0);
    this.shareable = options.some(({ shareKey }) => shareKey !== null);
    this.period = periodOf(word);
  }

  private get slabs(): SlabCovers {
    this.slabsMade ??= new SlabCovers({
      options: this.task.options,
      ends: this.ends,
      areas: this.areas,
      depths: this.depths,
      extraUnits: this.shareable ? EXTRA_UNITS : null,
      fragments: this.fragments,
    });
    return this.slabsMade;
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
   * Columns of one shape each over the whole depth, no more than `cap` deep: a knapsack over the width. Costs of one
   * column of an option: `fixed`, `perBit` for each of its bits and, where the first sum is equal, the second.
   */
  private uniform(cap: number, by: "units" | "LUTs" | "area"): Piece | null {
    const { word, depth, options } = this.task;
    const { width } = word;
    const first = new Float64Array(width + 1);
    const second = new Float64Array(width + 1);
    const choice = new Int32Array(width).fill(-1);
    const usable = options.flatMap((option, index) => {
      const count = Math.ceil(depth / option.shape.depth);
      if (count > cap) return [];
      const units = option.units * count;
      const luts = this.muxLuts(1, muxInputs(option, count));
      const area = this.areas[index]!;
      return [{ index, units, luts, area, ends: this.ends[index]! }];
    });
    if (usable.length === 0) return null;
    for (let at = width - 1; at >= 0; at--) {
      for (const { index, units, luts, area, ends } of usable) {
        const end = ends[at]!;
        if (end < width && choice[end]! < 0) continue;
        const own = luts * (end - at);
        const a = first[end]! + (by === "units" ? units : by === "LUTs" ? own : area);
        const b = second[end]! + (by === "LUTs" ? units : own);
        if (choice[at]! >= 0 && (a > first[at]! || (a === first[at]! && b >= second[at]!))) continue;
        choice[at] = index;
        first[at] = a;
        second[at] = b;
      }
    }
    let piece = NOTHING;
    for (let at = 0; at < width; ) {
      const index = choice[at]!;
      if (index < 0) return null;
      const option = options[index]!;
      const end = this.ends[index]![at]!;
      const count = Math.ceil(depth / option.shape.depth);
      const stack = { option, start: at, end, firstRow: 0, rows: depth, slabRows: option.shape.depth, count };
      const luts = this.muxLuts(end - at, muxInputs(option, count));
      piece = join(piece, stackPiece(stack, this.fragments, luts, count), 0, 0);
      at = end;
    }
    return piece;
  }

  /** Ways to cover bits `[from, to)` over `rows` rows, in full slabs of `slabRows`, one tile a slab. */
  private rowCovers(from: number, to: number, rows: number, slabRows: number): readonly Piece[] {
    const shift = -this.period * Math.floor((this.task.word.width - to) / this.period);
    const key = `${from - shift},${to - shift},${slabRows}`;
    let one = this.covers.get(key);
    if (one === undefined) {
      one = this.slabs.covers(from - shift, to - shift, slabRows);
      this.covers.set(key, one);
    }
    const times = rows / slabRows;
    if (times > 1 && this.shareable) {
      const most = fewestUnits(one) + EXTRA_UNITS / times;
      one = one.filter(({ unshared }) => unshared <= most);
    }
    return times === 1 ? one : one.map((piece) => slabs(piece, times, slabRows));
  }

  private withinLimit(found: readonly Piece[]): readonly Piece[] {
    if (!this.shareable) return found;
    const most = fewestUnits(found) + EXTRA_UNITS;
    return found.filter(({ unshared }) => unshared <= most);
  }

  /** All joins of a piece and one that begins so many bits and rows further on that the limit on units allows. */
  private joins(left: readonly Piece[], right: readonly Piece[], bits: number, rows: number): Piece[] {
    const most = this.shareable
      ? fewestUnits(left) + fewestUnits(right) + EXTRA_UNITS
      : Number.POSITIVE_INFINITY;
    const found: Piece[] = [];
    for (const a of left) {
      for (const b of right) if (a.unshared + b.unshared <= most) found.push(join(a, b, bits, rows));
    }
    return found;
  }

  /**
   * Bits `[from, to)` over the whole depth, cut into slabs of native depths in falling order, so that each starts at a
   * multiple of its depth.
   */
  private strip(from: number, to: number): readonly Piece[] {
    const shift = this.period * Math.floor(from / this.period);
    const key = (from - shift) * (this.task.word.width + 1) + to - shift;
    let known = this.stripsKnown.get(key);
    if (known === undefined) {
      known = this.newStrip(from - shift, to - shift);
      this.stripsKnown.set(key, known);
    }
    return known;
  }

  private newStrip(from: number, to: number): Piece[] {
    const { depth, maxCascade } = this.task;
    const cap = maxCascade ?? Number.POSITIVE_INFINITY;
    const found: Piece[] = [];
    let fewest = Number.POSITIVE_INFINITY;
    /** Units of what lies below so many rows, at least. */
    const below = (rows: number) => this.leastUnits(to - from, depth - rows);
    /** What is done with one more slab, or several alike; none where that takes too many units. */
    const slab = (done: readonly Piece[], firstRow: number, rows: number, slabRows: number) => {
      const covers = this.rowCovers(from, to, rows, slabRows);
      const least = fewestUnits(done) + fewestUnits(covers) + below(firstRow + rows);
      if (this.shareable && least > fewest + EXTRA_UNITS) return [];
      return bestPieces(this.joins(done, covers, 0, firstRow));
    };
    const finish = (done: readonly Piece[], deep: number) => {
      const luts = this.muxLuts(to - from, deep);
      for (const piece of done) found.push({ ...piece, luts, cascade: deep });
      fewest = Math.min(fewest, fewestUnits(done));
    };
    const cut = (done: readonly Piece[], firstRow: number, level: number, deep: number) => {
      const left = depth - firstRow;
      if (left === 0) return finish(done, deep);
      if (deep >= cap || done.length === 0) return;
      if (this.shareable && fewestUnits(done) + below(firstRow) > fewest + EXTRA_UNITS) return;
      if (left <= this.depths[0]!) finish(slab(done, firstRow, left, left), deep + 1);
      for (let next = level; next < this.depths.length; next++) {
        const slabRows = this.depths[next]!;
        const full = Math.floor(left / slabRows);
        if (full === 0 || (full === 1 && left === slabRows) || deep + full > cap) continue;
        const rows = full * slabRows;
        cut(slab(done, firstRow, rows, slabRows), firstRow + rows, next + 1, deep + full);
      }
    };
    cut([NOTHING], 0, 0, 0);
    return bestPieces(this.withinLimit(found));
  }

  /** Fewest units that so many bits of the word can take over so many rows. */
  private leastUnits(bits: number, rows = this.task.depth): number {
    return Math.ceil((bits * rows) / this.bitsOfUnit - SLACK);
  }

  /**
   * Vertical strips, each of full columns of one option or all that is left; within a strip, slabs. `known`: pieces of the
   * whole; where tiles can share, nothing is looked at that would take more units than these do and EXTRA_UNITS.
   */
  private strips(known: readonly Piece[]): Piece[] {
    const { word } = this.task;
    if (this.shareable) this.mostUnits = fewestUnits(known) + EXTRA_UNITS;
    const memo = new Map<number, Piece[]>();
    const from = (start: number, stripsLeft: number): Piece[] => {
      const known = memo.get(start);
      if (known !== undefined) return known;
      const found =
        this.leastUnits(start) + this.leastUnits(word.width - start) > this.mostUnits
          ? []
          : [...this.strip(start, word.width)];
      if (start === 0 && this.shareable)
        this.mostUnits = Math.min(this.mostUnits, fewestUnits(found) + EXTRA_UNITS);
      if (stripsLeft > 1) {
        const cuts = new Set<number>();
        for (const ends of this.ends) {
          const bulk = ends[start]! - start;
          let at = start;
          while (at < word.width && ends[at]! - at === bulk && ends[at]! < word.width) at = ends[at]!;
          if (at > start) cuts.add(at);
        }
        for (const cut of cuts) {
          const others = this.leastUnits(start) + this.leastUnits(word.width - cut);
          if (others + this.leastUnits(cut - start) > this.mostUnits) continue;
          const left = this.strip(start, cut);
          if (others + fewestUnits(left) > this.mostUnits) continue;
          if (this.shareable && fewestUnits(left) > fewestUnits(found) + EXTRA_UNITS) continue;
          found.push(...this.joins(left, from(cut, stripsLeft - 1), cut - start, 0));
        }
      }
      const kept = bestPieces(this.withinLimit(found));
      memo.set(start, kept);
      return kept;
    };
    return from(0, MOST_STRIPS);
  }

  /** The Pareto set of tilings. */
  run(): Tiling[] {
    const { options, depth, maxCascade } = this.task;
    const found: Piece[] = [];
    const cap = maxCascade ?? Number.POSITIVE_INFINITY;
    const counts = new Set(options.map(({ shape }) => Math.ceil(depth / shape.depth)));
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
      fragments: piece.shares.flatMap(({ fragment, count }) => Array<Fragment>(count).fill(fragment)),
      tiles: piece.tiles,
      luts: piece.luts,
      cascade: piece.cascade,
    }));
  }
}

function periodOf({ width, stretches, stretchEnd }: Word): number {
  if (stretches <= 1) return 1;
  const first = stretchEnd[0]!;
  const even = stretchEnd.every((end, at) => end === (Math.floor(at / first) + 1) * first);
  return even ? first : width;
}

/**
 * The ways to tile one copy that are worth considering: no other is at least as good in blocks, in what is left to
 * share, in LUTs and in cascade. Empty where no option is legal or the cascade limit forbids all.
 */
export function tilings(task: TilingTask): Tiling[] {
  if (task.options.length === 0) return [];
  return new Tiler(task).run();
}
