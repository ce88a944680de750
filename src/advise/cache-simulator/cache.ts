import type { AccessBatch, PassedAccesses } from "./accesses.js";
import { ACCESS_KINDS, type AccessKind, type CacheGeometry } from "./geometry.js";
import { victimChoice } from "./replacement.js";

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
  /** `passed` takes what the cache passes on to the next one. */
  run(batch: AccessBatch, passed?: PassedAccesses | null): void;
  counts(): CacheCounts;
}

const FETCH = ACCESS_KINDS.indexOf("fetch");
const READ = ACCESS_KINDS.indexOf("read");
const WRITE = ACCESS_KINDS.indexOf("write");

/**
 * A set-associative cache that is empty at first. An access of a trace touches the one line that its address lies in: a
 * trace does not say how many bytes an access moves. One that a cache before passes on touches all lines of its bytes.
 * Passed on are a dirty line that leaves (a write), then the line that comes in (a fetch or a read), and each write of a
 * cache that does not allocate on writes. Throws RangeError for a geometry whose numbers are not legal.
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

  function run(batch: AccessBatch, passed: PassedAccesses | null = null): void {
    const { length, kinds, low: addressLow, high: addressHigh, origin } = batch;
    for (let i = 0; i < length; i++) {
      const kind = kinds[i]!;
      if (!seen[kind]) continue;
      const bytes = origin === undefined ? 1 : origin.bytes[i]!;
      const position = origin === undefined ? i : origin.positions[i]!;
      // Lines are powers of two and start at multiples of their size, so the low part of an address never overflows.
      for (let offset = 0; offset < bytes; offset += lineBytes) {
        access(kind, addressLow[i]! + offset, addressHigh[i]!, position, passed);
      }
    }
  }

  function access(
    kind: number,
    addressLow: number,
    addressHigh: number,
    position: number,
    passed: PassedAccesses | null,
  ): void {
    accesses[kind]! += 1;
    const lineHigh = addressHigh >>> offsetBits;
    const lineLow =
      offsetBits === 0
        ? addressLow
        : ((addressLow >>> offsetBits) | (addressHigh << (32 - offsetBits))) >>> 0;
    const through = kind === WRITE && !writeAllocate;
    if (through) passed?.push(WRITE, addressLow, addressHigh, 1, position);
    if (lastPlace >= 0 && lineLow === lastLow && lineHigh === lastHigh) {
      if (kind === WRITE && writeAllocate) dirty[lastPlace] = 1;
      return;
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
      if (through) return;
      if (held === ways) {
        way = choice.victim(set);
        if (dirty[base + way] === 1) {
          writeBacks += 1;
          passLine(WRITE, low[base + way]!, high[base + way]!, position, passed);
        }
      } else {
        filled[set] = held + 1;
      }
      passLine(kind === FETCH ? FETCH : READ, lineLow, lineHigh, position, passed);
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

  function passLine(
    kind: number,
    lineLow: number,
    lineHigh: number,
    position: number,
    passed: PassedAccesses | null,
  ): void {
    if (passed === null) return;
    const addressHigh =
      offsetBits === 0 ? lineHigh : ((lineHigh << offsetBits) | (lineLow >>> (32 - offsetBits))) >>> 0;
    passed.push(kind, (lineLow << offsetBits) >>> 0, addressHigh, lineBytes, position);
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
