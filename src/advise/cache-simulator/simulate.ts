import { type AccessBatch, merged, PassedAccesses } from "./accesses.js";
import { type CacheCounts, simulatedCache } from "./cache.js";
import { ACCESS_KINDS, type AccessKind, type CacheGeometry } from "./geometry.js";
import { readTrace } from "./read-trace.js";

/** A trace and what each cache made of it. */
export interface TraceResult {
  /** Accesses in the trace. */
  readonly accesses: Readonly<Record<AccessKind, number>>;
  /** In the order of the geometries. */
  readonly caches: readonly CacheCounts[];
}

/** A cache to simulate. */
export interface TracedCache {
  readonly geometry: CacheGeometry;
  /**
   * The caches before it, by their index in the list, in which they come first: it sees what they pass on. Left out or
   * []: it sees the trace.
   */
  readonly behind?: readonly number[];
}

/**
 * Runs a trace once through any number of caches, each of which starts empty. A cache behind no other sees all accesses
 * of its kinds as if it were alone. Throws as readTrace does; RangeError for a cache behind one that does not come first.
 */
export async function simulateTrace(
  path: string,
  file: string,
  caches: readonly TracedCache[],
  signal?: AbortSignal,
): Promise<TraceResult> {
  if (caches.some(({ behind = [] }, index) => behind.some((before) => before >= index))) {
    throw new RangeError("a cache stands before one that it is behind");
  }
  const simulated = caches.map(({ geometry }) => simulatedCache(geometry));
  const before = new Set(caches.flatMap(({ behind = [] }) => behind));
  const passed = caches.map((_, index) => (before.has(index) ? new PassedAccesses() : null));
  const totals = [0, 0, 0];
  const take = (batch: AccessBatch) => {
    for (let i = 0; i < batch.length; i++) totals[batch.kinds[i]!]! += 1;
    const together = new Map<string, AccessBatch>();
    caches.forEach(({ behind = [] }, index) => {
      const key = behind.join(" ");
      const seen = key === "" ? batch : (together.get(key) ?? merged(behind.map((each) => passed[each]!)));
      if (key !== "") together.set(key, seen);
      passed[index]?.clear();
      simulated[index]!.run(seen, passed[index] ?? null);
    });
  };
  await readTrace(path, file, take, signal);
  const accesses = Object.fromEntries(ACCESS_KINDS.map((kind, i) => [kind, totals[i]!]));
  return {
    accesses: accesses as Record<AccessKind, number>,
    caches: simulated.map((cache) => cache.counts()),
  };
}

/** Hits of all accesses, from 0 to 1; null where there was no access. */
export function hitRate({ accesses, hits }: CacheCounts): number | null {
  return accesses === 0 ? null : hits / accesses;
}
