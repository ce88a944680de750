/** The middle value, or the mean of the middle two. NaN of nothing. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1
    ? sorted[Math.floor(middle)]!
    : (sorted[middle - 1]! + sorted[middle]!) / 2 || Number.NaN;
}

/** The geometric mean of positive values. */
export function geometricMean(values: readonly number[]): number {
  return Math.exp(values.reduce((sum, value) => sum + Math.log(value), 0) / values.length);
}

/** How often each value occurs, the most frequent first. */
export function tally(values: readonly string[]): [string, number][] {
  const counts = new Map<string, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort(([, a], [, b]) => b - a);
}

/** Milliseconds that an action takes, and its result. */
export async function timed<T>(
  action: () => T | Promise<T>,
): Promise<{ readonly ms: number; readonly result: T }> {
  const started = performance.now();
  const result = await action();
  return { ms: performance.now() - started, result };
}
