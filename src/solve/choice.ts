import { EPSILON } from "./limits.js";
import type { StageModel } from "./stage-model.js";

/** What is searched. Every list over columns is indexed by the column of the pack program. */
export interface SearchTask {
  readonly model: StageModel;
  /** What one of each column, and one shared block of each key, adds to the objective. */
  readonly costs: Float64Array;
  readonly sharedCosts: Float64Array;
  /** How much dearer, at least, a solution gets with each column: what costs least is tried. */
  readonly reduced: Float64Array;
  /** What one unit of each limit of the model is worth in the objective. */
  readonly limitPrices: readonly number[];
}

/** Items that come to a column, or leave it where they are negative. */
export type Change = readonly [column: number, items: number];

/** A choice with its sums, of which a move changes a few. */
export class Choice {
  private readonly width: number;
  /** What one of each column spends of each limit, row by row, and one shared block of each key. */
  private readonly spends: Float64Array;
  private readonly sharedSpends: Float64Array;
  private readonly keysOf: readonly (readonly number[])[];
  private readonly spent: Float64Array;
  private readonly demand: Float64Array;
  private readonly blocks: Float64Array;
  private own = 0;
  /** How many moves were looked at. */
  looks = 0;
  /** By key, the look in which its blocks were counted last. */
  private readonly counted: Int32Array;
  /** Of the choice or the move looked at last: its objective, and by how much it breaks each limit. */
  value = 0;
  readonly over: Float64Array;
  /** What one unit over each limit counts. */
  readonly weights: Float64Array;

  constructor(
    private readonly task: SearchTask,
    readonly counts: number[],
  ) {
    const { pack, limits, rows, start, row, active } = task.model;
    const width = limits.length;
    this.width = width;
    this.spends = new Float64Array(pack.columns.length * width);
    this.sharedSpends = new Float64Array(pack.shareKeys.length * width);
    limits.forEach(({ spends, shared }, limit) => {
      for (const column of active) this.spends[column * width + limit] = spends[column]!;
      shared.forEach((units, key) => {
        this.sharedSpends[key * width + limit] = units;
      });
    });
    this.keysOf = pack.columns.map((_, column) => [
      ...new Set(Array.from(row.subarray(start[column]!, start[column + 1]!), (at) => rows[at]!.key)),
    ]);
    this.spent = Float64Array.from(limits, ({ limit }) => -limit);
    this.demand = new Float64Array(rows.length);
    this.blocks = new Float64Array(pack.shareKeys.length);
    this.counted = new Int32Array(pack.shareKeys.length);
    this.over = new Float64Array(width);
    this.weights = new Float64Array(width);
    for (const column of active) if (counts[column]! > 0) this.add(column, counts[column]!);
    pack.shareKeys.forEach((_, key) => {
      this.settleKey(key);
    });
    this.look([]);
  }

  private add(column: number, items: number): void {
    const { width, spends, spent } = this;
    this.own += items * this.task.costs[column]!;
    for (let l = 0; l < width; l++) spent[l]! += items * spends[column * width + l]!;
    this.ask(column, items);
  }

  private ask(column: number, items: number): void {
    const { start, row, halves } = this.task.model;
    for (let e = start[column]!; e < start[column + 1]!; e++) this.demand[row[e]!]! += items * halves[e]!;
  }

  private blocksOf(key: number): number {
    const { firstRow } = this.task.model;
    let most = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      if (this.demand[r]! > most) most = this.demand[r]!;
    }
    return Math.ceil(most / 2 - EPSILON);
  }

  private settleKey(key: number): void {
    const { width, sharedSpends, spent } = this;
    const more = this.blocksOf(key) - this.blocks[key]!;
    this.blocks[key]! += more;
    this.own += more * this.task.sharedCosts[key]!;
    for (let l = 0; l < width; l++) spent[l]! += more * sharedSpends[key * width + l]!;
  }

  /**
   * What the choice comes to with some changes: the objective, and what is broken of the limits at its weights. Sets `value` and
   * `over`.
   */
  look(changes: readonly Change[]): number {
    this.looks += 1;
    this.value = this.own;
    this.over.set(this.spent);
    let sharing = false;
    for (const [column, items] of changes) {
      this.count(column, items);
      if (this.shares(column)) sharing = true;
    }
    if (sharing) {
      for (const [column, items] of changes) this.ask(column, items);
      for (const [column] of changes) this.countBlocks(column);
      for (const [column, items] of changes) this.ask(column, -items);
    }
    return this.score();
  }

  /** The same for items that go from one column to another, which is most of what a search looks at. */
  lookAt(from: number, to: number, items: number): number {
    this.looks += 1;
    this.value = this.own;
    this.over.set(this.spent);
    this.count(from, -items);
    this.count(to, items);
    if (this.shares(from) || this.shares(to)) {
      this.ask(from, -items);
      this.ask(to, items);
      this.countBlocks(from);
      this.countBlocks(to);
      this.ask(from, items);
      this.ask(to, -items);
    }
    return this.score();
  }

  private shares(column: number): boolean {
    const { start } = this.task.model;
    return start[column]! < start[column + 1]!;
  }

  private count(column: number, items: number): void {
    const { width, spends, over } = this;
    this.value += items * this.task.costs[column]!;
    for (let l = 0, at = column * width; l < width; l++, at++) over[l]! += items * spends[at]!;
  }

  /** Counts the shared blocks of a column's keys, those that were not counted in this look. */
  private countBlocks(column: number): void {
    const { width, sharedSpends, over, counted } = this;
    for (const key of this.keysOf[column]!) {
      if (counted[key] === this.looks) continue;
      counted[key] = this.looks;
      const more = this.blocksOf(key) - this.blocks[key]!;
      if (more === 0) continue;
      this.value += more * this.task.sharedCosts[key]!;
      for (let l = 0, at = key * width; l < width; l++, at++) over[l]! += more * sharedSpends[at]!;
    }
  }

  private score(): number {
    const { over, weights } = this;
    let score = this.value;
    for (let l = 0; l < over.length; l++) if (over[l]! > EPSILON) score += weights[l]! * over[l]!;
    return score;
  }

  /** Whether the choice or the move looked at last keeps all limits. */
  keeps(): boolean {
    return this.over.every((over) => over <= EPSILON);
  }

  make(changes: readonly Change[]): void {
    for (const [column, items] of changes) {
      this.counts[column]! += items;
      this.add(column, items);
    }
    for (const [column] of changes) for (const key of this.keysOf[column]!) this.settleKey(key);
    this.look([]);
  }
}
