import type { CacheGeometry } from "./geometry.js";

/** Bytes below which the 2:1 rule is stated to hold. */
const TWO_TO_ONE_BELOW = 128 * 1024;

/** What rules of thumb say of a cache without a trace. They are no measurement. */
export interface RulesOfThumb {
  /**
   * Misses as a multiple of those of another size: the square root of the other size over this one. "Square-root
   * rule": a power law of exponent -1/2. Source: Hartstein, Srinivasan, Puzak and Emma, "On the nature of cache miss
   * behavior: is it sqrt 2?", Journal of Instruction-Level Parallelism 10, 2008; from memory.
   */
  readonly missesBySquareRoot: number;
  /**
   * Bytes of the direct-mapped cache that misses about as often: a direct-mapped cache of size N misses like a
   * two-way one of size N/2, for sizes below 128 KiB. null where the rule says nothing: other ways, larger sizes.
   * Source: Hennessy & Patterson, Computer Architecture: a quantitative approach, appendix on memory hierarchy ("2:1
   * cache rule of thumb"); from memory.
   */
  readonly directMappedBytes: number | null;
}

/** Bytes of data that a cache holds. */
export function cacheBytes({ sets, ways, lineBytes }: CacheGeometry): number {
  return sets * ways * lineBytes;
}

/** The rules of thumb for a cache, against another that its design had before. */
export function rulesOfThumb(cache: CacheGeometry, before: CacheGeometry): RulesOfThumb {
  const bytes = cacheBytes(cache);
  const direct = cache.ways === 1 ? bytes : cache.ways === 2 ? 2 * bytes : null;
  return {
    missesBySquareRoot: Math.sqrt(cacheBytes(before) / bytes),
    directMappedBytes: direct !== null && direct < TWO_TO_ONE_BELOW ? direct : null,
  };
}
