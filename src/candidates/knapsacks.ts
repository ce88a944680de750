import type { TileOption } from "./tile-option.js";

/** What the columns of a slab are chosen from. */
export interface ColumnTask {
  readonly options: readonly TileOption[];
  /** For each option, where a column that starts at a position ends. */
  readonly ends: readonly Int32Array[];
  /** For each option, what one row of a tile takes of its block, as a multiple of a part that goes into all of them. */
  readonly areas: readonly number[];
}

/** How the columns of one slab are chosen: fewest units, or least area. */
export interface Preference {
  /** Only options of this family; null: all. */
  readonly family: string | null;
  readonly byArea: boolean;
}

/** What a column of an option adds to the sum that is made least, and to the one that decides between equals. */
interface Item {
  readonly index: number;
  readonly ends: Int32Array;
  readonly own: number;
  readonly other: number;
}

/** The items of options at least `depth` deep, for each preference. */
export function knapsackItems(
  { options, ends, areas }: ColumnTask,
  depth: number,
  preferences: readonly Preference[],
): readonly (readonly Item[])[] {
  return preferences.map(({ family, byArea }) => {
    const items: Item[] = [];
    options.forEach(({ shape, units }, index) => {
      if (shape.depth < depth || (family !== null && shape.family !== family)) return;
      const area = areas[index]!;
      items.push({ index, ends: ends[index]!, own: byArea ? area : units, other: byArea ? units : area });
    });
    return items;
  });
}

/**
 * The columns of least cost for one slab, from any position to bit `to`, by each of several preferences: a knapsack over
 * the width. How many rows a slab has does not matter, as they make every option dearer alike. One array holds what there is
 * of all preferences.
 */
export class Knapsacks {
  private readonly option: Int32Array;
  private readonly cost: Float64Array;
  private readonly tie: Float64Array;
  private readonly marks: Float64Array;
  private filledFrom: number;
  /** Whether a preference chooses the same as an earlier one, as far as is known: bits of the earlier ones. */
  private readonly same: number[];

  constructor(
    /** For each option: see `columnMarks`. */
    private readonly ofOption: readonly number[],
    private readonly to: number,
    private readonly items: readonly (readonly Item[])[],
    private readonly preferences: readonly Preference[],
  ) {
    const size = items.length * (to + 1);
    this.option = new Int32Array(size);
    this.cost = new Float64Array(size);
    this.tie = new Float64Array(size);
    this.marks = new Float64Array(size);
    this.filledFrom = to;
    this.same = items.map((_, place) => 2 ** place - 1);
  }

  /** Makes the choices from a position on. */
  fill(from: number): void {
    if (from >= this.filledFrom) return;
    for (let place = 0; place < this.items.length; place++) this.fillOne(place, from);
    this.filledFrom = from;
  }

  private fillOne(place: number, from: number): void {
    const { option, cost, tie, marks, to } = this;
    const items = this.items[place]!;
    const base = place * (to + 1);
    for (let at = this.filledFrom - 1; at >= from; at--) {
      let best = -1;
      let least = 0;
      let second = 0;
      let next = 0;
      for (let i = 0; i < items.length; i++) {
        const item = items[i]!;
        const reach = item.ends[at]!;
        const end = base + Math.min(reach, to);
        if (reach < to && option[end]! < 0) continue;
        const a = item.own + cost[end]!;
        if (best >= 0 && a > least) continue;
        const b = item.other + tie[end]!;
        if (best >= 0 && a === least && b >= second) continue;
        best = item.index;
        least = a;
        second = b;
        next = end;
      }
      option[base + at] = best;
      cost[base + at] = least;
      tie[base + at] = second;
      if (best >= 0) marks[base + at] = this.ofOption[best]! + marks[next]!;
      for (let before = 0; before < place; before++) {
        if (option[before * (to + 1) + at] !== best) this.same[place]! &= ~(1 << before);
      }
    }
  }

  /** Whether no earlier preference chooses the same from the last position on. */
  isNew(place: number): boolean {
    return this.same[place] === 0;
  }

  /** The option at a position; -1: none. */
  optionAt(place: number, at: number): number {
    return this.option[place * (this.to + 1) + at]!;
  }

  /** Sum of the marks of the columns from a position on. */
  marksFrom(place: number, at: number): number {
    return this.marks[place * (this.to + 1) + at]!;
  }

  /** Units of the columns from a position on. */
  unitsFrom(place: number, at: number): number {
    const sums = this.preferences[place]!.byArea ? this.tie : this.cost;
    return sums[place * (this.to + 1) + at]!;
  }
}
