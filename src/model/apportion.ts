/**
 * Splits a whole number into whole parts in proportion to weights, without remainder: each part is rounded down,
 * and what is left goes one by one to the largest fractions, the earlier first. All weights zero: the first takes all.
 */
export function apportion(total: number, weights: readonly number[]): number[] {
  const sum = weights.reduce((a, b) => a + b, 0);
  if (sum === 0) return weights.map((_, i) => (i === 0 ? total : 0));
  const parts = weights.map((w) => Math.floor((total * w) / sum));
  const order = weights
    .map((w, i) => ({ i, fraction: (total * w) % sum }))
    .sort((a, b) => b.fraction - a.fraction || a.i - b.i);
  let left = total - parts.reduce((a, b) => a + b, 0);
  for (const { i } of order) {
    if (left === 0) break;
    parts[i]! += 1;
    left -= 1;
  }
  return parts;
}
