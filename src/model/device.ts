import type { Shape } from "./shape.js";

/**
 * How the ports of a block are used.
 * - `single`: one port that reads or writes.
 * - `simple-dual`: port A writes, port B reads.
 * - `true-dual`: two ports, each of which reads or writes.
 */
export type Arrangement = "single" | "simple-dual" | "true-dual";

/** A shape that a block kind offers in some arrangement. */
export interface BlockShape extends Shape {
  /**
   * The parity family. Shapes of one family address the same cells in the same order (word a of width w lies at
   * cells a*w to (a+1)*w - 1), so the two ports of a block may differ in width only within a family.
   */
  readonly family: string;
  /**
   * Hardware write lanes that can be chosen at this shape: bits under one write enable, each a divisor of the
   * width. Empty: one enable for the whole word.
   */
  readonly lanes: readonly number[];
}

/** A RAM primitive of a device. */
export interface BlockKind {
  readonly name: string;
  /** Usable bits. */
  readonly bits: number;
  /** Legal shapes in each arrangement; an empty list means that the block has no such arrangement. */
  readonly shapes: Readonly<Record<Arrangement, readonly BlockShape[]>>;
  /** Whether the two ports of a block may have different widths (within one family). */
  readonly mixedWidths: { readonly "simple-dual": boolean; readonly "true-dual": boolean };
  /**
   * In the simple-dual arrangement, widths of which at least one side has to stay at when either side uses it:
   * such a shape can only be paired with others when listed here. Informative; [] when there is no such rule.
   */
  readonly fixedSideWidths: readonly number[];
  /** True where a read can be asynchronous. */
  readonly asynchronousRead: boolean;
  /** True where the contents at start can be set (a ROM needs it). */
  readonly initialContents: boolean;
  /** 2 where the ports may have different clocks. */
  readonly clocks: 1 | 2;
  /** `optional`, `always` or `none`. */
  readonly outputRegister: "optional" | "always" | "none";
  /** What a port may show when it reads while a write to the same word happens; free words of the handbook. */
  readonly readDuringWrite: {
    readonly samePort: readonly ReadDuringWrite[];
    readonly otherPort: readonly ReadDuringWrite[];
  };
  /** Fastest clock in MHz; null where the device file does not say. */
  readonly maxClockMHz: number | null;
  /** The pool that blocks of this kind are taken from. */
  readonly pool: string;
  /** Units of the pool that one block takes (see {@link Pool}). */
  readonly units: number;
  /** Blocks that join in depth without a fabric multiplexer: `blocks` of them at `shape`. */
  readonly freeCascade: readonly { readonly shape: Shape; readonly blocks: number }[];
}

/** What a read port shows for the word that is being written. */
export type ReadDuringWrite = "new" | "old" | "hold" | "undefined";

/**
 * A budget of identical physical blocks on a part. Most pools hold one kind; where a block can be used as two
 * halves, both the block and the half are kinds of one pool and `unitsPerBlock` is 2.
 */
export interface Pool {
  readonly name: string;
  /** Blocks on the part. */
  readonly blocks: number;
  /** Units in one block; kinds take whole units. */
  readonly unitsPerBlock: number;
}

/** One primitive of LUT memory: it reads asynchronously and writes on a clock. */
export interface LutMemoryShape extends Shape {
  /** Ports of the primitive: `single` one read-write port; `simple-dual` one write and one read port. */
  readonly arrangement: "single" | "simple-dual";
  /** Cost in the device's logic unit (LUTs or ALMs). */
  readonly luts: number;
}

/** LUT memory of a device. */
export interface LutMemory {
  readonly name: string;
  readonly shapes: readonly LutMemoryShape[];
  /** Logic units on the part that can be memory; null where any can. */
  readonly count: number | null;
}

/** The logic fabric, as far as memories use it. */
export interface Logic {
  /** Name of the unit counted, for example `LUT4`, `LUT6`, `ALM`. */
  readonly unit: string;
  /** Inputs of one LUT. */
  readonly inputs: number;
  /** Units on the part. */
  readonly count: number;
  /** Cost of an n:1 multiplexer of one bit, for the sizes that the device file lists, ascending. */
  readonly multiplexers: readonly {
    readonly inputs: number;
    readonly luts: number;
    readonly levels: number;
  }[];
}

/** One part of a family, ready to pack onto. */
export interface Device {
  /** The short name that `--device` takes, for example `ecp5-85f`. */
  readonly name: string;
  readonly family: string;
  /** The vendor's part number. */
  readonly part: string;
  readonly blocks: readonly BlockKind[];
  readonly pools: readonly Pool[];
  readonly lutMemory: LutMemory | null;
  readonly logic: Logic;
}
