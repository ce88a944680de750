import { bitsFor } from "./arithmetic.js";

/**
 * How the entry to replace in a set is chosen.
 * - `lru`: true least recently used in its shortest encoding; `lru-matrix` and `lru-age` are the encodings that
 *   hardware updates more easily (pairwise order bits; an age counter a way).
 * - `tree-plru`: a binary tree of bits that point away from the recent side.
 * - `fifo`: a pointer to the oldest way. `random`: no state. `none`: no choice, or state kept elsewhere.
 */
export const REPLACEMENTS = ["lru", "lru-matrix", "lru-age", "tree-plru", "fifo", "random", "none"] as const;

/** A replacement rule. */
export type Replacement = (typeof REPLACEMENTS)[number];

/** State of a set: bits, and the figures that give them. */
export interface ReplacementState {
  readonly bits: number;
  readonly formula: string;
}

/** Bits of ways! minus 1, counted exactly. */
function bitsForOrders(ways: number): number {
  let orders = 1n;
  for (let n = 2n; n <= BigInt(ways); n++) orders *= n;
  return orders === 1n ? 0 : (orders - 1n).toString(2).length;
}

/**
 * Replacement state of one set; 0 bits where there is one way or the rule keeps none. Sources: tree ways - 1 and
 * LRU ceil(log2(ways!)): University of Virginia, course notes on tree PLRU; pairwise matrix: Clemson University,
 * notes on pseudo-LRU; fifo and age counters: common practice, no source.
 */
export function replacementState(rule: Replacement, ways: number): ReplacementState {
  switch (rule) {
    case "lru": {
      const bits = bitsForOrders(ways);
      return { bits, formula: `ceil(log2(${ways}!)) = ${bits}` };
    }
    case "lru-matrix": {
      const bits = (ways * (ways - 1)) / 2;
      return { bits, formula: `ways x (ways - 1) / 2 = ${ways} x ${ways - 1} / 2 = ${bits}` };
    }
    case "lru-age": {
      const bits = ways * bitsFor(ways);
      return { bits, formula: `ways x ceil(log2 ways) = ${ways} x ${bitsFor(ways)} = ${bits}` };
    }
    case "tree-plru":
      return { bits: ways - 1, formula: `ways - 1 = ${ways - 1}` };
    case "fifo":
      return { bits: bitsFor(ways), formula: `ceil(log2 ${ways}) = ${bitsFor(ways)}` };
    case "random":
    case "none":
      return { bits: 0, formula: "0" };
  }
}
