import type { Candidate } from "./candidate.js";

/** One way to lay out one copy of a lockstep or exclusive group. */
export interface GroupConfig {
  /** Blocks of the members that are laid together; null: none are. */
  readonly joined: Candidate | null;
  /** For each part of `joined`, the part of the group that it stands for. */
  readonly stackedParts: readonly number[];
  /** For each part of the group, how many of its members (the last ones) stand alone. */
  readonly alone: readonly number[];
}

/** Whether `a` can stand in for `b`: the same members alone, and the joined ones no dearer. */
export function sameAlone(a: GroupConfig, b: GroupConfig): boolean {
  return a.alone.every((count, index) => count === b.alone[index]);
}
