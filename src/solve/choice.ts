import { EPSILON } from "./limits.js";
import type { StageModel } from "./stage-model.js";

/** What one of each column of the pack program, and one shared block of each key, adds to an objective. */
export interface Costs {
  readonly columns: ArrayLike<number>;
  readonly shared: ArrayLike<number>;
}

/** Items that come to a column, or leave it where they are negative. */
export type Change = readonly [column: number, items: number];

/** Halves of blocks are added and taken away in floating point. */
const HALVES_TOLERANCE = 1e-9;

/**
 * A choice with its sums, of which a move changes a few. Shared blocks are exact where they are shared in pairs; where they are shared in
 * turns, no more than there are.
 */
export class Choice {
  /** Of the choice or the move looked at last: what it comes to in each objective, then by how much it is over each limit. */
  readonly amounts: Float64Array;
  /** What one unit over each limit counts. */
  readonly weights: Float64Array;
  /** How many moves were looked at. */
  looks = 0;
  /** What one of each column adds to each amount, row by row, and one shared block of each key. */
  private readonly adds: Float64Array;
  private readonly sharedAdds: Float64Array;
  /** The amounts of the choice. */
  private readonly sums: Float64Array;
  private readonly keysOf: readonly (readonly number[])[];
  /** Twice the blocks that fragments ask for at each threshold. */
  private readonly demand: Float64Array;
  private readonly blocks: Float64Array;
  /** By key, the look in which its blocks were counted last. */
  private readonly counted: Int32Array;

  constructor(
    private readonly model: StageModel,
    private readonly objectives: readonly Costs[],
    readonly counts: number[],
  ) {
    const { pack, limits, rows, start, row, active } = model;
    const costs = [...objectives, ...limits.map(({ spends, shared }) => ({ columns: spends, shared }))];
    const width = costs.length;
    this.amounts = new Float64Array(width);
    this.weights = new Float64Array(limits.length);
    this.adds = new Float64Array(pack.columns.length * width);
    this.sharedAdds = new Float64Array(pack.shareKeys.length * width);
    costs.forEach(({ columns, shared }, amount) => {
      for (const column of active) this.adds[column * width + amount] = columns[column]!;
      pack.shareKeys.forEach((_, key) => {
        this.sharedAdds[key * width + amount] = shared[key]!;
      });
    });
    this.sums = Float64Array.from([...objectives.map(() => 0), ...limits.map(({ limit }) => -limit)]);
    this.keysOf = pack.columns.map((_, column) => [
      ...new Set(Array.from(row.subarray(start[column]!, start[column + 1]!), (at) => rows[at]!.key)),
    ]);
    this.demand = new Float64Array(rows.length);
    this.blocks = new Float64Array(pack.shareKeys.length);
    this.counted = new Int32Array(pack.shareKeys.length);
    for (const column of active) if (counts[column]! > 0) this.take([column, counts[column]!]);
    pack.shareKeys.forEach((_, key) => {
      this.settleKey(key);
    });
    this.look([]);
  }

  private take([column, items]: Change): void {
    this.addTo(this.sums, this.adds, column, items);
    this.ask(column, items);
  }

  private addTo(amounts: Float64Array, table: Float64Array, row: number, times: number): void {
    for (let a = 0, at = row * amounts.length; a < amounts.length; a++, at++) {
      amounts[a]! += times * table[at]!;
    }
  }

  private ask(column: number, items: number): void {
    const { start, row, halves } = this.model;
    for (let e = start[column]!; e < start[column + 1]!; e++) this.demand[row[e]!]! += items * halves[e]!;
  }

  private blocksOf(key: number): number {
    const { firstRow } = this.model;
    let most = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      if (this.demand[r]! > most) most = this.demand[r]!;
    }
    return Math.ceil(most / 2 - HALVES_TOLERANCE);
  }

  private settleKey(key: number): void {
    const more = this.blocksOf(key) - this.blocks[key]!;
    this.blocks[key]! += more;
    this.addTo(this.sums, this.sharedAdds, key, more);
  }

  /** Sets `amounts` to what the choice comes to with some changes. */
  look(changes: readonly Change[]): void {
    this.looks += 1;
    this.amounts.set(this.sums);
    let sharing = false;
    for (const [column, items] of changes) {
      this.addTo(this.amounts, this.adds, column, items);
      if (this.shares(column)) sharing = true;
    }
    if (!sharing) return;
    for (const [column, items] of changes) this.ask(column, items);
    for (const [column] of changes) this.countBlocks(column);
    for (const [column, items] of changes) this.ask(column, -items);
  }

  /** The same for items that go from one column to another, which is most of what a search looks at. */
  lookAt(from: number, to: number, items: number): void {
    this.looks += 1;
    this.amounts.set(this.sums);
    this.addTo(this.amounts, this.adds, from, -items);
    this.addTo(this.amounts, this.adds, to, items);
    if (!this.shares(from) && !this.shares(to)) return;
    this.ask(from, -items);
    this.ask(to, items);
    this.countBlocks(from);
    this.countBlocks(to);
    this.ask(from, items);
    this.ask(to, -items);
  }

  private shares(column: number): boolean {
    const { start } = this.model;
    return start[column]! < start[column + 1]!;
  }

  /** Counts the shared blocks of a column's keys, those that were not counted in this look. */
  private countBlocks(column: number): void {
    for (const key of this.keysOf[column]!) {
      if (this.counted[key] === this.looks) continue;
      this.counted[key] = this.looks;
      const more = this.blocksOf(key) - this.blocks[key]!;
      if (more !== 0) this.addTo(this.amounts, this.sharedAdds, key, more);
    }
  }

  /** What the choice or the move looked at last is over the limits, at their weights. */
  overrun(): number {
    const { amounts, weights } = this;
    const first = this.objectives.length;
    let sum = 0;
    for (let l = 0; l < weights.length; l++) {
      if (amounts[first + l]! > EPSILON) sum += weights[l]! * amounts[first + l]!;
    }
    return sum;
  }

  /** Whether the choice or the move looked at last is over a limit, by its index. */
  isOver(limit: number): boolean {
    return this.amounts[this.objectives.length + limit]! > EPSILON;
  }

  /** Whether the choice or the move looked at last keeps all limits. */
  keeps(): boolean {
    return this.weights.every((_, limit) => !this.isOver(limit));
  }

  /** Makes changes, and looks at the choice as it is then. */
  make(changes: readonly Change[]): void {
    for (const change of changes) {
      this.counts[change[0]]! += change[1];
      this.take(change);
    }
    for (const [column] of changes) for (const key of this.keysOf[column]!) this.settleKey(key);
    this.look([]);
  }
}
