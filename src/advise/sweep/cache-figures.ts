import type { DesignFile } from "../../input/design-schema.js";
import type { CacheCounts } from "../cache-simulator/cache.js";
import {
  ACCESS_KINDS,
  type AccessKind,
  type CacheGeometry,
  cachesOf,
  geometriesOf,
  geometryKey,
  isDecided,
} from "../cache-simulator/geometry.js";
import { cacheBytes, rulesOfThumb } from "../cache-simulator/rules-of-thumb.js";
import { hitRate, simulateTrace, type TraceResult } from "../cache-simulator/simulate.js";
import { OptionError } from "./option-error.js";
import type { CacheFigures } from "./row.js";
import { unknownName } from "./unknown-name.js";

/** A trace to run through every cache geometry of a sweep. */
export interface SweepTrace {
  readonly path: string;
  /** The name for errors and reports. */
  readonly file: string;
  /** Kinds of access that a cache sees, where they are not the usual ones: see geometriesOf. */
  readonly sees?: ReadonlyMap<string, readonly AccessKind[]>;
  /** For a cache the caches before it: it sees what they pass on, of all kinds, instead of the trace. */
  readonly behind?: ReadonlyMap<string, readonly string[]>;
}

/** A cache of a combination, with those before it. */
interface Placed {
  readonly geometry: CacheGeometry;
  readonly before: readonly Placed[];
  /** The same for caches that behave alike behind caches that do. */
  readonly key: string;
}

/** Gathers the cache geometries of a sweep, and gives the figures of each: from one pass over a trace, or from rules. */
export class SweptCaches {
  private readonly written: ReadonlyMap<string, Placed>;
  /** Those before a cache come before it. */
  private readonly distinct = new Map<string, Placed>();
  private readonly ofCombination = new Map<number, ReadonlyMap<string, Placed>>();
  private readonly counts = new Map<string, CacheCounts>();

  /**
   * `base` is the design as it was written. Throws OptionError where `sees` or `behind` names a cache that it does not
   * have, or a cache is behind itself.
   */
  constructor(
    base: DesignFile,
    private readonly trace: SweepTrace | null,
  ) {
    const names = cachesOf(base).map(({ name }) => name);
    const check = (option: string, name: string) => {
      if (!names.includes(name)) throw unknownName(option, name, names, "caches");
    };
    for (const name of trace?.sees?.keys() ?? []) check("--sees", name);
    for (const [name, before] of trace?.behind ?? []) {
      for (const each of [name, ...before]) check("--behind", each);
      if (this.isBefore(name, name)) {
        throw new OptionError("wrong-option-value", `--behind: ${JSON.stringify(name)} is behind itself`);
      }
    }
    this.written = this.placed(base);
  }

  /** The caches of the design as written. */
  get names(): string[] {
    return [...this.written.keys()];
  }

  /** Takes note of a combination. */
  add(combination: number, file: DesignFile): void {
    const placed = this.placed(file);
    this.ofCombination.set(combination, placed);
    const note = (cache: Placed): void => {
      cache.before.forEach(note);
      this.distinct.set(cache.key, cache);
    };
    for (const cache of placed.values()) note(cache);
  }

  /** Runs the trace once through all geometries seen so far; null where there is none. Throws TraceError. */
  async simulate(signal?: AbortSignal): Promise<TraceResult["accesses"] | null> {
    if (this.trace === null) return null;
    const decided = (cache: Placed): boolean => isDecided(cache.geometry) && cache.before.every(decided);
    const chosen = [...this.distinct.values()].filter(decided);
    const places = new Map(chosen.map(({ key }, index) => [key, index]));
    const list = chosen.map(({ geometry, before }) => ({
      geometry,
      behind: before.map(({ key }) => places.get(key)!),
    }));
    const { accesses, caches } = await simulateTrace(this.trace.path, this.trace.file, list, signal);
    chosen.forEach(({ key }, i) => {
      this.counts.set(key, caches[i]!);
    });
    return accesses;
  }

  /** The figures of a combination's caches. */
  figures(combination: number): Record<string, CacheFigures> {
    const found: Record<string, CacheFigures> = {};
    for (const [name, { geometry, key }] of this.ofCombination.get(combination) ?? []) {
      const counts = this.counts.get(key) ?? null;
      const written = this.written.get(name)?.geometry;
      found[name] = {
        bytes: cacheBytes(geometry),
        counts,
        hitRate: counts === null ? null : hitRate(counts),
        rules: this.trace === null && written !== undefined ? rulesOfThumb(geometry, written) : null,
      };
    }
    return found;
  }

  /** The caches that are not the same, or not behind the same, in all combinations. */
  varying(): string[] {
    const keys = new Map<string, Set<string>>();
    for (const placed of this.ofCombination.values()) {
      for (const [name, { key }] of placed) keys.set(name, (keys.get(name) ?? new Set()).add(key));
    }
    return [...keys].filter(([, distinct]) => distinct.size > 1).map(([name]) => name);
  }

  /** Whether accesses of a cache reach another, as `behind` says. */
  private isBefore(first: string, last: string, seen: ReadonlySet<string> = new Set()): boolean {
    const before = this.trace?.behind?.get(last) ?? [];
    return before.some(
      (each) => each === first || (!seen.has(each) && this.isBefore(first, each, new Set([...seen, each]))),
    );
  }

  private placed(file: DesignFile): Map<string, Placed> {
    const behind = this.trace?.behind ?? new Map<string, readonly string[]>();
    const kinds = new Map<string, readonly AccessKind[]>(
      [...behind.keys()].map((name) => [name, ACCESS_KINDS]),
    );
    const sees = new Map([...kinds, ...(this.trace?.sees ?? [])]);
    const geometries = new Map(geometriesOf(file, sees).map(({ name, geometry }) => [name, geometry]));
    const place = (name: string): Placed => {
      const geometry = geometries.get(name)!;
      // A combination may lack a cache: its name is a key like others.
      const before = (behind.get(name) ?? []).filter((each) => geometries.has(each)).map(place);
      const own = geometryKey(geometry);
      const key = before.length === 0 ? own : `${own} (${before.map((each) => each.key).join("; ")})`;
      return { geometry, before, key };
    };
    return new Map([...geometries.keys()].map((name) => [name, place(name)]));
  }
}
