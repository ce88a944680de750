import type { AccessBatch } from "../../../src/advise/cache-simulator/accesses.js";
import { simulatedCache } from "../../../src/advise/cache-simulator/cache.js";
import {
  ACCESS_KINDS,
  type AccessKind,
  type CacheGeometry,
} from "../../../src/advise/cache-simulator/geometry.js";

/** One access of a test: an address below 2^64 and what is done there. */
export interface Access {
  readonly kind: AccessKind;
  readonly address: bigint;
}

/** Reads at the start of these lines. */
export function readsOf(lines: readonly number[], lineBytes: number): Access[] {
  return lines.map((line) => ({ kind: "read", address: BigInt(line * lineBytes) }));
}

/** Accesses as the simulator takes them. */
export function batchOf(accesses: readonly Access[]): AccessBatch {
  return {
    length: accesses.length,
    kinds: Uint8Array.from(accesses, ({ kind }) => ACCESS_KINDS.indexOf(kind)),
    low: Uint32Array.from(accesses, ({ address }) => Number(address & 0xffff_ffffn)),
    high: Uint32Array.from(accesses, ({ address }) => Number(address >> 32n)),
  };
}

/** For each access whether it hit. */
export function hitsOf(geometry: CacheGeometry, accesses: readonly Access[]): boolean[] {
  const cache = simulatedCache(geometry);
  return accesses.map((access) => {
    const before = cache.counts().hits;
    cache.run(batchOf([access]));
    return cache.counts().hits > before;
  });
}

/** A data cache of 4-byte lines that allocates on a write and sees all kinds. */
export function geometry(fields: Partial<CacheGeometry>): CacheGeometry {
  return {
    sets: 1,
    ways: 1,
    lineBytes: 4,
    replacement: "lru",
    writeAllocate: true,
    sees: ACCESS_KINDS,
    ...fields,
  };
}
