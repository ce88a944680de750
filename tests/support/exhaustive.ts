import type { BlockKind } from "../../src/model/index.js";

/**
 * Exhaustive search over guillotine tilings, two tenants a block, and choices of pools. It shares no code with the
 * packer: plain recursion over every cut, meant for memories of a few dozen bits.
 */

/** A tile as sharing sees it: its family and how many of its cells are spoken for; full tiles take all of them. */
export interface Chunk {
  readonly family: string;
  readonly extent: number;
  readonly cells: number;
}

/** Fewest blocks that hold depth x width, over all guillotine cuts at any place. */
export function fewestBlocks(kind: BlockKind, depth: number, width: number): number {
  const shapes = kind.shapes["simple-dual"];
  const memo = new Map<string, number>();
  const least = (d: number, w: number): number => {
    const key = `${d},${w}`;
    const known = memo.get(key);
    if (known !== undefined) return known;
    let best = shapes.some((shape) => shape.depth >= d && shape.width >= w) ? 1 : Number.POSITIVE_INFINITY;
    for (let cut = 1; cut <= d / 2 && best > 1; cut++)
      best = Math.min(best, least(cut, w) + least(d - cut, w));
    for (let cut = 1; cut <= w / 2 && best > 1; cut++)
      best = Math.min(best, least(d, cut) + least(d, w - cut));
    memo.set(key, best);
    return best;
  };
  return least(depth, width);
}

const chunkKey = ({ family, extent }: Chunk) => `${family}:${extent}`;
const listKey = (chunks: readonly Chunk[]) => chunks.map(chunkKey).sort().join(" ");

/** Row counts of slabs, from the top: native depths in falling order, each full, then the rest in one slab. */
function slabHeights(depths: readonly number[], rows: number): number[][] {
  const found: number[][] = [];
  const deepest = Math.max(...depths);
  const grow = (left: number, limit: number, heights: readonly number[]) => {
    if (left === 0) found.push([...heights]);
    if (left > 0 && left <= deepest) found.push([...heights, left]);
    for (const depth of depths) {
      if (depth > limit || depth > left) continue;
      grow(left - depth, depth, [...heights, depth]);
    }
  };
  grow(rows, deepest, []);
  // A slab of rest is followed by nothing and is lower than what is above it, or no address bit could select it.
  return found.filter((heights) => {
    const last = heights.at(-1)!;
    const before = heights.at(-2);
    return before === undefined || last <= before;
  });
}

/**
 * Every way to cut depth x width into tiles that the documented layouts allow, as lists of chunks with at most one tile
 * more than the fewest: vertical strips of any widths; in a strip, slabs; in a slab, columns of any widths.
 */
export function chunkings(kind: BlockKind, depth: number, width: number): Chunk[][] {
  const shapes = kind.shapes["true-dual"];
  const depths = [...new Set(shapes.map((shape) => shape.depth))];
  const collect = (lists: Iterable<Chunk[]>): Chunk[][] => {
    const found = new Map<string, Chunk[]>();
    for (const chunks of lists) found.set(listKey(chunks), chunks);
    const all = [...found.values()];
    const fewest = Math.min(...all.map((chunks) => chunks.length));
    return all.filter((chunks) => chunks.length <= fewest + 1);
  };
  const product = (a: Chunk[][], b: Chunk[][]) => a.flatMap((left) => b.map((right) => [...left, ...right]));
  /** Cuts a width at any place; `whole` says what an uncut piece can be. */
  const columns = (whole: (w: number) => Chunk[][], memo = new Map<number, Chunk[][]>()) => {
    const cut = (w: number): Chunk[][] => {
      const known = memo.get(w);
      if (known !== undefined) return known;
      const lists = [...whole(w)];
      for (let at = 1; at <= w / 2; at++) lists.push(...product(cut(at), cut(w - at)));
      const kept = collect(lists);
      memo.set(w, kept);
      return kept;
    };
    return cut;
  };
  const slabs = new Map<number, (w: number) => Chunk[][]>();
  const slab = (rows: number, w: number): Chunk[][] => {
    const known = slabs.get(rows);
    if (known !== undefined) return known(w);
    const cut = columns((bits) =>
      shapes
        .filter((shape) => shape.depth >= rows && shape.width >= bits)
        .map((shape) => [
          { family: shape.family, extent: rows * shape.width, cells: shape.depth * shape.width },
        ]),
    );
    slabs.set(rows, cut);
    return cut(w);
  };
  const heights = slabHeights(depths, depth);
  const strip = (w: number) =>
    collect(
      heights.flatMap((list) =>
        list.reduce<Chunk[][]>((done, rows) => collect(product(done, slab(rows, w))), [[]]),
      ),
    );
  return columns(strip)(width);
}

/** Fewest blocks for chunks of which any two may share a block when family and room allow: tries every pairing. */
export function fewestPaired(chunks: readonly Chunk[], memo = new Map<string, number>()): number {
  const least = (left: readonly Chunk[]): number => {
    const [first, ...rest] = left;
    if (first === undefined) return 0;
    const key = listKey(left);
    const known = memo.get(key);
    if (known !== undefined) return known;
    let best = 1 + least(rest);
    rest.forEach((other, index) => {
      if (other.family !== first.family || other.extent + first.extent > first.cells) return;
      best = Math.min(best, 1 + least(rest.filter((_, i) => i !== index)));
    });
    memo.set(key, best);
    return best;
  };
  return least([...chunks].sort((a, b) => b.extent - a.extent));
}
