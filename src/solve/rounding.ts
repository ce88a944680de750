import type { Part } from "./parts.js";

/** Parts of an item that are an engine's rounding error. */
const NOISE = 1e-6;

/**
 * Shares out `items` among columns as near as may be to the parts of items in `x`: whole ones first, what is left to those of
 * which the largest parts are left over.
 */
function shareOut(columns: readonly number[], items: number, x: Float64Array, counts: number[]): void {
  let left = items;
  const parts = columns.map((column) => {
    const whole = Math.min(left, Math.floor(x[column]! + NOISE));
    counts[column]! += whole;
    left -= whole;
    return { column, over: x[column]! - whole };
  });
  parts.sort((a, b) => b.over - a.over);
  for (let next = 0; left > 0; next = (next + 1) % parts.length, left--) counts[parts[next]!.column]! += 1;
}

/**
 * A whole choice near a fractional one (largest remainders, from memory): items of each column. Every part gets its items; limits may be broken.
 *
 * @param columns of the pack program
 * @param x items of each column, as a relaxation gives them
 */
export function rounded(columns: number, parts: readonly Part[], x: Float64Array): number[] {
  const counts = Array<number>(columns).fill(0);
  for (const { items, requests, configs } of parts) {
    if (configs === null) {
      shareOut(requests[0]!, items, x, counts);
      continue;
    }
    shareOut(
      configs.map(({ column }) => column),
      items,
      x,
      counts,
    );
    for (const [part, list] of requests.entries()) {
      const alone = configs.reduce((sum, config) => sum + counts[config.column]! * config.alone[part]!, 0);
      if (alone > 0) shareOut(list, alone, x, counts);
    }
  }
  return counts;
}
