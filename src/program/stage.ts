import type { Objective, PackProgram } from "./pack-program.js";

/** An objective, and what one of it counts in a sum of several. */
export interface Aim {
  readonly objective: Objective | "overrun";
  readonly weight: number;
}

/** What the integer program minimises and what is already settled. */
export interface Stage {
  /** The sum of these is minimised. */
  readonly minimise: readonly Aim[];
  /** Objectives of earlier stages with the values that must be kept. */
  readonly settled: readonly { readonly objective: Objective | "overrun"; readonly value: number }[];
  /** A proven lower bound on the first of these; null: none is known. */
  readonly atLeast: number | null;
  /** Whether budgets are limits, may be overrun at a price, or are left out. */
  readonly budgets: "hard" | "soft" | "none";
  /** Only these columns' owners; null: all. Owners that are left out have no rows. */
  readonly owners: { readonly requests: ReadonlySet<number>; readonly groups: ReadonlySet<number> } | null;
  /** Only these columns; null: all. */
  readonly columns: ReadonlySet<number> | null;
}

/** The columns of a stage, in their order. */
export function activeColumns(
  { columns }: PackProgram,
  { columns: some, owners }: Pick<Stage, "columns" | "owners">,
): number[] {
  return [...columns.keys()].filter((index) => {
    const { sort, owner } = columns[index]!;
    if (some !== null && !some.has(index)) return false;
    return owners === null || (sort === "request" ? owners.requests : owners.groups).has(owner);
  });
}
