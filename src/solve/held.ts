import {
  type Aim,
  type Objective,
  type PackProgram,
  type Spending,
  type Stage,
  type StagedProgram,
  spendingOf,
  type UsedPattern,
} from "../program/index.js";

/** A choice in hand: items of each column, and how stack keys are filled where an engine chose. */
export interface Held {
  readonly counts: readonly number[];
  readonly patterns: Spending["patterns"] | null;
}

/** What a choice comes to in any objective. */
export function worthOf(
  pack: PackProgram,
  { counts, patterns }: Held,
): (objective: Objective | "overrun") => number {
  const { overrun, objectives } = spendingOf(pack, counts, patterns);
  return (objective) => (objective === "overrun" ? overrun : objectives[objective]);
}

export function worth(pack: PackProgram, objective: Objective | "overrun", held: Held): number {
  return worthOf(pack, held)(objective);
}

export function sumOfAims(pack: PackProgram, aims: readonly Aim[], held: Held): number {
  const of = worthOf(pack, held);
  return aims.reduce((sum, { objective, weight }) => sum + weight * of(objective), 0);
}

/** Whether a choice is no worse than another, by the first objective in which they differ. */
function isAsGood(pack: PackProgram, a: Held, b: Held, aims: readonly Aim[]): boolean {
  const [ofA, ofB] = [worthOf(pack, a), worthOf(pack, b)];
  for (const { objective } of aims) {
    const difference = ofA(objective) - ofB(objective);
    if (difference !== 0) return difference < 0;
  }
  return true;
}

/** The better of two choices, the first of two that are alike; null: there is none. */
export function betterOf(
  pack: PackProgram,
  a: Held | null,
  b: Held | null,
  aims: readonly Aim[],
): Held | null {
  if (a === null || b === null) return a ?? b;
  return isAsGood(pack, a, b, aims) ? a : b;
}

/** Whether a choice overruns no budget. */
export function fits(pack: PackProgram, held: Held): boolean {
  return worth(pack, "overrun", held) === 0;
}

/** The columns that a choice uses. */
export function usedBy(held: Held | null): ReadonlySet<number> {
  return new Set((held?.counts ?? []).flatMap((items, column) => (items > 0 ? [column] : [])));
}

/** Whether a choice keeps the limits of a stage. */
export function keeps(
  pack: PackProgram,
  { budgets, settled }: Pick<Stage, "budgets" | "settled">,
  held: Held,
): boolean {
  const of = worthOf(pack, held);
  const isFit = budgets !== "hard" || of("overrun") === 0;
  return isFit && settled.every(({ objective, value }) => of(objective) <= value);
}

/** The choice that the variables of a stage's program make. */
export function heldOf(
  pack: PackProgram,
  { columnOf, patternOf }: StagedProgram,
  x: readonly number[],
): Held {
  const counts = pack.columns.map(() => 0);
  columnOf.forEach((column, variable) => {
    if (column >= 0) counts[column] = x[variable]!;
  });
  return { counts, patterns: usedPatterns(pack, patternOf, x) };
}

function usedPatterns(
  pack: PackProgram,
  patternOf: StagedProgram["patternOf"],
  x: readonly number[],
): Spending["patterns"] {
  const used = pack.shareKeys.map((key): UsedPattern[] | null => (key.sort === "pair" ? null : []));
  patternOf.forEach((entry, variable) => {
    const count = x[variable]!;
    if (entry !== null && count > 0) used[entry.key]!.push({ pattern: entry.pattern, count });
  });
  return used;
}
