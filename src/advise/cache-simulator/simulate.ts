import { type AccessBatch, type CacheCounts, simulatedCache } from "./cache.js";
import { ACCESS_KINDS, type AccessKind, type CacheGeometry } from "./geometry.js";
import { readTrace } from "./read-trace.js";

/** A trace and what each cache made of it. */
export interface TraceResult {
  /** Accesses in the trace. */
  readonly accesses: Readonly<Record<AccessKind, number>>;
  /** In the order of the geometries. */
  readonly caches: readonly CacheCounts[];
}

/**
 * Runs a trace once through any number of caches, each of which starts empty and sees all accesses of its kinds as if
 * it were alone. Throws as readTrace does.
 */
export async function simulateTrace(
  path: string,
  file: string,
  geometries: readonly CacheGeometry[],
  signal?: AbortSignal,
): Promise<TraceResult> {
  const caches = geometries.map(simulatedCache);
  const totals = [0, 0, 0];
  const take = (batch: AccessBatch) => {
    for (let i = 0; i < batch.length; i++) totals[batch.kinds[i]!]! += 1;
    for (const cache of caches) cache.run(batch);
  };
  await readTrace(path, file, take, signal);
  const accesses = Object.fromEntries(ACCESS_KINDS.map((kind, i) => [kind, totals[i]!]));
  return {
    accesses: accesses as Record<AccessKind, number>,
    caches: caches.map((cache) => cache.counts()),
  };
}

/** Hits of all accesses, from 0 to 1; null where there was no access. */
export function hitRate({ accesses, hits }: CacheCounts): number | null {
  return accesses === 0 ? null : hits / accesses;
}
