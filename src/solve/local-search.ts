import { OBJECTIVES, type PackProgram, spendingOf } from "../program/index.js";
import { compareCosts } from "./compare-costs.js";
import { type Component, components } from "./components.js";
import { stageModel } from "./stage-model.js";

/** Moves after which a search ends in any case. */
const MOST_MOVES = 400;

/** Times that budgets which stay overrun are made to count for more. */
const MOST_PRESSED = 8;

/** What a choice comes to: the overrun, then the objectives in the order in which they count. */
type Worth = Float64Array;

/** So many items from one column to another. */
interface Move {
  readonly from: number;
  readonly to: number;
  readonly items: number;
}

/** A choice with its sums, of which a move changes a few. */
class State {
  private readonly model;
  /** Spent of each budget, without shared blocks. */
  private readonly spent: Float64Array;
  /** What one unit over each budget counts: more for those that were hard to keep. */
  private readonly weights: Float64Array;
  private readonly over: Float64Array;
  /** Twice the blocks that fragments ask for at each threshold. */
  private readonly demand: Float64Array;
  private readonly sums: Float64Array;
  /** Shared blocks of each key as things stand, and those of the move that is looked at. */
  private readonly blocks: Float64Array;
  private readonly blocksThen: Float64Array;

  constructor(
    private readonly pack: PackProgram,
    all: readonly Component[],
    readonly counts: number[],
  ) {
    this.model = stageModel(
      {
        pack,
        objective: "blocks",
        settled: [],
        budgets: true,
        stopAt: Number.POSITIVE_INFINITY,
        pause: async () => {},
        cuts: [],
      },
      all,
    );
    this.spent = new Float64Array(pack.budgets.length);
    this.over = new Float64Array(pack.budgets.length);
    this.weights = Float64Array.from(pack.budgets, ({ weight }) => weight);
    this.demand = new Float64Array(this.model.rows.length);
    this.sums = new Float64Array(OBJECTIVES.length);
    this.blocks = new Float64Array(pack.shareKeys.length);
    this.blocksThen = new Float64Array(pack.shareKeys.length);
    counts.forEach((count, column) => {
      if (count !== 0) this.add(column, count);
    });
  }

  private add(column: number, count: number): void {
    const { pack, spent, demand, sums } = this;
    const { start, row, halves } = this.model;
    for (let b = 0; b < spent.length; b++) spent[b]! += count * pack.budgets[b]!.spends[column]!;
    for (let o = 0; o < sums.length; o++) sums[o]! += count * pack.costs[OBJECTIVES[o]!][column]!;
    for (let e = start[column]!; e < start[column + 1]!; e++) demand[row[e]!]! += count * halves[e]!;
  }

  move({ from, to, items }: Move): void {
    this.counts[from]! -= items;
    this.counts[to]! += items;
    this.add(from, -items);
    this.add(to, items);
  }

  /** Sets `worth` to what the choice comes to. */
  settle(worth: Worth): void {
    for (let key = 0; key < this.blocks.length; key++) this.blocks[key] = this.blocksOf(key);
    this.count(this.blocks, worth);
  }

  /** Sets `worth` to what a move would come to. The choice has been settled before. */
  after({ from, to, items }: Move, worth: Worth): void {
    this.add(from, -items);
    this.add(to, items);
    this.blocksThen.set(this.blocks);
    this.renew(from);
    this.renew(to);
    this.count(this.blocksThen, worth);
    this.add(to, -items);
    this.add(from, items);
  }

  /** Makes the budgets that are overrun as things stand count for more. */
  press(): void {
    this.settle(new Float64Array(OBJECTIVES.length + 1));
    for (let b = 0; b < this.over.length; b++) if (this.over[b]! > 0) this.weights[b]! *= 2;
  }

  private renew(column: number): void {
    const { start, row, rows } = this.model;
    let last = -1;
    for (let e = start[column]!; e < start[column + 1]!; e++) {
      const { key } = rows[row[e]!]!;
      if (key !== last) this.blocksThen[key] = this.blocksOf(key);
      last = key;
    }
  }

  /** Exact where blocks are shared in pairs; where they are shared in turns, no more than there are. */
  private blocksOf(key: number): number {
    const { firstRow } = this.model;
    const { demand } = this;
    let most = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) if (demand[r]! > most) most = demand[r]!;
    return Math.ceil(most / 2 - 1e-9);
  }

  private count(blocks: Float64Array, worth: Worth): void {
    const { pack, spent, sums, weights } = this;
    worth[0] = 0;
    for (let b = 0; b < spent.length; b++) {
      const { shared, limit } = pack.budgets[b]!;
      let over = spent[b]! - limit;
      for (let key = 0; key < blocks.length; key++) over += blocks[key]! * shared[key]!;
      this.over[b] = over;
      if (over > 0) worth[0]! += weights[b]! * over;
    }
    for (let o = 0; o < sums.length; o++) worth[o + 1] = sums[o]!;
    for (let key = 0; key < blocks.length; key++) worth[1]! += blocks[key]! * pack.sharedWeight[key]!;
  }
}

/** Moves of the instances that are in use, one of them or all that are alike. */
function* movesOf(columns: readonly number[], counts: readonly number[]): Generator<Move> {
  for (const from of columns) {
    const all = counts[from]!;
    if (all === 0) continue;
    for (const to of columns) {
      if (to === from) continue;
      yield { from, to, items: all };
      if (all > 1) yield { from, to, items: 1 };
    }
  }
}

/**
 * Moves instances of ungrouped requests from one candidate to another: as long as budgets are overrun, the move that costs fewest
 * weighted blocks for what it saves of the overrun, and where none saves any, those budgets count for more (guided local search,
 * Voudouris & Tsang 1999, from memory); then whatever improves the objectives. Returns the best choice found by `stopAt` (as `Date.now()`
 * gives it), which is no worse than `start`; an overrun may remain.
 */
export function improved(pack: PackProgram, start: readonly number[], stopAt: number): readonly number[] {
  const all = components(pack);
  const state = new State(pack, all, [...start]);
  const { counts } = state;
  const alone = all.filter(({ group }) => group === null);
  const lists = alone.map(({ requests }) => pack.columnsOf.requests[requests[0]!]!);
  const now = new Float64Array(OBJECTIVES.length + 1);
  const then = new Float64Array(OBJECTIVES.length + 1);
  state.settle(now);
  let pressed = 0;
  for (let moves = 0; now[0]! > 0 && moves < MOST_MOVES && Date.now() < stopAt; moves++) {
    let best: Move | null = null;
    let score = Number.POSITIVE_INFINITY;
    for (const columns of lists) {
      for (const move of movesOf(columns, counts)) {
        state.after(move, then);
        if (then[0]! >= now[0]!) continue;
        const price = Math.max(0, then[1]! - now[1]!) / (now[0]! - then[0]!);
        if (price >= score) continue;
        score = price;
        best = move;
      }
    }
    if (best !== null) state.move(best);
    else if (pressed++ < MOST_PRESSED) state.press();
    else break;
    state.settle(now);
  }
  for (let open = lists.length, place = 0; open > 0 && Date.now() < stopAt; place++, open--) {
    const columns = lists[place % lists.length]!;
    let best: Move | null = null;
    for (const move of movesOf(columns, counts)) {
      state.after(move, then);
      if (compareCosts(then, now) >= 0) continue;
      best = move;
      now.set(then);
    }
    if (best === null) continue;
    state.move(best);
    state.settle(now);
    open = lists.length + 1;
  }
  const worth = (choice: readonly number[]): Worth => {
    const { overrun, objectives } = spendingOf(pack, choice);
    return Float64Array.from([overrun, ...OBJECTIVES.map((objective) => objectives[objective])]);
  };
  return compareCosts(worth(start), worth(counts)) < 0 ? start : counts;
}
