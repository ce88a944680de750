/** Caches run on a trace of accesses, and what rules of thumb say without one. */
export type { CacheCounts } from "./cache.js";
export {
  ACCESS_KINDS,
  type AccessKind,
  type CacheGeometry,
  geometriesOf,
  type NamedGeometry,
} from "./geometry.js";
export { type RulesOfThumb, rulesOfThumb } from "./rules-of-thumb.js";
export { hitRate, simulateTrace, type TracedCache, type TraceResult } from "./simulate.js";
export { TraceError } from "./trace-error.js";
