import type { DesignFile } from "../../input/design-schema.js";
import type { CacheCounts } from "../cache-simulator/cache.js";
import {
  type AccessKind,
  type CacheGeometry,
  geometriesOf,
  geometryKey,
  isDecided,
} from "../cache-simulator/geometry.js";
import { cacheBytes, rulesOfThumb } from "../cache-simulator/rules-of-thumb.js";
import { hitRate, simulateTrace, type TraceResult } from "../cache-simulator/simulate.js";
import type { CacheFigures } from "./row.js";
import { unknownName } from "./unknown-name.js";

/** A trace to run through every cache geometry of a sweep. */
export interface SweepTrace {
  readonly path: string;
  /** The name for errors and reports. */
  readonly file: string;
  /** Kinds of access that a cache sees, where they are not the usual ones: see geometriesOf. */
  readonly sees?: ReadonlyMap<string, readonly AccessKind[]>;
}

/** Gathers the cache geometries of a sweep, and gives the figures of each: from one pass over a trace, or from rules. */
export class SweptCaches {
  private readonly before: ReadonlyMap<string, CacheGeometry>;
  private readonly distinct = new Map<string, CacheGeometry>();
  private readonly ofCombination = new Map<number, ReadonlyMap<string, CacheGeometry>>();
  private readonly counts = new Map<string, CacheCounts>();

  /** `base` is the design as it was written. Throws OptionError where `sees` names a cache that it does not have. */
  constructor(
    base: DesignFile,
    private readonly trace: SweepTrace | null,
  ) {
    this.before = this.geometries(base);
    for (const name of trace?.sees?.keys() ?? []) {
      if (!this.before.has(name)) throw unknownName("--sees", name, this.names, "caches");
    }
  }

  /** The caches of the design as written. */
  get names(): string[] {
    return [...this.before.keys()];
  }

  /** Takes note of a combination. */
  add(combination: number, file: DesignFile): void {
    const geometries = this.geometries(file);
    this.ofCombination.set(combination, geometries);
    for (const geometry of geometries.values()) this.distinct.set(geometryKey(geometry), geometry);
  }

  /** Runs the trace once through all geometries seen so far; null where there is none. Throws TraceError. */
  async simulate(signal?: AbortSignal): Promise<TraceResult["accesses"] | null> {
    if (this.trace === null) return null;
    const decided = [...this.distinct].filter(([, geometry]) => isDecided(geometry));
    const geometries = decided.map(([, geometry]) => geometry);
    const { accesses, caches } = await simulateTrace(this.trace.path, this.trace.file, geometries, signal);
    decided.forEach(([key], i) => {
      this.counts.set(key, caches[i]!);
    });
    return accesses;
  }

  /** The figures of a combination's caches. */
  figures(combination: number): Record<string, CacheFigures> {
    const found: Record<string, CacheFigures> = {};
    for (const [name, geometry] of this.ofCombination.get(combination) ?? []) {
      const counts = this.counts.get(geometryKey(geometry)) ?? null;
      const before = this.before.get(name);
      found[name] = {
        bytes: cacheBytes(geometry),
        counts,
        hitRate: counts === null ? null : hitRate(counts),
        rules: this.trace === null && before !== undefined ? rulesOfThumb(geometry, before) : null,
      };
    }
    return found;
  }

  /** The caches whose geometry is not the same in all combinations. */
  varying(): string[] {
    const keys = new Map<string, Set<string>>();
    for (const geometries of this.ofCombination.values()) {
      for (const [name, geometry] of geometries) {
        keys.set(name, (keys.get(name) ?? new Set()).add(geometryKey(geometry)));
      }
    }
    return [...keys].filter(([, distinct]) => distinct.size > 1).map(([name]) => name);
  }

  private geometries(file: DesignFile): Map<string, CacheGeometry> {
    return new Map(geometriesOf(file, this.trace?.sees).map(({ name, geometry }) => [name, geometry]));
  }
}
