import type { PortCounts } from "./ports.js";

/** Characters `[start, end)` of the text that a thing was read from. */
export interface SourceRange {
  readonly start: number;
  readonly end: number;
}

/** How the ports of a memory are made from copies or from logic. */
export type Realisation =
  /** One copy whose block has the ports that are needed. */
  | "one-copy"
  /** A copy for each read port, all written together. A ROM takes two reads per copy of a true dual port block. */
  | "replication"
  /** One read-write port that writes all copies, and a further read port on each: reads - 1 true dual port copies. */
  | "dual-port-replication"
  /** m write, n read: m*n copies of one read + one write, and a table of who wrote last. LaForest & Steffan, FPGA 2010. */
  | "live-value-table"
  /** m write, n read: m*(m-1) + m*n copies of one read + one write. LaForest et al., FPGA 2012. */
  | "exclusive-or"
  /** Blocks clocked at a multiple of the system clock, which offer that many times their ports. Common practice. */
  | "pumped"
  /** LUT memory, a copy for each read port. */
  | "lut-memory"
  /** Flip-flops and read multiplexers. */
  | "registers";

/**
 * What a port that reads shows for a word that is written in the same cycle, by itself or by another port: nothing that
 * can be relied on, the word before the write, or the word after it.
 */
export type Collision = "any" | "old" | "new";

/** Every behaviour that a design file can ask for. */
export const COLLISIONS: readonly Collision[] = ["any", "old", "new"];

/** Every realisation that a design file can pin. */
export const REALISATIONS: readonly Realisation[] = [
  "one-copy",
  "replication",
  "dual-port-replication",
  "live-value-table",
  "exclusive-or",
  "pumped",
  "lut-memory",
  "registers",
];

/**
 * Membership in a lockstep or an exclusive group. A group with several copies in the system (one per core, say)
 * has `instances / members` copies, the same number for each of its requests. Instance `member * copies + c` of a
 * request belongs to copy c of the group.
 */
export interface GroupMembership {
  readonly group: string;
  /** Instances of this request in one copy of the group. */
  readonly members: number;
}

/** A lockstep group: its memories see the same address in the same cycle, so they may lie side by side. */
export interface LockstepMembership extends GroupMembership {
  /** True where this request is written in the very cycles in which the group's other `together` members are. */
  readonly together: boolean;
}

/** One memory that the system needs, as an architect or a structure states it. */
export interface MemoryRequest {
  /** Unique in a design, for example `l1d.data`. */
  readonly name: string;
  /** The structure that it was derived from; null for a memory written by hand. */
  readonly structure: string | null;
  /** Words. With unequal port widths: words of `width` bits, the narrower side. */
  readonly depth: number;
  /** Bits in a word. */
  readonly width: number;
  readonly ports: PortCounts;
  /** Bits under one write enable; null where the whole word is written. The last lane may be shorter. */
  readonly lane: number | null;
  /** `async`: data comes in the cycle of the address, which block RAM cannot do. */
  readonly read: "sync" | "async";
  /** 2 where the ports run on different clocks. */
  readonly clocks: 1 | 2;
  /** Identical copies of the whole memory in the system. */
  readonly instances: number;
  readonly lockstep: LockstepMembership | null;
  readonly exclusive: GroupMembership | null;
  /**
   * Words of `width` bits that one access moves on each side. {1, 1} unless the sides differ; only a memory of one
   * read and one write port may differ, one side is then 1 and the other a power of two that divides the depth.
   */
  readonly wordsPerAccess: { readonly read: number; readonly write: number };
  /** Only this realisation; null leaves the choice to the cost. */
  readonly realisation: Realisation | null;
  /** Homes it may have: pool names, `LUT`, `registers`; null leaves the choice to the rules. */
  readonly homes: readonly string[] | null;
  /**
   * Most times that its blocks' clock may be faster than the design's, 2 to 4; null: not at all. The design has to
   * state its clock, and the multiple must not be above the block's fastest.
   */
  readonly pump: number | null;
  /** Most blocks in depth; null: no limit. */
  readonly maxCascade: number | null;
  /** True where contents at start are needed (a ROM has them). */
  readonly initialContents: boolean;
  /** Path of the hex file of those contents, as in the design file; null: none is named, and words start as zero. */
  readonly contents: string | null;
  /** What reading a word in the cycle of its write gives. No part of the choice of blocks; wrappers hold to it. */
  readonly collision: Collision;
  /** How depth and width came about, in words and figures; null for a memory written by hand. */
  readonly formula: { readonly depth: string; readonly width: string } | null;
  /** Where it was written in the design file; null where there is no file. */
  readonly source: SourceRange | null;
}

/** Bits of one instance, one copy. */
export function requestBits(request: MemoryRequest): number {
  return request.depth * request.width;
}

/** A request with every optional field at its default. `depth`, `width`, `name` and `ports` have none. */
export function memoryRequest(
  fields: Pick<MemoryRequest, "name" | "depth" | "width" | "ports"> & Partial<MemoryRequest>,
): MemoryRequest {
  return {
    structure: null,
    lane: null,
    read: "sync",
    clocks: 1,
    instances: 1,
    lockstep: null,
    exclusive: null,
    wordsPerAccess: { read: 1, write: 1 },
    realisation: null,
    homes: null,
    pump: null,
    maxCascade: null,
    initialContents: fields.ports.write + fields.ports.readWrite === 0,
    contents: null,
    collision: "any",
    formula: null,
    source: null,
    ...fields,
  };
}
