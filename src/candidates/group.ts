import type { Candidate } from "./candidate.js";

/** One way to lay out one copy of a lockstep or exclusive group. */
export interface GroupConfig {
  /** Blocks of the members of a lockstep group that are laid together; null: none are. */
  readonly joined: Candidate | null;
  /** For each part of `joined`, the part of the group that it stands for. */
  readonly stackedParts: readonly number[];
  /** For each part of the group, how many of its members (the last ones) stand alone. */
  readonly alone: readonly number[];
  /** For each sort of stack of an exclusive group, how many there are. */
  readonly stacks: readonly number[];
}

/** Members of an exclusive group behind one port: which they are, and every way to lay them out. */
export interface StackClass {
  /** For each part of the group, how many of its members. */
  readonly members: readonly number[];
  readonly candidates: readonly Candidate[];
}

/** The layouts of a group, and the sorts of stacks that they have. */
export interface GroupLayouts {
  readonly configs: readonly GroupConfig[];
  readonly stacks: readonly StackClass[];
}
