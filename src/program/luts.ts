import { mostOfOwners } from "./most-of-owners.js";
import {
  columnCandidate,
  fragmentTimes,
  type Objective,
  type PackProgram,
  type ShareKey,
  sharedByTwo,
} from "./pack-program.js";

/** Multiplexer LUTs of a block of a key with 1, 2, ... tenants, in all copies; none where it has no multiplexer. */
export function tenantLuts(pack: PackProgram, key: ShareKey): number[] {
  if (key.sort === "pair" || key.rule.muxBits === 0) return [];
  const most = new Set(key.types.map(({ owner }) => owner)).size;
  return Array.from({ length: most }, (_, n) => pack.muxLuts(key, n + 1));
}

/** LUTs of the multiplexers before the shared blocks of one of each column, at most. */
export function mostMultiplexers(pack: PackProgram): number[] {
  const each = pack.shareKeys.map((key) =>
    Math.max(0, ...tenantLuts(pack, key).map((luts, n) => luts / (n + 1))),
  );
  return pack.columns.map((column) =>
    (columnCandidate(column)?.fragments ?? []).reduce((sum, { shareKey }) => {
      const key = pack.keyIndex.get(shareKey)!;
      return sum + each[key]! * fragmentTimes(pack.choices, column, pack.shareKeys[key]!);
    }, 0),
  );
}

/** Whether a choice of the given columns can break the limit on LUTs. */
function mayBreakLuts(pack: PackProgram, active: readonly number[]): boolean {
  const muxes = mostMultiplexers(pack);
  const brought = active.map((column) => ({ column, each: pack.costs.luts[column]! + muxes[column]! }));
  const most = mostOfOwners(pack, brought);
  return pack.budgets.some(({ sharedLuts, limit }) => sharedLuts && most > limit);
}

/**
 * Whether LUTs make a difference to a stage with these columns: they are among its objectives, or kept within a limit that choices can
 * break.
 */
export function lutsMatter(
  pack: PackProgram,
  objectives: readonly { readonly objective: Objective | "overrun" }[],
  budgets: "hard" | "soft" | "none",
  active: readonly number[],
): boolean {
  if (objectives.some(({ objective }) => objective === "luts" || objective === "overrun")) return true;
  if (budgets === "none") return false;
  return pack.shareKeys.every(sharedByTwo) || mayBreakLuts(pack, active);
}
