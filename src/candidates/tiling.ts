import { type Logic, multiplexer, shapeBits } from "../model/index.js";
import { paretoSet } from "./pareto.js";
import type { StackRule, TileOption } from "./tile-option.js";
import { columnEnd, type Word } from "./word.js";

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

/** A tile that leaves room and a port: `extent` of its block's `cells` are spoken for. */
export interface Fragment {
  readonly shareKey: string;
  readonly extent: number;
  /** Cells that the shapes of this family reach. */
  readonly cells: number;
  readonly units: number;
  /** Set where the tenants of the block take turns at its ports. */
  readonly stack: StackDemand | null;
}

/** What a fragment takes of a block whose tenants take turns. */
export interface StackDemand {
  readonly rule: StackRule;
  readonly rows: number;
  readonly turns: readonly [a: number, b: number];
  /** Who may have only one tenant in the block; null where that does not matter. */
  readonly owner: string | null;
}

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

const EMPTY: Tiling = { stacks: [], units: 0, fragments: [], tiles: 0, luts: 0, cascade: 0 };

/** Rows of the `index`-th tile of a stack. */
export function tileRows(stack: Stack, index: number): number {
  return Math.min(stack.slabRows, stack.rows - index * stack.slabRows);
}

/** What a tile of so many rows leaves to share; null where it leaves no room or no port. */
export function fragmentOf(option: TileOption, rows: number): Fragment | null {
  const { shareKey, stackRule, owner, turns, units, shape } = option;
  if (shareKey === null) return null;
  const extent = rows * shape.width;
  const cells = shapeBits(shape);
  if (extent >= cells) return null;
  const stack = stackRule === null ? null : { rule: stackRule, rows, turns, owner };
  return { shareKey, extent, cells, units, stack };
}

/** The same tiling further along the word and the rows. */
function shifted(tiling: Tiling, bits: number, rows: number): Tiling {
  if (bits === 0 && rows === 0) return tiling;
  const stacks = tiling.stacks.map((stack) => ({
    ...stack,
    start: stack.start + bits,
    end: stack.end + bits,
    firstRow: stack.firstRow + rows,
  }));
  return { ...tiling, stacks };
}

/** The Pareto set; tilings that differ in nothing that counts are compared once. */
function bestTilings(found: readonly Tiling[]): Tiling[] {
  const distinct = new Map<string, Tiling>();
  for (const tiling of found) {
    const { units, luts, cascade, tiles, fragments } = tiling;
    const shares = fragments.map(({ shareKey, extent }) => `${shareKey} ${extent}`).join();
    const key = `${units},${luts},${cascade},${shares}`;
    const known = distinct.get(key);
    if (known === undefined || tiles < known.tiles) distinct.set(key, tiling);
  }
  const best = paretoSet([...distinct.values()], tilingDominates);
  if (best.length <= MOST_CUTS) return best;
  const extent = ({ fragments }: Tiling) =>
    fragments.reduce((sum, fragment) => sum + fragment.extent / fragment.cells, 0);
  return best
    .map((tiling) => ({ tiling, rank: [unshared(tiling), tiling.luts, tiling.units + extent(tiling)] }))
    .sort((a, b) => a.rank[0]! - b.rank[0]! || a.rank[1]! - b.rank[1]! || a.rank[2]! - b.rank[2]!)
    .slice(0, MOST_CUTS)
    .map(({ tiling }) => tiling);
}

function byExtent(a: Fragment, b: Fragment): number {
  return b.extent - a.extent || (a.shareKey < b.shareKey ? -1 : a.shareKey > b.shareKey ? 1 : 0);
}

function stackTiling(stack: Stack): Tiling {
  let units = 0;
  const fragments: Fragment[] = [];
  const last = tileRows(stack, stack.count - 1);
  const add = (rows: number, count: number) => {
    const fragment = fragmentOf(stack.option, rows);
    if (fragment === null) units += stack.option.units * count;
    else for (let i = 0; i < count; i++) fragments.push(fragment);
  };
  add(stack.slabRows, stack.count - 1);
  add(last, 1);
  fragments.sort(byExtent);
  return { stacks: [stack], units, fragments, tiles: stack.count, luts: 0, cascade: 0 };
}

function join(a: Tiling, b: Tiling): Tiling {
  if (a.stacks.length === 0) return b;
  if (b.stacks.length === 0) return a;
  return {
    stacks: [...a.stacks, ...b.stacks],
    units: a.units + b.units,
    fragments:
      a.fragments.length + b.fragments.length === 0 ? [] : [...a.fragments, ...b.fragments].sort(byExtent),
    tiles: a.tiles + b.tiles,
    luts: a.luts + b.luts,
    cascade: Math.max(a.cascade, b.cascade),
  };
}

function standsIn(a: Fragment, b: Fragment): boolean {
  if (a.shareKey !== b.shareKey || a.extent > b.extent || a.stack?.owner !== b.stack?.owner) return false;
  if (a.stack === null || b.stack === null) return true;
  return a.stack.turns[0] <= b.stack.turns[0] && a.stack.turns[1] <= b.stack.turns[1];
}

/**
 * Whether fragments `a` are never worse to place than fragments `b` plus `spare` units of whole blocks: each of `a`
 * stands in for one of `b` of its key that is no smaller, or for a whole block.
 */
export function fragmentsCovered(a: readonly Fragment[], b: readonly Fragment[], spare: number): boolean {
  let left = spare;
  const free = [...b];
  for (const fragment of a) {
    const index = free.findIndex((other) => standsIn(fragment, other));
    if (index >= 0) free.splice(index, 1);
    else left -= fragment.units;
    if (left < 0) return false;
  }
  return true;
}

/** Whether `a` is at least as good as `b` in blocks, what is left to share, LUTs, cascade and (last) tile count. */
export function tilingDominates(a: Tiling, b: Tiling): boolean {
  if (a.luts > b.luts || a.cascade > b.cascade || a.units > b.units) return false;
  if (a.units === b.units && a.fragments.length === 0 && b.fragments.length === 0) {
    return a.luts < b.luts || a.cascade < b.cascade || a.tiles <= b.tiles;
  }
  return fragmentsCovered(a.fragments, b.fragments, b.units - a.units);
}

/**
 * Where tiles may share blocks, cutting ever finer would always find room somewhere, at the price of a port a tile:
 * a copy is cut so that its tiles, each in a block of its own, would take at most one unit more than the fewest.
 */
const EXTRA_UNITS = 1;

/**
 * Cuts of one piece that are kept. Only pieces with many part-filled tiles have more, which differ in how room is
 * spread over fragments; kept are those with the fewest blocks, then LUTs, then room taken.
 */
const MOST_CUTS = 40;

/** Units if every fragment had its block to itself. */
function unshared({ units, fragments }: Tiling): number {
  return fragments.reduce((sum, fragment) => sum + fragment.units, units);
}

function withinUnitLimit(found: readonly Tiling[]): Tiling[] {
  const fewest = Math.min(...found.map(unshared));
  return found.filter((tiling) => unshared(tiling) <= fewest + EXTRA_UNITS);
}

/** Blocks in depth behind the read multiplexer, counting those that join without one as a single input. */
function muxInputs(option: TileOption, count: number): number {
  const free = option.kind.freeCascade.find(
    (entry) => entry.shape.depth === option.shape.depth && entry.shape.width === option.shape.width,
  );
  return free === undefined ? count : Math.ceil(count / free.blocks);
}

class Tiler {
  private readonly ends: Int32Array[];
  private readonly depths: number[];
  private readonly muxCosts = new Map<number, number>();
  private readonly covers = new Map<string, Tiling[]>();
  private readonly shareable: boolean;

  constructor(private readonly task: TilingTask) {
    const { word, options } = task;
    this.ends = options.map((option) => {
      const ends = new Int32Array(word.width);
      for (let at = 0; at < word.width; at++) ends[at] = columnEnd(word, at, option.slots, option.laneBits);
      return ends;
    });
    this.depths = [...new Set(options.map((option) => option.shape.depth))].sort((a, b) => b - a);
    this.shareable = options.some((option) => option.shareKey !== null);
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
   * Columns of one shape each over the whole depth, no more than `cap` deep: a knapsack over the width.
   * `cost` is compared part by part.
   */
  private uniform(
    cap: number,
    cost: (stack: Stack, luts: number) => readonly [number, number],
  ): Tiling | null {
    const { word, depth, options } = this.task;
    const best: ({ cost: [number, number]; option: number } | null)[] = Array(word.width).fill(null);
    for (let at = word.width - 1; at >= 0; at--) {
      options.forEach((option, index) => {
        const end = this.ends[index]![at]!;
        const count = Math.ceil(depth / option.shape.depth);
        if (count > cap) return;
        const rest = end === word.width ? [0, 0] : best[end]?.cost;
        if (rest === undefined) return;
        const stack = this.stack(option, at, end, 0, depth, option.shape.depth);
        const own = cost(stack, this.muxLuts(end - at, muxInputs(option, count)));
        const total: [number, number] = [own[0] + rest[0]!, own[1] + rest[1]!];
        const old = best[at];
        if (
          old === null ||
          old === undefined ||
          total[0] < old.cost[0] - 1e-9 ||
          (Math.abs(total[0] - old.cost[0]) <= 1e-9 && total[1] < old.cost[1])
        ) {
          best[at] = { cost: total, option: index };
        }
      });
    }
    let tiling = EMPTY;
    for (let at = 0; at < word.width; ) {
      const choice = best[at];
      if (choice === null || choice === undefined) return null;
      const option = options[choice.option]!;
      const end = this.ends[choice.option]![at]!;
      const stack = this.stack(option, at, end, 0, depth, option.shape.depth);
      tiling = join(tiling, {
        ...stackTiling(stack),
        luts: this.muxLuts(end - at, muxInputs(option, stack.count)),
        cascade: stack.count,
      });
      at = end;
    }
    return tiling;
  }

  private stack(
    option: TileOption,
    start: number,
    end: number,
    firstRow: number,
    rows: number,
    slabRows: number,
  ): Stack {
    return { option, start, end, firstRow, rows, slabRows, count: Math.ceil(rows / slabRows) };
  }

  /** Ways to cover bits `[from, to)` over `rows` rows from `firstRow`, in slabs of `slabRows`, one tile a slab. */
  private rowCovers(from: number, to: number, firstRow: number, rows: number, slabRows: number): Tiling[] {
    // Without write lanes the same width is covered alike wherever it starts.
    const shift = this.task.word.stretches > 1 ? 0 : from;
    const key = `${from - shift},${to - shift},${rows},${slabRows}`;
    let known = this.covers.get(key);
    if (known === undefined) {
      known = this.newRowCovers(from - shift, to - shift, rows, slabRows);
      this.covers.set(key, known);
    }
    return known.map((tiling) => shifted(tiling, shift, firstRow));
  }

  private newRowCovers(from: number, to: number, rows: number, slabRows: number): Tiling[] {
    const firstRow = 0;
    const height = Math.min(rows, slabRows);
    const { options } = this.task;
    const usable = options.map((option) => option.shape.depth >= height);
    const cheapest = (accept: (option: TileOption) => boolean, byArea: boolean) => {
      const best: ({ cost: number; tie: number; option: number } | null)[] = Array(to - from).fill(null);
      for (let at = to - 1; at >= from; at--) {
        options.forEach((option, index) => {
          if (!usable[index] || !accept(option)) return;
          const end = Math.min(to, this.ends[index]![at]!);
          const rest = end === to ? { cost: 0, tie: 0 } : best[end - from];
          if (rest === null || rest === undefined) return;
          const extent = (height * option.shape.width) / shapeBits(option.shape);
          const area = option.units * extent;
          const own = byArea ? area : option.units;
          const cost = own + rest.cost;
          const tie = (byArea ? option.units : area) + rest.tie;
          const old = best[at - from];
          if (
            old === null ||
            old === undefined ||
            cost < old.cost - 1e-9 ||
            (cost < old.cost + 1e-9 && tie < old.tie - 1e-9)
          ) {
            best[at - from] = { cost, tie, option: index };
          }
        });
      }
      return best;
    };
    const follow = (choice: readonly ({ option: number } | null)[], start: number): Tiling | null => {
      let tiling = EMPTY;
      for (let at = start; at < to; ) {
        const option = choice[at - from];
        if (option === null || option === undefined) return null;
        const end = Math.min(to, this.ends[option.option]![at]!);
        tiling = join(
          tiling,
          stackTiling(this.stack(options[option.option]!, at, end, firstRow, rows, slabRows)),
        );
        at = end;
      }
      return tiling;
    };
    const found: Tiling[] = [];
    const fewest = cheapest(() => true, false);
    const direct = follow(fewest, from);
    if (direct !== null) found.push(direct);
    if (this.shareable && found.length > 0) {
      const areas = [cheapest(() => true, true), fewest];
      const families = new Set(options.map((option) => option.shape.family));
      for (const family of families) areas.push(cheapest((option) => option.shape.family === family, true));
      for (const area of areas) {
        const whole = follow(area, from);
        if (whole !== null) found.push(whole);
      }
      const limit = Math.min(...found.map(unshared)) + EXTRA_UNITS;
      options.forEach((option, index) => {
        if (!usable[index]) return;
        const starts = [from];
        while (starts.at(-1)! < to && starts.length <= limit + 1) {
          starts.push(Math.min(to, this.ends[index]![starts.at(-1)!]!));
        }
        for (const columns of new Set([starts.length - 1, starts.length - 2, starts.length - 3])) {
          if (columns < 1 || columns > limit) continue;
          let bulk = EMPTY;
          for (let column = 0; column < columns; column++) {
            const stack = this.stack(option, starts[column]!, starts[column + 1]!, firstRow, rows, slabRows);
            bulk = join(bulk, stackTiling(stack));
          }
          const rest = starts[columns]!;
          if (rest === to) found.push(bulk);
          else {
            for (const area of areas) {
              const tail = follow(area, rest);
              if (tail !== null) found.push(join(bulk, tail));
            }
          }
        }
      });
    }
    return bestTilings(withinUnitLimit(found));
  }

  /** Cuts of the depth: slabs of native depths in falling order, so that each starts at a multiple of its depth. */
  private slabSequences(): { firstRow: number; rows: number; slabRows: number }[][] {
    const sequences: { firstRow: number; rows: number; slabRows: number }[][] = [];
    const deepest = this.depths[0] ?? 0;
    const cut = (
      firstRow: number,
      level: number,
      done: { firstRow: number; rows: number; slabRows: number }[],
    ) => {
      const left = this.task.depth - firstRow;
      if (left === 0) {
        sequences.push(done);
        return;
      }
      if (left <= deepest) sequences.push([...done, { firstRow, rows: left, slabRows: left }]);
      for (let next = level; next < this.depths.length; next++) {
        const depth = this.depths[next]!;
        const full = Math.floor(left / depth);
        if (full === 0 || (full === 1 && left === depth)) continue;
        cut(firstRow + full * depth, next + 1, [...done, { firstRow, rows: full * depth, slabRows: depth }]);
      }
    };
    cut(0, 0, []);
    const cap = this.task.maxCascade ?? Number.POSITIVE_INFINITY;
    const deep = (sequence: { rows: number; slabRows: number }[]) =>
      sequence.reduce((sum, slab) => sum + Math.ceil(slab.rows / slab.slabRows), 0);
    return sequences.filter((sequence) => deep(sequence) <= cap);
  }

  private strip(
    from: number,
    to: number,
    sequences: { firstRow: number; rows: number; slabRows: number }[][],
  ): Tiling[] {
    const found: Tiling[] = [];
    for (const sequence of sequences) {
      let partial: Tiling[] = [EMPTY];
      for (const { firstRow, rows, slabRows } of sequence) {
        const covers = this.rowCovers(from, to, firstRow, rows, slabRows);
        const longer = partial.flatMap((tiling) => covers.map((cover) => join(tiling, cover)));
        partial = bestTilings(this.shareable ? withinUnitLimit(longer) : longer);
      }
      const deep = sequence.reduce((sum, slab) => sum + Math.ceil(slab.rows / slab.slabRows), 0);
      const luts = this.muxLuts(to - from, deep);
      for (const tiling of partial) found.push({ ...tiling, luts, cascade: deep });
    }
    return bestTilings(this.shareable ? withinUnitLimit(found) : found);
  }

  /** Vertical strips, each of full columns of one option or all that is left; within a strip, slabs. */
  private strips(): Tiling[] {
    const { word } = this.task;
    const sequences = this.slabSequences();
    const memo = new Map<number, Tiling[]>();
    const from = (start: number, stripsLeft: number): Tiling[] => {
      const known = memo.get(start);
      if (known !== undefined) return known;
      const found = [...this.strip(start, word.width, sequences)];
      if (stripsLeft > 1) {
        const cuts = new Set<number>();
        for (const ends of this.ends) {
          const bulk = ends[start]! - start;
          let at = start;
          while (at < word.width && ends[at]! - at === bulk && ends[at]! < word.width) at = ends[at]!;
          if (at > start) cuts.add(at);
        }
        for (const cut of cuts) {
          const left = this.strip(start, cut, sequences);
          const right = from(cut, stripsLeft - 1);
          for (const a of left) for (const b of right) found.push(join(a, b));
        }
      }
      const kept = bestTilings(this.shareable ? withinUnitLimit(found) : found);
      memo.set(start, kept);
      return kept;
    };
    return from(0, 4);
  }

  /** The Pareto set of tilings. */
  run(): Tiling[] {
    const { options, depth, maxCascade } = this.task;
    const found: Tiling[] = [];
    const cap = maxCascade ?? Number.POSITIVE_INFINITY;
    const counts = new Set(options.map((option) => Math.ceil(depth / option.shape.depth)));
    const area = ({ option, rows }: Stack) =>
      (option.units * rows * option.shape.width) / shapeBits(option.shape);
    for (const count of counts) {
      if (count > cap) continue;
      const byUnits = this.uniform(count, (stack, luts) => [stack.option.units * stack.count, luts]);
      const byLuts = this.uniform(count, (stack, luts) => [luts, stack.option.units * stack.count]);
      if (byUnits !== null) found.push(byUnits);
      if (byLuts !== null) found.push(byLuts);
      if (this.shareable) {
        const byArea = this.uniform(count, (stack, luts) => [area(stack), luts]);
        if (byArea !== null) found.push(byArea);
      }
    }
    found.push(...this.strips());
    return bestTilings(this.shareable ? withinUnitLimit(found) : found);
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
