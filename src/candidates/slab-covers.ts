import { byExtent, type FragmentRun } from "./fragment.js";
import { bestPieces, type Column, type Columns, type FragmentPool, type Piece } from "./piece.js";
import type { TileOption } from "./tile-option.js";

/** How the columns of one slab are chosen: fewest units, or least area. */
interface Preference {
  /** Only options of this family; null: all. */
  readonly family: string | null;
  readonly byArea: boolean;
}

/** What a tile of each option leaves to share in slabs of one height, and the options with the largest fragment first. */
interface Height {
  readonly runs: readonly (FragmentRun | null)[];
  readonly order: readonly number[];
}

/** What a slab is covered with. */
export interface SlabTask {
  readonly options: readonly TileOption[];
  /** For each option, where a column that starts at a position ends. */
  readonly ends: readonly Int32Array[];
  /** For each option, what one row of a tile takes of its block, as a multiple of a part that goes into all of them. */
  readonly areas: readonly number[];
  /** Native depths, the deepest first. */
  readonly depths: readonly number[];
  /** Units above the fewest that a cover may take; null: nothing can share, so that only the fewest count. */
  readonly extraUnits: number | null;
  readonly fragments: FragmentPool;
}

/**
 * Ways to cover bits of one slab with tiles as deep as the slab: some full columns of one option, and the rest as a knapsack
 * over the width chooses.
 */
export class SlabCovers {
  private readonly preferences: readonly Preference[];
  private readonly knapsacks = new Map<number, Knapsack[]>();
  private readonly heights = new Map<number, Height>();

  constructor(private readonly task: SlabTask) {
    const fewestUnits: Preference = { family: null, byArea: false };
    const families = [...new Set(task.options.map(({ shape }) => shape.family))];
    const ofFamilies = families.flatMap((family) => [
      { family, byArea: true },
      { family, byArea: false },
    ]);
    // Area is what others may use of a block: without sharing only units count.
    this.preferences =
      task.extraUnits === null
        ? [fewestUnits]
        : [fewestUnits, { family: null, byArea: true }, ...(families.length > 1 ? ofFamilies : [])];
  }

  /** Ways to cover bits `[from, to)` of one slab of `height` rows, as pieces that begin at `from`. */
  covers(from: number, to: number, height: number): Piece[] {
    const { options, ends, depths, extraUnits } = this.task;
    const level = depths.findLastIndex((depth) => depth >= height);
    if (level < 0) return [];
    const knapsacks = this.knapsacksOf(from, to, level);
    const open = knapsacks.filter(({ option }) => option[from]! >= 0);
    const found = open.map((knapsack) => this.piece(from, to, height, 0, 0, knapsack));
    if (found.length === 0 || extraUnits === null) return found;
    const limit = found[0]!.unshared + extraUnits;
    options.forEach(({ shape, units }, index) => {
      if (shape.depth < height) return;
      const own = ends[index]!;
      const starts = [from];
      while (starts.at(-1)! < to && units * starts.length <= limit + units) {
        starts.push(Math.min(to, own[starts.at(-1)!]!));
      }
      for (let back = 1; back <= 3; back++) {
        const columns = starts.length - back;
        if (columns < 1) break;
        const bulk = columns * units;
        if (bulk > limit) continue;
        const rest = starts[columns]!;
        if (rest === to) {
          found.push(this.piece(from, to, height, index, columns, null));
          continue;
        }
        for (const knapsack of knapsacks) {
          const next = knapsack.option[rest]!;
          // With a column of the same option next it is that of one column more.
          if (next < 0 || (next === index && back > 1) || bulk + knapsack.units[rest]! > limit) continue;
          found.push(this.piece(from, to, height, index, columns, knapsack));
        }
      }
    });
    return bestPieces(found.filter(({ unshared }) => unshared <= limit));
  }

  /** The knapsacks of all preferences for a slab that choose differently from `from` on, that of fewest units first. */
  private knapsacksOf(from: number, to: number, level: number): readonly Knapsack[] {
    const key = to * this.task.depths.length + level;
    let known = this.knapsacks.get(key);
    if (known === undefined) {
      const depth = this.task.depths[level]!;
      known = this.preferences.map((preference) => new Knapsack(this.task, to, depth, preference));
      this.knapsacks.set(key, known);
    }
    for (const knapsack of known) knapsack.fill(from);
    return known.filter((knapsack, place) => {
      for (let before = 0; before < place; before++) if (knapsack.equals(known[before]!, from)) return false;
      return true;
    });
  }

  private heightOf(rows: number): Height {
    let known = this.heights.get(rows);
    if (known === undefined) {
      const runs = this.task.options.map((option) => this.task.fragments.of(option, rows));
      const order = runs.flatMap((run, index) => (run === null ? [] : [index]));
      order.sort((a, b) => byExtent(runs[a]!.fragment, runs[b]!.fragment));
      known = { runs, order };
      this.heights.set(rows, known);
    }
    return known;
  }

  /** So many columns of one option, and from there on those of a knapsack. */
  private piece(
    from: number,
    to: number,
    rows: number,
    bulk: number,
    columns: number,
    knapsack: Knapsack | null,
  ): Piece {
    const { options } = this.task;
    const path = new Path(this.task, from, to, bulk, columns, knapsack);
    const counts = new Int32Array(options.length);
    let rectangles = 0;
    let first = -1;
    let last = -1;
    path.walk((index) => {
      counts[index]! += 1;
      if (index !== last) rectangles += 1;
      if (first < 0) first = index;
      last = index;
    });
    const { runs, order } = this.heightOf(rows);
    let units = 0;
    let unshared = 0;
    let tiles = 0;
    let room = 0;
    for (let index = 0; index < counts.length; index++) {
      const count = counts[index]!;
      if (count === 0) continue;
      const taken = options[index]!.units * count;
      tiles += count;
      unshared += taken;
      const run = runs[index]!;
      if (run === null) units += taken;
      else room += (taken * run.fragment.extent) / run.fragment.cells;
    }
    const shares: { fragment: FragmentRun["fragment"]; count: number }[] = [];
    for (const index of order) {
      if (counts[index] === 0) continue;
      const { fragment } = runs[index]!;
      const before = shares.at(-1);
      if (before?.fragment === fragment) before.count += counts[index]!;
      else shares.push({ fragment, count: counts[index]! });
    }
    return {
      units,
      shares,
      unshared,
      room: room + units,
      tiles,
      luts: 0,
      cascade: 0,
      rectangles,
      ends: [options[first]!, options[last]!],
      made: { sort: "columns", columns: path, rows },
    };
  }
}

/** What an option's column adds to the sum that a knapsack makes least, and to the one that decides between equals. */
interface Item {
  readonly index: number;
  readonly ends: Int32Array;
  readonly own: number;
  readonly other: number;
}

/**
 * The columns of least cost for one slab, from a position to bit `to`, of options at least `depth` deep: the least native
 * depth that the slab fits. How many rows it has does not matter, as they make every option dearer alike.
 */
class Knapsack {
  /** The option at each position; -1: none. */
  readonly option: Int32Array;
  /** Units of the columns from each position on. */
  readonly units: Float64Array;
  private readonly cost: Float64Array;
  private readonly tie: Float64Array;
  private readonly items: readonly Item[];
  private filledFrom: number;

  constructor(
    { options, ends, areas }: SlabTask,
    private readonly to: number,
    depth: number,
    { family, byArea }: Preference,
  ) {
    this.option = new Int32Array(to).fill(-1);
    this.cost = new Float64Array(to + 1);
    this.tie = new Float64Array(to + 1);
    this.units = byArea ? this.tie : this.cost;
    this.filledFrom = to;
    this.items = options.flatMap(({ shape, units }, index) => {
      if (shape.depth < depth || (family !== null && shape.family !== family)) return [];
      const area = areas[index]!;
      return [{ index, ends: ends[index]!, own: byArea ? area : units, other: byArea ? units : area }];
    });
  }

  /** Makes the choices from a position on. */
  fill(from: number): void {
    const { option, cost, tie, items, to } = this;
    for (let at = this.filledFrom - 1; at >= from; at--) {
      let best = -1;
      let least = 0;
      let second = 0;
      for (let i = 0; i < items.length; i++) {
        const { index, ends, own, other } = items[i]!;
        const end = Math.min(to, ends[at]!);
        if (end < to && option[end]! < 0) continue;
        const a = own + cost[end]!;
        const b = other + tie[end]!;
        if (best >= 0 && (a > least || (a === least && b >= second))) continue;
        best = index;
        least = a;
        second = b;
      }
      option[at] = best;
      cost[at] = least;
      tie[at] = second;
    }
    this.filledFrom = Math.min(this.filledFrom, from);
  }

  /** Whether another one chooses the same from a position on. */
  equals(other: Knapsack, from: number): boolean {
    for (let at = from; at < this.to; at++) if (this.option[at] !== other.option[at]) return false;
    return true;
  }
}

/** Columns side by side: some of one option, and from there on those of a knapsack. Listed from bit 0. */
class Path implements Columns {
  constructor(
    private readonly task: SlabTask,
    private readonly from: number,
    private readonly to: number,
    private readonly bulk: number,
    private readonly columns: number,
    private readonly knapsack: Knapsack | null,
  ) {}

  walk(visit: (option: number, start: number, end: number) => void): void {
    const { ends } = this.task;
    let at = this.from;
    for (let column = 0; at < this.to; column++) {
      const option = column < this.columns ? this.bulk : this.knapsack!.option[at]!;
      const end = Math.min(this.to, ends[option]![at]!);
      visit(option, at, end);
      at = end;
    }
  }

  list(): readonly Column[] {
    const found: Column[] = [];
    this.walk((option, start, end) => {
      found.push({ option: this.task.options[option]!, start: start - this.from, end: end - this.from });
    });
    return found;
  }
}
