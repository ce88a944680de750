import type { MemoryRequest, SourceRange } from "./request.js";

/** Something that the user should know but that does not stop the work. */
export interface Warning {
  /** The memory or structure it is about. */
  readonly subject: string;
  readonly message: string;
  readonly source: SourceRange | null;
}

/** What may be spent, as far as the design narrows what the part has. */
export interface Limits {
  /** Blocks by pool name; a pool that is not named may be used whole. */
  readonly blocks: Readonly<Record<string, number>>;
  /** Logic units (LUTs or ALMs) for memories and their multiplexers; null: all on the part. */
  readonly luts: number | null;
}

/** When a small memory may leave block RAM without being told to. */
export interface SmallMemories {
  /** Synchronous memories up to this depth may go to LUT memory; null: the deepest primitive of the device. */
  readonly lutDepth: number | null;
  /** Memories up to this many bits an instance may go to registers. */
  readonly registerBits: number;
}

/** A design, its structures already turned into memory requests. */
export interface Design {
  readonly name: string;
  /** The device named in the file; null where the caller has to name one. */
  readonly device: string | null;
  /** System clock in MHz; null where not stated. */
  readonly clockMHz: number | null;
  readonly limits: Limits;
  /** Cost of one block of each pool in the objective; a pool that is not named weighs by its bits. */
  readonly weights: Readonly<Record<string, number>>;
  readonly small: SmallMemories;
  readonly requests: readonly MemoryRequest[];
  readonly warnings: readonly Warning[];
}
