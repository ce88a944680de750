import { ACCESS_KINDS, type AccessKind, type CacheGeometry } from "./geometry.js";
import { victimChoice } from "./replacement.js";

/** Accesses of a trace in arrays, so that a long one takes little memory. An address is `high * 2^32 + low`. */
export interface AccessBatch {
  /** Accesses in the arrays, from index 0. */
  readonly length: number;
  /** Index in ACCESS_KINDS. */
  readonly kinds: Uint8Array;
  readonly low: Uint32Array;
  readonly high: Uint32Array;
}

/** What a cache made of a trace. */
export interface CacheCounts {
  /** Accesses of the kinds that it sees. */
  readonly accesses: number;
  readonly hits: number;
  readonly misses: number;
  /** Misses by kind. */
  readonly missesOf: Readonly<Record<AccessKind, number>>;
  /** Lines written back because they left after a write; those left at the end are not counted. 0: write through. */
  readonly writeBacks: number;
}

/** Takes accesses and counts hits and misses. It starts empty. */
export interface SimulatedCache {
  run(batch: AccessBatch): void;
  counts(): CacheCounts;
}

/** Index of a write in ACCESS_KINDS. */
const WRITE = ACCESS_KINDS.indexOf("write");

/**
 * A set-associative cache that is empty at first. Each access touches the one line that its address lies in: a trace
 * does not say how many bytes an access moves. Throws RangeError for a geometry whose numbers are not legal.
 */
export function simulatedCache(geometry: CacheGeometry): SimulatedCache {
  const { sets, ways, lineBytes, writeAllocate, sees } = geometry;
  const offsetBits = Math.log2(lineBytes);
  const legal =
    Number.isInteger(Math.log2(sets)) && Number.isInteger(offsetBits) && offsetBits < 32 && sets <= 2 ** 31;
  if (!legal || !Number.isInteger(ways) || ways < 1) throw new RangeError("no legal cache geometry");
  const choice = victimChoice(geometry);
  const seen = ACCESS_KINDS.map((kind) => sees.includes(kind));
  /** Line addresses, low and high part. */
  const low = new Uint32Array(sets * ways);
  const high = new Uint32Array(sets * ways);
  const dirty = new Uint8Array(sets * ways);
  /** Ways of each set that hold a line: the first ones. */
  const filled = new Uint16Array(sets);
  const accesses = [0, 0, 0];
  const misses = [0, 0, 0];
  let writeBacks = 0;
  /** The line of the access before, while it is in the cache: an access to it again changes nothing but `dirty`. */
  let lastLow = 0;
  let lastHigh = 0;
  let lastPlace = -1;

  function run(batch: AccessBatch): void {
    for (let i = 0; i < batch.length; i++) {
      const kind = batch.kinds[i]!;
      if (!seen[kind]) continue;
      accesses[kind]! += 1;
      const addressHigh = batch.high[i]!;
      const lineHigh = addressHigh >>> offsetBits;
      const lineLow =
        offsetBits === 0
          ? batch.low[i]!
          : ((batch.low[i]! >>> offsetBits) | (addressHigh << (32 - offsetBits))) >>> 0;
      if (lastPlace >= 0 && lineLow === lastLow && lineHigh === lastHigh) {
        if (kind === WRITE && writeAllocate) dirty[lastPlace] = 1;
        continue;
      }
      const set = lineLow & (sets - 1);
      const base = set * ways;
      const held = filled[set]!;
      let way = 0;
      while (way < held && (low[base + way] !== lineLow || high[base + way] !== lineHigh)) way += 1;
      if (way < held) {
        choice.used(set, way);
      } else {
        misses[kind]! += 1;
        if (kind === WRITE && !writeAllocate) continue;
        if (held === ways) {
          way = choice.victim(set);
          writeBacks += dirty[base + way]!;
        } else {
          filled[set] = held + 1;
        }
        low[base + way] = lineLow;
        high[base + way] = lineHigh;
        dirty[base + way] = 0;
        choice.filled(set, way);
      }
      lastLow = lineLow;
      lastHigh = lineHigh;
      lastPlace = base + way;
      if (kind === WRITE && writeAllocate) dirty[lastPlace] = 1;
    }
  }

  function counts(): CacheCounts {
    const sum = (list: readonly number[]) => list.reduce((a, b) => a + b, 0);
    const [fetch = 0, read = 0, write = 0] = misses;
    return {
      accesses: sum(accesses),
      hits: sum(accesses) - sum(misses),
      misses: sum(misses),
      missesOf: { fetch, read, write },
      writeBacks,
    };
  }

  return { run, counts };
}
