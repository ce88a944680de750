import { type BlockUse, type Candidate, candidateUses, type Part } from "../candidates/index.js";
import type { Column, PackProgram } from "../program/index.js";

/** Items `first` to `first + count - 1`. */
export interface Interval {
  first: number;
  count: number;
}

/** Takes the first items of an interval off it, and gives the first of them. */
export function takeFirst(interval: Interval, count: number): number {
  const { first } = interval;
  interval.first += count;
  interval.count -= count;
  return first;
}

/** Items of a request or a group that are all held by one candidate. */
export interface Run extends Readonly<Interval> {
  readonly candidate: Candidate;
  /** Every block use of one item. */
  readonly uses: readonly BlockUse[];
  readonly parts: readonly Part[];
  /** For each part of the candidate, the request it stands for. */
  readonly requests: readonly number[];
  /** Instances from one member to the next: the copies of the group; 0 for a memory that stands alone. */
  readonly memberStep: number;
  /** For each part, the members that the candidate holds, and the first of them. */
  readonly members: readonly number[];
  readonly firstMembers: readonly number[];
}

/** Takes whole runs off a list of intervals. */
class Intervals<T extends Interval> {
  constructor(private readonly list: T[]) {}

  take(count: number): T[] {
    const taken: T[] = [];
    let left = count;
    while (left > 0) {
      const head = this.list[0];
      if (head === undefined) throw new Error("more instances chosen than there are");
      const part = Math.min(left, head.count);
      taken.push({ ...head, first: takeFirst(head, part), count: part });
      left -= part;
      if (head.count === 0) this.list.shift();
    }
    return taken;
  }
}

/** The instances that no candidate has taken yet. */
interface Open {
  /** For each request those that stand alone. */
  readonly alone: Interval[][];
  /** For each sort of stack of each group, the copies that have one, and the first member of each part in it. */
  readonly stacks: (Interval & { readonly firstMembers: readonly number[] })[][][];
}

/** A column of one sort. */
type ColumnOf<S extends Column["sort"]> = Extract<Column, { readonly sort: S }>;

/** The columns of one sort that are chosen, each with its number of items. */
function chosen<S extends Column["sort"]>(
  { columns }: PackProgram,
  counts: readonly number[],
  sort: S,
): { readonly column: ColumnOf<S>; readonly items: number }[] {
  return columns.flatMap((column, index) =>
    column.sort === sort && counts[index]! > 0
      ? [{ column: column as ColumnOf<S>, items: counts[index]! }]
      : [],
  );
}

/** Opens what the chosen layouts of groups leave alone or stack, and gives the runs of what they join. */
function joinedRuns(pack: PackProgram, counts: readonly number[], open: Open): Run[] {
  const { groups } = pack.choices;
  const copiesOf = groups.map((group) => new Intervals([{ first: 0, count: group.copies }]));
  const runs: Run[] = [];
  for (const { column, items } of chosen(pack, counts, "group")) {
    const { parts, requests, copies, stacks: sorts } = groups[column.owner]!;
    const { alone, joined, stackedParts, stacks } = column.config;
    for (const { first, count } of copiesOf[column.owner]!.take(items)) {
      alone.forEach((left, part) => {
        const { members } = parts[part]!;
        for (let member = members - left; member < members; member++) {
          open.alone[requests[part]!]!.push({ first: member * copies + first, count });
        }
      });
      // Like members are interchangeable: the first ones are stacked, the last ones stand alone.
      const next = parts.map(() => 0);
      stacks.forEach((held, stack) => {
        for (let each = 0; each < held; each++) {
          open.stacks[column.owner]![stack]!.push({ first, count, firstMembers: [...next] });
          sorts[stack]!.members.forEach((members, part) => {
            next[part]! += members;
          });
        }
      });
      if (joined === null) continue;
      runs.push({
        candidate: joined,
        uses: candidateUses(joined),
        parts: stackedParts.map((part) => parts[part]!),
        requests: stackedParts.map((part) => requests[part]!),
        first,
        count,
        memberStep: copies,
        members: stackedParts.map((part) => parts[part]!.members - alone[part]!),
        firstMembers: stackedParts.map(() => 0),
      });
    }
  }
  return runs;
}

function stackRuns(pack: PackProgram, counts: readonly number[], open: Open): Run[] {
  const stacksOf = open.stacks.map((lists) => lists.map((list) => new Intervals(list)));
  return chosen(pack, counts, "stack").flatMap(({ column: { candidate, owner, stack }, items }) => {
    const { copies, parts, requests, stacks } = pack.choices.groups[owner]!;
    const { members } = stacks[stack]!;
    const uses = candidateUses(candidate);
    const taken = stacksOf[owner]![stack]!.take(items);
    return taken.map((each) => ({ candidate, uses, parts, requests, ...each, memberStep: copies, members }));
  });
}

/** What runs of a memory that is not joined with others have in common. */
function ofOne(pack: PackProgram, candidate: Candidate, owner: number): Omit<Run, keyof Interval> {
  return {
    candidate,
    uses: candidateUses(candidate),
    parts: [{ request: pack.choices.requests[owner]!.request, members: 1 }],
    requests: [owner],
    memberStep: 0,
    members: [1],
    firstMembers: [0],
  };
}

/** Members of large exclusive groups, all copies alike. */
function memberRuns(pack: PackProgram, counts: readonly number[]): Run[] {
  return chosen(pack, counts, "member").map(({ column: { candidate, owner, place } }) => {
    const { members, copies, requests } = pack.choices.groups[owner]!;
    const { part, member } = members[place]!;
    return { ...ofOne(pack, candidate, requests[part]!), first: member * copies, count: copies };
  });
}

function aloneRuns(pack: PackProgram, counts: readonly number[], open: Open): Run[] {
  const aloneOf = open.alone.map((list) => new Intervals(list));
  return chosen(pack, counts, "request").flatMap(({ column: { candidate, owner }, items }) => {
    const run = ofOne(pack, candidate, owner);
    return aloneOf[owner]!.take(items).map((each) => ({ ...run, ...each }));
  });
}

/** Which instances take which candidate: groups first, then what they leave alone. */
export function runsOf(pack: PackProgram, counts: readonly number[]): Run[] {
  const { requests, groups } = pack.choices;
  const open: Open = {
    alone: requests.map(({ request: { lockstep, exclusive, instances } }) =>
      lockstep === null && exclusive === null ? [{ first: 0, count: instances }] : [],
    ),
    stacks: groups.map(({ stacks }) => stacks.map(() => [])),
  };
  return [
    ...joinedRuns(pack, counts, open),
    ...stackRuns(pack, counts, open),
    ...memberRuns(pack, counts),
    ...aloneRuns(pack, counts, open),
  ];
}
