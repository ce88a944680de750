import { type GroupMembership, type MemoryRequest, portsName, type Warning } from "../model/index.js";
import { type Located, type Problem, problem } from "./located.js";

/** The two sorts of group; a request is in at most one group of them all. */
type Sort = "lockstep" | "exclusive";

/** A property that all requests of a group share, in words that can be compared. */
type Shared = readonly [key: string, name: string, value: (request: MemoryRequest) => string];

const SHARED_BY_ALL: readonly Shared[] = [
  ["ports", "ports", (r) => portsName(r.ports)],
  ["clocks", "clocks", (r) => String(r.clocks)],
  ["read", "read style", (r) => r.read],
];

const SHARED_IN_LOCKSTEP: readonly Shared[] = [
  ["depth", "depth", (r) => String(r.depth)],
  ...SHARED_BY_ALL,
  ["read_width", "words per read", (r) => String(r.wordsPerAccess.read)],
  ["write_width", "words per write", (r) => String(r.wordsPerAccess.write)],
];

interface Member extends Located {
  readonly membership: GroupMembership;
}

function copies({ request, membership }: Member): number {
  return request.instances / membership.members;
}

/** What a later member of a group has differently from the first. */
function differences(sort: Sort, first: Member, member: Member): Problem[] {
  const group = `${sort} group ${JSON.stringify(member.membership.group)}`;
  const problems: Problem[] = [];
  for (const [key, name, value] of sort === "lockstep" ? SHARED_IN_LOCKSTEP : SHARED_BY_ALL) {
    const [here, there] = [value(member.request), value(first.request)];
    if (here === there) continue;
    const words = `${group}: expected the ${name} of ${first.request.name}, ${there}, found ${here}`;
    problems.push(problem("group-rule", member.at(key), words));
  }
  if (copies(member) !== copies(first)) {
    const words = `${group}: expected ${copies(first)} copies of the group as ${first.request.name} makes, found ${copies(member)}`;
    problems.push(problem("group-rule", member.at(sort), words));
  }
  return problems;
}

function groupsOf(sort: Sort, requests: readonly Located[]): Map<string, Member[]> {
  const groups = new Map<string, Member[]>();
  for (const located of requests) {
    const membership = located.request[sort];
    if (membership === null) continue;
    const members = groups.get(membership.group) ?? [];
    members.push({ ...located, membership });
    groups.set(membership.group, members);
  }
  return groups;
}

/** What breaks the rules of lockstep and exclusive groups, and the groups that do nothing. */
export function groupRules(requests: readonly Located[]): { problems: Problem[]; warnings: Warning[] } {
  const problems: Problem[] = [];
  const warnings: Warning[] = [];
  for (const sort of ["lockstep", "exclusive"] as const) {
    for (const [group, members] of groupsOf(sort, requests)) {
      const [first, ...rest] = members as [Member, ...Member[]];
      for (const member of rest) problems.push(...differences(sort, first, member));
      if (rest.length > 0 || first.membership.members > 1) continue;
      const message = `the ${sort} group ${JSON.stringify(group)} has this one member, so it changes nothing`;
      warnings.push({ subject: first.request.name, message, source: first.at(sort) });
    }
  }
  return { problems, warnings };
}
