import type { CacheCounts } from "../cache-simulator/cache.js";
import type { RulesOfThumb } from "../cache-simulator/rules-of-thumb.js";
import type { Values } from "./combinations.js";
import type { NameValue } from "./expression.js";
import { fits, type Usage } from "./usage.js";

/** A combination on a device, packed. Plain data: it goes to a file and comes back. */
export interface PackedRow {
  /** Place in the sweep, from 0: combination times number of devices, plus device. */
  readonly index: number;
  readonly values: Values;
  readonly device: string;
  /** As of a plan. */
  readonly status: "optimal" | "feasible" | "over-budget";
  readonly usage: Usage;
  /**
   * What the design warns of that it does not warn of as written, with the name of what each is about; then a sentence for
   * each solving engine that failed.
   */
  readonly warnings: readonly string[];
}

/** A combination that could not be packed. */
export interface SweepProblem {
  readonly index: number;
  readonly values: Values;
  /** null: on no device. */
  readonly device: string | null;
  /** The first thing that is wrong, in one sentence without a full stop. */
  readonly problem: string;
}

/** What a cache of a row does, where there is a trace, or what rules of thumb say, where there is none. */
export interface CacheFigures {
  readonly bytes: number;
  /** null: no trace, or the cache does not say how it replaces lines. */
  readonly counts: CacheCounts | null;
  /** From 0 to 1; null as above, or where it saw no access. */
  readonly hitRate: number | null;
  /** null: there is a trace. */
  readonly rules: RulesOfThumb | null;
}

/** A row with all its figures. */
export interface SweepRow extends PackedRow {
  readonly fits: boolean;
  /** Share of the block bits in use that memories hold, 0 to 1; 1 where no block is in use. */
  readonly efficiency: number;
  /** Bits that memories hold, one copy of each. */
  readonly capacity: number;
  /** By name of the cache. */
  readonly caches: Readonly<Record<string, CacheFigures>>;
  /** Whether no row that fits beats it; false where it does not fit; null where no axes were named. */
  readonly pareto: boolean | null;
  /** Whether its device has the fewest block bits of those that the combination fits; null with one device. */
  readonly smallestDevice: boolean | null;
}

/** The figures that follow from a packed row. */
export function figuresOf({ usage }: PackedRow): Pick<SweepRow, "fits" | "efficiency" | "capacity"> {
  const { requestedBits, logicBits, blockBits } = usage;
  return {
    fits: fits(usage),
    efficiency: blockBits === 0 ? 1 : requestedBits / blockBits,
    capacity: requestedBits + logicBits,
  };
}

/** The names of a row's results, given the pools of all devices and the caches of the design. */
export function resultNames(pools: readonly string[], caches: readonly string[], traced: boolean): string[] {
  return [
    "blocks",
    ...pools.map((pool) => `blocks.${pool}`),
    "block_bits",
    "efficiency",
    "capacity",
    "luts",
    "registers",
    "cascade",
    "fits",
    ...caches.flatMap((cache) =>
      traced ? [`${cache}.hit_rate`, `${cache}.misses`] : [`${cache}.square_root_rule`],
    ),
  ];
}

/** A result of a row by its name; null where the row has none of it. */
export function resultOf(row: SweepRow, name: string): NameValue {
  const { usage } = row;
  switch (name) {
    case "blocks":
      return Object.values(usage.blocks).reduce((a, b) => a + b, 0);
    case "block_bits":
      return usage.blockBits;
    case "luts":
    case "registers":
    case "cascade":
      return usage[name];
    case "efficiency":
    case "capacity":
    case "fits":
      return row[name];
  }
  const at = name.lastIndexOf(".");
  const [owner, key] = [name.slice(0, at), name.slice(at + 1)];
  if (owner === "blocks") return usage.blocks[key] ?? null;
  const cache = row.caches[owner];
  if (key === "hit_rate") return cache?.hitRate ?? null;
  if (key === "misses") return cache?.counts?.misses ?? null;
  return cache?.rules?.missesBySquareRoot ?? null;
}
