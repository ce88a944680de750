import { columnMarks } from "./column-marks.js";
import { byExtent, type FragmentRun } from "./fragment.js";
import { type ColumnTask, Knapsacks, knapsackItems, type Preference } from "./knapsacks.js";
import { bestPieces, type Column, type Columns, type FragmentPool, type Piece } from "./piece.js";

/** What a slab is covered with. */
export interface SlabTask extends ColumnTask {
  /** Native depths, the deepest first. */
  readonly depths: readonly number[];
  /** Units above the fewest that a cover may take; null: nothing can share, so that only the fewest count. */
  readonly extraUnits: number | null;
  readonly fragments: FragmentPool;
}

/** What a tile of each option leaves to share in slabs of one height, and the options with the largest fragment first. */
interface Height {
  readonly runs: readonly (FragmentRun | null)[];
  readonly order: readonly number[];
}

/** Of the columns that one option takes, how many at the end are left to a knapsack at most. */
const MOST_LEFT = 3;

/**
 * Ways to cover bits of one slab with tiles as deep as the slab: some full columns of one option, and the rest as a knapsack
 * over the width chooses.
 */
export class SlabCovers {
  private readonly preferences: readonly Preference[];
  private readonly items: readonly ReturnType<typeof knapsackItems>[];
  private readonly knapsacks = new Map<number, Knapsacks>();
  private readonly heights = new Map<number, Height>();
  /** Columns of each option of the piece that is being made. */
  private readonly counts: Int32Array;
  /** Marks of the covers that are made, and where the columns of one option start: kept, as they are asked for many times. */
  private readonly seen: number[] = [];
  private readonly starts: number[] = [];
  private readonly marks: readonly number[];

  constructor(private readonly task: SlabTask) {
    this.marks = columnMarks(task.options.length);
    this.counts = new Int32Array(task.options.length);
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
    this.items = task.depths.map((depth) => knapsackItems(task, depth, this.preferences));
  }

  /** Ways to cover bits `[from, to)` of one slab of `height` rows, as pieces that begin at `from`. */
  covers(from: number, to: number, height: number): Piece[] {
    const { options, ends, depths, extraUnits } = this.task;
    const level = depths.findLastIndex((depth) => depth >= height);
    if (level < 0) return [];
    const knapsacks = this.knapsacksOf(to, level);
    knapsacks.fill(from);
    if (knapsacks.optionAt(0, from) < 0) return [];
    const path = (rest: number, bulk: number, columns: number, place: number) =>
      this.piece(new Path(this.task, from, rest, to, bulk, columns, knapsacks, place), height);
    if (extraUnits === null) return [path(from, -1, 0, 0)];
    const limit = knapsacks.unitsFrom(0, from) + extraUnits;
    const places = [...this.preferences.keys()].filter((place) => knapsacks.isNew(place));
    const found: Piece[] = [];
    const { seen, starts } = this;
    seen.length = 0;
    const isNew = (mark: number) => !seen.includes(mark) && seen.push(mark) > 0;
    for (const place of places) {
      if (knapsacks.optionAt(place, from) < 0 || knapsacks.unitsFrom(place, from) > limit) continue;
      if (isNew(knapsacks.marksFrom(place, from))) found.push(path(from, -1, 0, place));
    }
    for (let index = 0; index < options.length; index++) {
      const { shape, units } = options[index]!;
      if (shape.depth < height) continue;
      const own = ends[index]!;
      starts.length = 0;
      starts.push(from);
      for (let at = from; at < to && units * starts.length <= limit + units; ) {
        at = Math.min(to, own[at]!);
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
      }
    }
    return bestPieces(found);
  }

  /** How to choose the columns of a slab up to bit `to` whose least native depth is the `level`-th. */
  private knapsacksOf(to: number, level: number): Knapsacks {
    const key = to * this.task.depths.length + level;
    let known = this.knapsacks.get(key);
    if (known === undefined) {
      known = new Knapsacks(this.marks, to, this.items[level]!, this.preferences);
      this.knapsacks.set(key, known);
    }
    return known;
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

  private piece(path: Path, rows: number): Piece {
    const { options } = this.task;
    const { counts } = this;
    const { rectangles, first, last } = path.count(counts);
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
    for (let place = 0; place < order.length; place++) {
      const index = order[place]!;
      const count = counts[index]!;
      if (count === 0) continue;
      const { fragment } = runs[index]!;
      const before = shares.at(-1);
      if (before?.fragment === fragment) before.count += count;
      else shares.push({ fragment, count });
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

/** Columns side by side: some of one option up to bit `rest`, and from there on those of a knapsack. Listed from bit 0. */
class Path implements Columns {
  constructor(
    private readonly task: ColumnTask,
    private readonly from: number,
    private readonly rest: number,
    private readonly to: number,
    private readonly bulk: number,
    private readonly columns: number,
    private readonly knapsacks: Knapsacks,
    private readonly place: number,
  ) {}

  /** Sets `counts` to the columns of each option. */
  count(counts: Int32Array): { readonly rectangles: number; readonly first: number; readonly last: number } {
    const { ends } = this.task;
    const { bulk, columns, knapsacks, place, to } = this;
    counts.fill(0);
    if (columns > 0) counts[bulk] = columns;
    let rectangles = columns > 0 ? 1 : 0;
    let last = columns > 0 ? bulk : -1;
    let first = last;
    for (let at = this.rest; at < to; ) {
      const option = knapsacks.optionAt(place, at);
      counts[option]! += 1;
      if (option !== last) rectangles += 1;
      if (first < 0) first = option;
      last = option;
      at = ends[option]![at]!;
    }
    return { rectangles, first, last };
  }

  list(): readonly Column[] {
    const { options, ends } = this.task;
    const found: Column[] = [];
    let at = this.from;
    for (let column = 0; at < this.to; column++) {
      const option = column < this.columns ? this.bulk : this.knapsacks.optionAt(this.place, at);
      const end = Math.min(this.to, ends[option]![at]!);
      found.push({ option: options[option]!, start: at - this.from, end: end - this.from });
      at = end;
    }
    return found;
  }
}
