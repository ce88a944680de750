import type { Candidate } from "../candidates/index.js";
import type { PackProgram } from "../program/index.js";

/** Requests and groups that depend on each other: a request alone, or a group with its requests. */
export interface Component {
  readonly requests: readonly number[];
  readonly group: number | null;
  /** True where some candidate leaves a fragment, so that the component may share blocks with others. */
  readonly shares: boolean;
}

/** The independent parts of a pack program, budgets and shared blocks apart. */
export function components(pack: PackProgram): Component[] {
  const { requests, groups } = pack.choices;
  const sharing = (candidates: readonly (Candidate | null)[]) =>
    candidates.some((candidate) => candidate !== null && candidate.fragments.length > 0);
  const grouped = new Set(groups.flatMap((group) => group.requests));
  return [
    ...requests.flatMap(({ candidates }, index) =>
      grouped.has(index) ? [] : [{ requests: [index], group: null, shares: sharing(candidates) }],
    ),
    ...groups.map((group, index) => ({
      requests: group.requests,
      group: index,
      shares:
        sharing(group.members.flatMap(({ candidates }) => candidates)) ||
        sharing(group.configs.map(({ joined }) => joined)) ||
        sharing(group.stacks.flatMap(({ candidates }) => candidates)) ||
        group.requests.some((request) => sharing(requests[request]!.candidates)),
    })),
  ];
}
