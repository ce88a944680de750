/** Keeps the items that no other dominates; of two that dominate each other the first stays. */
export function paretoSet<T>(items: readonly T[], dominates: (a: T, b: T) => boolean): T[] {
  const kept: T[] = [];
  for (const item of items) {
    if (kept.some((other) => dominates(other, item))) continue;
    for (let i = kept.length - 1; i >= 0; i--) if (dominates(item, kept[i]!)) kept.splice(i, 1);
    kept.push(item);
  }
  return kept;
}
