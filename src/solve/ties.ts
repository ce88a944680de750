import {
  type Column,
  ownerOf,
  type PackProgram,
  type Stage,
  type StagedProgram,
  stageProgram,
} from "../program/index.js";
import type { IntegerProgram } from "../program/integer-program.js";
import { heldOf } from "./held.js";
import { valuesOf } from "./values-of.js";

/** A program of some of the choices of another one only. */
export interface Excerpt {
  readonly program: IntegerProgram;
  /** The values of the other one's variables for a solution of this; null: it has no place for it. */
  spread(x: readonly number[]): readonly number[] | null;
}

/** What variables of a program have to do with each other. */
export interface Ties {
  /** By variable, what it is a choice for: a memory, a group or a member of one; null: it counts something. */
  readonly owners: readonly (string | null)[];
  /** The program of some choices, given by their variables in rising order, and all that these have to count. */
  excerptOf(choices: readonly number[]): Excerpt;
}

/** What tells the choices that one memory or one group has to make together: a layout, and what is alone or stacked in it. */
function decidersOf({ choices: { groups } }: PackProgram): (column: Column) => string {
  const groupOf = new Map(
    groups.flatMap(({ requests }, group) => requests.map((request) => [request, group] as const)),
  );
  return (column) => {
    const { sort, owner } = column;
    const group = sort === "request" ? groupOf.get(owner) : sort === "member" ? undefined : owner;
    return group === undefined ? ownerOf(column) : `group ${group}`;
  };
}

/** The ties of the variables of a stage's program. */
export function tiesOf(pack: PackProgram, stage: Stage, staged: StagedProgram): Ties {
  const { columnOf } = staged;
  const { columns } = pack;
  const deciderOf = decidersOf(pack);
  return {
    owners: columnOf.map((column) => (column < 0 ? null : deciderOf(columns[column]!))),
    // Made anew: fewer fragments leave fewer patterns that differ.
    excerptOf: (choices) => {
      const part = stageProgram(pack, {
        ...stage,
        columns: new Set(choices.map((variable) => columnOf[variable]!)),
      });
      return { program: part.program, spread: (x) => valuesOf(pack, staged, heldOf(pack, part, x)) };
    },
  };
}
