import type { DesignFile } from "../../input/design-schema.js";
import type { CacheParameters } from "../../structures/cache.js";
import type { Replacement } from "../../structures/index.js";

/** What an access of a trace does: fetches an instruction, reads data or writes data. */
export const ACCESS_KINDS = ["fetch", "read", "write"] as const;
export type AccessKind = (typeof ACCESS_KINDS)[number];

/** All that decides whether an access to a cache hits. */
export interface CacheGeometry {
  /** A power of two. */
  readonly sets: number;
  /** From 1; any whole number. */
  readonly ways: number;
  /** Bytes in a line, a power of two. */
  readonly lineBytes: number;
  readonly replacement: Replacement;
  /** True: a write that misses brings its line in, and lines are written back (or not at all) when they leave. */
  readonly writeAllocate: boolean;
  /** The kinds of access that come to this cache. */
  readonly sees: readonly AccessKind[];
}

/** The cache of a design that a geometry belongs to. */
export interface NamedGeometry {
  readonly name: string;
  readonly geometry: CacheGeometry;
}

/** A text that is the same for geometries that behave alike, and for no others. */
export function geometryKey({
  sets,
  ways,
  lineBytes,
  replacement,
  writeAllocate,
  sees,
}: CacheGeometry): string {
  // The encodings of LRU differ in hardware alone, and one way leaves nothing to choose.
  const rule = ways === 1 ? "none" : replacement.startsWith("lru") ? "lru" : replacement;
  return [sets, ways, lineBytes, rule, writeAllocate, ACCESS_KINDS.filter((k) => sees.includes(k))].join(" ");
}

/** True where a cache says how it replaces lines: `none` beside several ways leaves it open. */
export function isDecided({ ways, replacement }: CacheGeometry): boolean {
  return ways === 1 || replacement !== "none";
}

/** The caches of a design file that a structure of kind `cache` describes, in the order of the file. */
export function cachesOf(file: DesignFile): CacheParameters[] {
  return file.structures.filter((structure) => structure.kind === "cache") as unknown as CacheParameters[];
}

/**
 * The geometry of each cache of a design. A `read_only` cache sees fetches. Any other sees reads and writes, and
 * fetches too where the design has no `read_only` cache; `sees` overrules this by name. `write: back` allocates on a
 * write that misses and `write: through` does not, the usual pairing (Hennessy & Patterson, Computer Architecture,
 * appendix on memory hierarchy; from memory).
 */
export function geometriesOf(
  file: DesignFile,
  sees: ReadonlyMap<string, readonly AccessKind[]> = new Map(),
): NamedGeometry[] {
  const caches = cachesOf(file);
  const split = caches.some((cache) => cache.read_only);
  return caches.map((cache) => {
    const usual: readonly AccessKind[] = cache.read_only
      ? ["fetch"]
      : split
        ? ["read", "write"]
        : ACCESS_KINDS;
    const geometry: CacheGeometry = {
      sets: cache.size / (cache.ways * cache.line),
      ways: cache.ways,
      lineBytes: cache.line / 8,
      replacement: cache.replacement,
      writeAllocate: cache.write !== "through",
      sees: sees.get(cache.name) ?? usual,
    };
    return { name: cache.name, geometry };
  });
}
