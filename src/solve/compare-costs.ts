/** Below 0 where `a` is less than `b` in the first figure in which they differ, above 0 where it is more, 0 where all are equal. */
export function compareCosts(a: ArrayLike<number>, b: ArrayLike<number>): number {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return a[i]! - b[i]!;
  return 0;
}
