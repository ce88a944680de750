import type { Arrangement } from "./device.js";
import type { PortCounts } from "./ports.js";
import type { Realisation } from "./request.js";

/** Waste in bits, split without remainder. The parts add up to block bits minus requested bits. */
export interface Waste {
  /** Copies made only for more ports. */
  readonly replication: number;
  /** Bits of a word in use that hold nothing. */
  readonly widthPadding: number;
  /** Words that hold nothing. */
  readonly depthPadding: number;
  /** Bits that the chosen shape cannot address. */
  readonly unreachable: number;
}

/** First and last, both included. */
export type Interval = readonly [first: number, last: number];

/**
 * A rectangle of one copy of one memory instance in a block. Rows and bits count in the layout's stored geometry
 * (see {@link Layout.stored}), rows from 0, bits from 0 at the least significant.
 */
export interface Tenant {
  readonly memory: string;
  /** In a block that stands for several (`repeat`), the instance of the first; each further block takes the next. */
  readonly instance: number;
  /** Copy made for ports, from 0. */
  readonly copy: number;
  readonly rows: Interval;
  readonly bits: Interval;
  /** Ports of the block in use. Simple dual port: A writes, B reads. */
  readonly ports: readonly ("A" | "B")[];
  /** For each of `ports`, accesses that the tenant makes there in one cycle of the design's clock; 1 but in a pumped block. */
  readonly turns: readonly number[];
  /** The block's shape as these ports see it, for example `1024x18`; with unequal sides, the narrower one. */
  readonly shape: string;
  /** Hardware write lane that the shape is set to, in bits; null: one enable for the word. */
  readonly lane: number | null;
  /** True where the address is inverted: successive rows go to falling words of the block. */
  readonly inverted: boolean;
  /** Word of the block that holds the first row. */
  readonly word: number;
  /**
   * Where the bits lie in the block's word: runs of consecutive bits, in ascending order, that together are `bits`.
   * More than one run where write lanes leave gaps.
   */
  readonly runs: readonly { readonly bits: Interval; readonly at: number }[];
}

/** One block in use, or `repeat` of them that differ only in the instances they serve (each one further). */
export interface PlanBlock {
  readonly id: string;
  /** Block kind. */
  readonly kind: string;
  readonly arrangement: Arrangement;
  /** Times that the block's clock is faster than the design's, and so the turns of each port; 1: not pumped. */
  readonly pump: number;
  readonly repeat: number;
  readonly tenants: readonly Tenant[];
}

/** How a run of instances of one memory is laid out. */
export interface Layout {
  readonly instances: Interval;
  readonly realisation: Realisation;
  /** A pool name, `LUT` or `registers`. */
  readonly home: string;
  readonly copies: number;
  /** Times that its blocks are clocked faster than the design; 1: not pumped. */
  readonly pump: number;
  /** Geometry that rows and bits of the tenants count in: that of the request, or the wide word of unequal ports. */
  readonly stored: { readonly depth: number; readonly width: number };
  /** Tiles of all copies of one instance, by kind and shape. */
  readonly tiles: readonly {
    readonly kind: string;
    readonly shape: string;
    /** Tiles of this shape; a tile that shares its block counts as one. */
    readonly count: number;
    /** Most blocks one above the other, in these tiles. */
    readonly deep: number;
  }[];
  /** Most blocks one above the other behind a read multiplexer; 1: none, 0: no blocks. */
  readonly cascade: number;
  /** Logic units of one instance (multiplexers, tables, LUT memory). */
  readonly luts: number;
  /** Part of `luts` that is LUT memory. */
  readonly lutMemory: number;
  /** Flip-flops of one instance. */
  readonly registers: number;
}

/** A memory request as the plan serves it; sums are over all instances and copies. */
export interface PlanMemory {
  readonly name: string;
  readonly structure: string | null;
  readonly depth: number;
  readonly width: number;
  readonly ports: PortCounts;
  readonly lane: number | null;
  readonly instances: number;
  /** Most copies of an instance. */
  readonly copies: number;
  /** Of the first layout. */
  readonly realisation: Realisation;
  /** Blocks by pool; a shared block counts to its tenants in proportion to their extents, rounded to 1/1000. */
  readonly blocks: Readonly<Record<string, number>>;
  /** Bits of the instances that are in blocks, one copy. */
  readonly requestedBits: number;
  /** Block bits charged to this memory minus requested bits. */
  readonly wastedBits: number;
  readonly waste: Waste;
  readonly cascade: number;
  readonly luts: number;
  readonly registers: number;
  readonly layouts: readonly Layout[];
}

/** What the whole plan uses. */
export interface PlanTotals {
  /** Blocks in use by pool (a half block counts 0.5). */
  readonly blocks: Readonly<Record<string, number>>;
  /** Blocks that the design may use, by pool. */
  readonly available: Readonly<Record<string, number>>;
  /** Blocks over what is available, by pool; only pools that are over. */
  readonly over: Readonly<Record<string, number>>;
  /** Bits of memories in blocks, one copy of each instance. */
  readonly requestedBits: number;
  /** Bits of all blocks in use. */
  readonly blockBits: number;
  readonly wastedBits: number;
  readonly waste: Waste;
  /** requestedBits / blockBits; 1 where no block is in use. */
  readonly efficiency: number;
  /** By pool: the bits that the plan holds there, over the bits of a block, rounded up. */
  readonly floorBlocks: Readonly<Record<string, number>>;
  /** Bits held outside blocks, in LUT memory and in registers. */
  readonly logicBits: number;
  readonly luts: number;
  readonly lutsAvailable: number;
  readonly lutMemory: number;
  /** null: any logic unit can be memory. */
  readonly lutMemoryAvailable: number | null;
  readonly registers: number;
}

/** What was made least, and what is proven of it. */
export interface PlanObjective {
  /** Weighted block units; of an over-budget plan those of the one that overruns least. */
  readonly value: number;
  /** No plan takes fewer; over budget: none of those that overrun as little. */
  readonly bound: number;
  /** Value = bound and, within that value, LUTs and cascade are proven least. */
  readonly proven: boolean;
  /** Whether it is proven that no plan keeps all budgets; false where this plan does, and where none was found but one may exist. */
  readonly nothingFits: boolean;
  /** The LUTs that every plan of so many weighted blocks takes at least; null where that is not known. */
  readonly lutsBound: number | null;
}

/** A packed design. The JSON form of `--json`. */
export interface Plan {
  readonly format: "ramtailor-plan/1";
  readonly design: string;
  readonly device: string;
  /** `optimal`: proven; `feasible`: fits, not proven; `over-budget`: does not fit, the plan overruns least. */
  readonly status: "optimal" | "feasible" | "over-budget";
  readonly totals: PlanTotals;
  readonly objective: PlanObjective;
  readonly memories: readonly PlanMemory[];
  readonly blocks: readonly PlanBlock[];
  readonly warnings: readonly { readonly subject: string; readonly message: string }[];
  readonly solver: { readonly engine: string; readonly milliseconds: number };
}
