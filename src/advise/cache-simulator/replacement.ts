import type { CacheGeometry } from "./geometry.js";

/** Seed of the random choice, fixed so that a trace gives the same counts each time. */
const SEED = 2_463_534_242;

/** Which way of a full set goes next. Ways that hold nothing are filled first, in order, without asking. */
export interface VictimChoice {
  /** Tells that a way was brought in. */
  filled(set: number, way: number): void;
  /** Tells that a way was hit. */
  used(set: number, way: number): void;
  /** The way to replace in a full set. */
  victim(set: number): number;
}

const nothing = () => {};

/** The oldest use goes: a time stamp for each way. */
function leastRecentlyUsed({ sets, ways }: CacheGeometry): VictimChoice {
  const stamps = new Float64Array(sets * ways);
  let time = 0;
  const stamp = (set: number, way: number) => {
    time += 1;
    stamps[set * ways + way] = time;
  };
  return {
    filled: stamp,
    used: stamp,
    victim(set) {
      const base = set * ways;
      let oldest = 0;
      for (let way = 1; way < ways; way++) {
        if (stamps[base + way]! < stamps[base + oldest]!) oldest = way;
      }
      return oldest;
    },
  };
}

/**
 * A binary tree over the ways with a bit at each node that points away from the side used last. With a number of ways
 * that is no power of two, the lower side of a node takes the larger half.
 */
function treeOfBits({ sets, ways }: CacheGeometry): VictimChoice {
  const nodes = ways - 1;
  const bits = new Uint8Array(sets * nodes);
  /** For each node its lower and upper child: a node, or -1 - way. */
  const children: [number, number][] = [];
  /** For each way its nodes from the root, as node * 2 + (1 where the way lies on the lower side). */
  const paths: number[][] = Array.from({ length: ways }, () => []);
  const build = (first: number, count: number): number => {
    if (count === 1) return -1 - first;
    const node = children.length;
    children.push([0, 0]);
    const lower = Math.ceil(count / 2);
    for (let way = first; way < first + count; way++) {
      paths[way]!.push(node * 2 + (way < first + lower ? 1 : 0));
    }
    children[node] = [build(first, lower), build(first + lower, count - lower)];
    return node;
  };
  const root = build(0, ways);
  const point = (set: number, way: number) => {
    const base = set * nodes;
    for (const step of paths[way]!) bits[base + (step >> 1)] = step & 1;
  };
  return {
    filled: point,
    used: point,
    victim(set) {
      const base = set * nodes;
      let node = root;
      while (node >= 0) node = children[node]![bits[base + node]!]!;
      return -1 - node;
    },
  };
}

/** The way brought in first goes, whether used since or not: a pointer for each set. */
function firstIn({ sets, ways }: CacheGeometry): VictimChoice {
  const next = new Uint16Array(sets);
  return {
    filled(set, way) {
      next[set] = (way + 1) % ways;
    },
    used: nothing,
    victim: (set) => next[set]!,
  };
}

/** Any way, by a generator of fixed seed: xorshift of 32 bits, Marsaglia, Journal of Statistical Software, 2003. */
function anyWay({ ways }: CacheGeometry): VictimChoice {
  let state = SEED | 0;
  return {
    filled: nothing,
    used: nothing,
    victim() {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
      return (state >>> 0) % ways;
    },
  };
}

/**
 * How a cache of this geometry chooses. `none` with several ways says nothing about the choice: throws RangeError;
 * see isDecided in geometry.ts.
 */
export function victimChoice(geometry: CacheGeometry): VictimChoice {
  if (geometry.ways === 1) return { filled: nothing, used: nothing, victim: () => 0 };
  switch (geometry.replacement) {
    case "lru":
    case "lru-matrix":
    case "lru-age":
      return leastRecentlyUsed(geometry);
    case "tree-plru":
      return treeOfBits(geometry);
    case "fifo":
      return firstIn(geometry);
    case "random":
      return anyWay(geometry);
    case "none":
      throw new RangeError("replacement none does not say which way is replaced");
  }
}
