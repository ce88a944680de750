import { type Fragment, fragmentOf } from "./fragment.js";
import { eachShare, type Shares } from "./shares.js";
import type { TileOption } from "./tile-option.js";

/** What one tile of an option leaves to share, as a fragment and as a list of one. */
export interface Left {
  readonly fragment: Fragment;
  readonly one: Shares;
}

/** Tiles of so many rows: what one of each option leaves (null: nothing), and the options with the largest fragment first. */
export interface Height {
  readonly rows: number;
  readonly left: readonly (Left | null)[];
  readonly order: readonly number[];
}

/** What tiles of some options leave to share; like tiles share one fragment object, so that lists of them can be merged. */
export class FragmentPool {
  /** In ascending order: lists of shares tell them by their places here. */
  private readonly keys: readonly string[];
  private readonly fragments = new Map<number, Fragment>();
  private readonly heights = new Map<number, Height>();

  constructor(private readonly options: readonly TileOption[]) {
    const keys = options.flatMap(({ shareKey }) => (shareKey === null ? [] : [shareKey]));
    this.keys = [...new Set(keys)].sort();
  }

  height(rows: number): Height {
    let known = this.heights.get(rows);
    if (known === undefined) {
      const left = this.options.map((option) => this.leftOf(option, rows));
      const order = left.flatMap((entry, index) => (entry === null ? [] : [index]));
      order.sort((a, b) => {
        const [x, y] = [left[a]!.one, left[b]!.one];
        return y[0]! - x[0]! || x[1]! - y[1]!;
      });
      known = { rows, left, order };
      this.heights.set(rows, known);
    }
    return known;
  }

  private leftOf(option: TileOption, rows: number): Left | null {
    const made = fragmentOf(option, rows);
    if (made === null) return null;
    const key = this.keys.indexOf(made.shareKey);
    const number = made.extent * this.keys.length + key;
    const fragment = this.fragments.get(number) ?? made;
    this.fragments.set(number, fragment);
    return { fragment, one: [fragment.extent, key, fragment.units, 1] };
  }

  /** The fragments of a list, one by one. */
  listed(shares: Shares): Fragment[] {
    const found: Fragment[] = [];
    eachShare(shares, (extent, key, count) => {
      const fragment = this.fragments.get(extent * this.keys.length + key)!;
      for (let i = 0; i < count; i++) found.push(fragment);
    });
    return found;
  }
}
