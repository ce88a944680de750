import type { TileOption } from "./tile-option.js";

/** What the columns of a slab are chosen from. */
export interface ColumnTask {
  readonly options: readonly TileOption[];
  /** For each option, where a column ends that begins with so many bits left, in bits left. */
  readonly ends: readonly (readonly number[])[];
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
  readonly ends: readonly number[];
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
 * The columns of least cost for one slab, from any position until `to` bits are left, by each of several preferences: a
 * knapsack over the width. How many rows a slab has does not matter, as they make every option dearer alike. One array holds
 * what there is of all preferences.
 */
export class Knapsacks {
  private bits = 0;
  private option = new Int32Array(0);
  /** Costs of all preferences, then their ties, then their marks. */
  private sums = new Float64Array(0);
  private readonly filledTo: number[];
  /** Whether a preference chooses the same as an earlier one, as far as is known: bits of the earlier ones. */
  private readonly same: number[];

  constructor(
    /** For each option: see `columnMarks`. */
    private readonly ofOption: readonly number[],
    private readonly to: number,
    private readonly items: readonly (readonly Item[])[],
    private readonly preferences: readonly Preference[],
  ) {
    this.filledTo = items.map(() => to);
    this.same = items.map((_, place) => 2 ** place - 1);
  }

  /** Makes room for words with so many bits. */
  reach(width: number): void {
    const bits = width + 1 - this.to;
    if (bits <= this.bits) return;
    const before = this.bits;
    const places = this.items.length;
    const [option, sums] = [new Int32Array(places * bits), new Float64Array(3 * places * bits)];
    for (let row = 0; before > 0 && row < 3 * places; row++) {
      const [from, end] = [row * before, (row + 1) * before];
      if (row < places) option.set(this.option.subarray(from, end), row * bits);
      sums.set(this.sums.subarray(from, end), row * bits);
    }
    this.option = option;
    this.sums = sums;
    this.bits = bits;
  }

  /** Makes the choices of the first preferences, so many of them, for so many bits left. */
  fill(from: number, places: number): void {
    for (let place = 0; place < places; place++) {
      if (from <= this.filledTo[place]!) continue;
      this.fillOne(place, from);
      this.filledTo[place] = from;
    }
  }

  private fillOne(place: number, from: number): void {
    const { option, sums, to, bits } = this;
    const items = this.items[place]!;
    const places = this.items.length;
    const base = place * bits;
    const ties = places * bits;
    const marks = 2 * ties;
    for (let left = this.filledTo[place]! + 1; left <= from; left++) {
      const at = left - to;
      let best = -1;
      let least = 0;
      let second = 0;
      let next = 0;
      for (let i = 0; i < items.length; i++) {
        const item = items[i]!;
        const reach = item.ends[left]!;
        const end = reach > to ? base + reach - to : base;
        if (reach > to && option[end]! < 0) continue;
        const a = item.own + sums[end]!;
        if (best >= 0 && a > least) continue;
        const b = item.other + sums[ties + end]!;
        if (best >= 0 && a === least && b >= second) continue;
        best = item.index;
        least = a;
        second = b;
        next = end;
      }
      option[base + at] = best;
      sums[base + at] = least;
      sums[ties + base + at] = second;
      if (best >= 0) sums[marks + base + at] = this.ofOption[best]! + sums[marks + next]!;
      for (let before = 0; before < place; before++) {
        if (option[before * bits + at] !== best) this.same[place]! &= ~(1 << before);
      }
    }
  }

  /** Whether no earlier preference chooses the same from the first position on. */
  isNew(place: number): boolean {
    return this.same[place] === 0;
  }

  /** The option where so many bits are left; -1: none. */
  optionAt(place: number, left: number): number {
    return this.option[place * this.bits + left - this.to]!;
  }

  /** Sum of the marks of the columns from a position on. */
  marksFrom(place: number, left: number): number {
    return this.sums[(2 * this.items.length + place) * this.bits + left - this.to]!;
  }

  /** Units of the columns from a position on. */
  unitsFrom(place: number, left: number): number {
    const row = this.preferences[place]!.byArea ? this.items.length + place : place;
    return this.sums[row * this.bits + left - this.to]!;
  }
}
