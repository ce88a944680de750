import type { TileOption } from "./tile-option.js";
import { columnEnd, type Word } from "./word.js";

/**
 * Bits of a word are covered alike so many positions further on: anywhere without write lanes, a stretch further where all
 * stretches are of one width, nowhere else in words of other sorts.
 */
export function periodOf({ width, stretches, stretchEnd }: Word): number {
  if (stretches <= 1) return 1;
  const first = stretchEnd[0]!;
  const even = stretchEnd.every((end, at) => end === (Math.floor(at / first) + 1) * first);
  return even ? first : width;
}

/**
 * Where columns of each option end, of words of any width that are cut alike. Positions are the bits from there to the end
 * of the word, as that makes them those of a wider word too.
 */
export class ColumnEnds {
  /** Bits of the widest word so far. */
  width = 0;
  /** For each option, where a column ends that begins with so many bits left. */
  readonly ends: readonly number[][];
  /** For each option, most bits of a column that begins with so many bits left or fewer. */
  private readonly widest: readonly number[][];
  private readonly bulks: (readonly number[] | undefined)[] = [];

  constructor(private readonly options: readonly TileOption[]) {
    this.ends = options.map(() => [0]);
    this.widest = options.map(() => [0]);
  }

  /** Makes them known for a word. */
  reach(word: Word): void {
    this.width = Math.max(this.width, word.width);
    this.options.forEach(({ slots, laneBits }, index) => {
      const ends = this.ends[index]!;
      const widest = this.widest[index]!;
      for (let left = ends.length; left <= word.width; left++) {
        const end = word.width - columnEnd(word, word.width - left, slots, laneBits);
        ends.push(end);
        widest.push(Math.max(widest[left - 1]!, left - end));
      }
    });
  }

  /** Most bits of the word that one unit can hold. */
  bitsOfUnit(width: number): number {
    return this.options.reduce(
      (most, { units, shape }, index) => Math.max(most, (this.widest[index]![width]! * shape.depth) / units),
      0,
    );
  }

  /** Where columns of one option and one width can end before the last of them, which takes what is left. */
  bulkEnds(left: number): readonly number[] {
    let known = this.bulks[left];
    if (known === undefined) {
      const found = new Set<number>();
      for (const ends of this.ends) {
        const bulk = left - ends[left]!;
        let at = left;
        while (at > 0 && at - ends[at]! === bulk && ends[at]! > 0) at = ends[at]!;
        if (at < left) found.add(at);
      }
      known = [...found];
      this.bulks[left] = known;
    }
    return known;
  }
}
