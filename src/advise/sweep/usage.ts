import type { Plan } from "../../model/index.js";

/** What a plan spends, in figures that add up over plans of parts of a design. */
export interface Usage {
  /** Blocks by pool; a half block counts 0.5. */
  readonly blocks: Readonly<Record<string, number>>;
  /** Blocks that may be used, by pool. */
  readonly available: Readonly<Record<string, number>>;
  /** Bits of all blocks in use. */
  readonly blockBits: number;
  /** Bits that memories hold in blocks, one copy. */
  readonly requestedBits: number;
  /** Bits that memories hold outside of blocks, one copy. */
  readonly logicBits: number;
  readonly luts: number;
  readonly lutsAvailable: number;
  /** Part of `luts` that is LUT memory. */
  readonly lutMemory: number;
  /** null: any logic unit can be memory. */
  readonly lutMemoryAvailable: number | null;
  readonly registers: number;
  /** Most blocks one above the other, of any memory; 0: no block. */
  readonly cascade: number;
  /** True where no plan is better: see the objective of a plan. */
  readonly proven: boolean;
}

/** The figures of a plan. */
export function usageOf({ totals, memories, objective }: Plan): Usage {
  return {
    blocks: totals.blocks,
    available: totals.available,
    blockBits: totals.blockBits,
    requestedBits: totals.requestedBits,
    logicBits: totals.logicBits,
    luts: totals.luts,
    lutsAvailable: totals.lutsAvailable,
    lutMemory: totals.lutMemory,
    lutMemoryAvailable: totals.lutMemoryAvailable,
    registers: totals.registers,
    cascade: Math.max(0, ...memories.map(({ cascade }) => cascade)),
    proven: objective.proven,
  };
}

/** The figures of parts of one design on one device, at least one, as those of the whole. */
export function sumOf(parts: readonly Usage[]): Usage {
  const sum = (of: (part: Usage) => number) => parts.reduce((total, part) => total + of(part), 0);
  const first = parts[0]!;
  return {
    blocks: Object.fromEntries(
      Object.keys(first.blocks).map((pool) => [pool, sum(({ blocks }) => blocks[pool]!)]),
    ),
    available: first.available,
    blockBits: sum(({ blockBits }) => blockBits),
    requestedBits: sum(({ requestedBits }) => requestedBits),
    logicBits: sum(({ logicBits }) => logicBits),
    luts: sum(({ luts }) => luts),
    lutsAvailable: first.lutsAvailable,
    lutMemory: sum(({ lutMemory }) => lutMemory),
    lutMemoryAvailable: first.lutMemoryAvailable,
    registers: sum(({ registers }) => registers),
    cascade: Math.max(...parts.map(({ cascade }) => cascade)),
    proven: parts.every(({ proven }) => proven),
  };
}

/** True where nothing is over what is available. */
export function fits(usage: Usage): boolean {
  const { blocks, available } = usage;
  return Object.entries(blocks).every(([pool, used]) => used <= available[pool]!) && logicFits(usage);
}

/** True where no logic is over what is available. */
export function logicFits({ luts, lutsAvailable, lutMemory, lutMemoryAvailable }: Usage): boolean {
  return luts <= lutsAvailable && (lutMemoryAvailable === null || lutMemory <= lutMemoryAvailable);
}
