/** Fewest blocks for the extents, two at most in each, by trying every matching. */
export function fewestBlocks(extents: readonly number[], cells: number): number {
  const known = new Map<number, number>();
  const from = (done: number): number => {
    const first = extents.findIndex((_, index) => (done & (1 << index)) === 0);
    if (first < 0) return 0;
    const before = known.get(done);
    if (before !== undefined) return before;
    let best = 1 + from(done | (1 << first));
    extents.forEach((extent, index) => {
      if (index <= first || (done & (1 << index)) !== 0 || extents[first]! + extent > cells) return;
      best = Math.min(best, 1 + from(done | (1 << first) | (1 << index)));
    });
    known.set(done, best);
    return best;
  };
  return from(0);
}
