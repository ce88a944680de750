import { columnCandidate, ownerOf, type PackProgram, type StagedProgram } from "../program/index.js";

/** What variables of a program have to do with each other. */
export interface Ties {
  /** By variable, what it is a choice for: a memory, a group or a member of one; null: it counts something. */
  readonly owners: readonly (string | null)[];
  /** By variable, the names of the keys that it brings fragments to, or a pattern of which it counts; []: none in particular. */
  readonly keys: readonly (readonly string[])[];
}

/** The ties of the variables of a stage. */
export function tiesOf({ columns, shareKeys }: PackProgram, { columnOf, patternOf }: StagedProgram): Ties {
  return {
    owners: columnOf.map((column) => (column < 0 ? null : ownerOf(columns[column]!))),
    keys: columnOf.map((column, variable) => {
      const pattern = patternOf[variable];
      if (column < 0) return pattern === null ? [] : [shareKeys[pattern!.key]!.name];
      const fragments = columnCandidate(columns[column]!)?.fragments ?? [];
      return [...new Set(fragments.map(({ shareKey }) => shareKey))];
    }),
  };
}
