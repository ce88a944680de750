import { portTotal, writers } from "../model/index.js";
import type { Candidate } from "./candidate.js";
import type { GroupConfig, GroupLayouts, StackClass } from "./group.js";
import { allows, type Setting } from "./memory-candidates.js";
import { blockRealisations } from "./realisation.js";
import { type Member, stackCandidates } from "./stacked-members.js";
import type { TileOption } from "./tile-option.js";
import { tilings } from "./tiling.js";
import { type Part, wordOf } from "./word.js";

/** Most members of a group for which every partition into stacks is tried. */
export const PARTITION_LIMIT = 6;

/**
 * Stacks of one set of members in one pool that are kept where a group has more than four members: those with the fewest
 * blocks, then LUTs.
 */
const MOST_STACKS = { few: Number.POSITIVE_INFINITY, many: 10 };
const FEW_MEMBERS = 4;

/** All partitions of the members into groups, without those that differ only by like members. */
function partitions(members: readonly Member[]): Member[][][] {
  const found: Member[][][] = [];
  const seen = new Set<string>();
  const grow = (index: number, groups: Member[][]) => {
    const member = members[index];
    if (member === undefined) {
      const key = groups
        .map((group) =>
          group
            .map(({ part }) => part)
            .sort()
            .join(","),
        )
        .sort()
        .join("|");
      if (seen.has(key)) return;
      seen.add(key);
      found.push(groups.map((group) => [...group]));
      return;
    }
    for (const group of groups) {
      group.push(member);
      grow(index + 1, groups);
      group.pop();
    }
    groups.push([member]);
    grow(index + 1, groups);
    groups.pop();
  };
  grow(0, []);
  return found;
}

/** At most so many candidates: those with the fewest blocks if nothing shares, then the fewest LUTs. */
function fewest(candidates: readonly Candidate[], most: number): Candidate[] {
  if (candidates.length <= most) return [...candidates];
  const units = (candidate: Candidate) =>
    candidate.fragments.reduce((sum, fragment) => sum + fragment.units, candidate.units);
  return [...candidates].sort((a, b) => units(a) - units(b) || a.luts - b.luts).slice(0, most);
}

/**
 * Ways to lay out one copy of an exclusive group: a partition of its members into stacks, each behind one port with an
 * address and write-data multiplexer; members in a stack of their own stand alone. Every partition is tried, so this is
 * for groups of up to {@link PARTITION_LIMIT} members. How each stack is laid out is a choice for itself: as products of
 * these choices, the layouts of four members were thousands.
 */
export function exclusiveLayouts(setting: Setting, parts: readonly Part[]): GroupLayouts {
  const members = parts.flatMap(({ request, members: count }, part) => {
    const word = wordOf([{ request, members: 1 }], 1);
    return Array.from({ length: count }, (_, member): Member => ({ part, member, request, word }));
  });
  const most = members.length > FEW_MEMBERS ? MOST_STACKS.many : MOST_STACKS.few;
  const stacks: StackClass[] = [];
  const known = new Map<string, number>();
  /** The sort of a stack, its members of each part numbered from 0. */
  const sortOf = (stack: readonly Member[]): number => {
    const key = stack.map(({ part }) => part).join();
    let index = known.get(key);
    if (index === undefined) {
      const count = parts.map(() => 0);
      const numbered = stack.map((member) => ({ ...member, member: count[member.part]!++ }));
      const candidates = setting.device.pools.flatMap(({ name }) =>
        fewest(stackCandidates(setting, name, numbered), most),
      );
      index = stacks.push({ members: count, candidates }) - 1;
      known.set(key, index);
    }
    return index;
  };
  const chosen = partitions(members).map((partition) => {
    const alone = parts.map(() => 0);
    for (const stack of partition) if (stack.length === 1) alone[stack[0]!.part]! += 1;
    return { alone, sorts: partition.filter((stack) => stack.length > 1).map(sortOf) };
  });
  const configs = chosen
    .filter(({ sorts }) => sorts.every((sort) => stacks[sort]!.candidates.length > 0))
    .map(({ alone, sorts }): GroupConfig => {
      const counts = stacks.map((_, index) => sorts.filter((sort) => sort === index).length);
      return { joined: null, stackedParts: [], alone, stacks: counts };
    });
  return { configs, stacks };
}

/**
 * Candidates of one member of a large exclusive group whose tiles may share a block with tiles of other members: which
 * of them do is left to the program. One shape a column, as everywhere; the multiplexers are counted by the block.
 */
export function sharingCandidates(setting: Setting, group: string, owner: string, part: Part): Candidate[] {
  const { request } = part;
  const one = blockRealisations(request.ports).find(({ realisation }) => realisation === "one-copy");
  const equalSides = Math.max(request.wordsPerAccess.read, request.wordsPerAccess.write) === 1;
  const allowed = request.realisation === null || request.realisation === "one-copy";
  if (one === undefined || !equalSides || !allowed) return [];
  const word = wordOf([{ request, members: 1 }], 1);
  const { use, readPorts } = one.groups[0]!;
  const found: Candidate[] = [];
  for (const { name: pool } of setting.device.pools) {
    if (!allows(request, pool)) continue;
    const options = setting.tables
      .optionsOf(pool, request, use, {
        lanesNeeded: word.stretches > 1,
        mixedPorts: false,
        clockMHz: setting.design.clockMHz,
      })
      .map((option): TileOption => {
        const { kind, arrangement, shape, lane } = option;
        const addressBits = Math.ceil(Math.log2(shape.depth));
        return {
          ...option,
          shareKey: `${group}/${kind.name}/${arrangement}/${shape.depth}x${shape.width}/lane ${lane ?? "word"}`,
          stackRule: {
            depth: shape.depth,
            turns: [0, 0],
            joint: false,
            distinctOwners: true,
            muxBits: portTotal(request.ports) * addressBits + writers(request.ports) * shape.width,
          },
          owner,
          turns: [0, 0],
        };
      });
    const tiled = tilings({
      word,
      depth: request.depth,
      options,
      logic: setting.device.logic,
      readPorts,
      maxCascade: request.maxCascade,
      tables: setting.tables,
    });
    for (const tiling of tiled) {
      found.push({
        realisation: "one-copy",
        home: pool,
        copies: 1,
        pump: 1,
        wordsInStored: 1,
        tiled: [{ firstCopy: 0, copies: 1, tiling, word }],
        stacked: [],
        units: tiling.units,
        fragments: tiling.fragments,
        luts: tiling.luts,
        lutMemory: 0,
        registers: 0,
        cascade: tiling.cascade,
      });
    }
  }
  return found;
}
