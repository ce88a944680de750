import { type MemoryRequest, multiplexer, portTotal, readers, shapeBits, writers } from "../model/index.js";
import { type BlockUse, laneOf } from "./block-use.js";
import { type Candidate, candidateDominates } from "./candidate.js";
import type { GroupConfig, GroupLayouts, StackClass } from "./group.js";
import { allows, type Setting } from "./memory-candidates.js";
import { paretoSet } from "./pareto.js";
import { blockRealisations } from "./realisation.js";
import { placeStack, type StackPlace } from "./stack-rows.js";
import { type TileOption, tileOptions } from "./tile-option.js";
import { tilings } from "./tiling.js";
import { columnEnd, columnRuns, type Part, type Word, wordOf } from "./word.js";

/** Most members of a group for which every partition into stacks is tried. */
export const PARTITION_LIMIT = 6;

/**
 * Stacks of one set of members in one pool that are kept where a group has more than four members: those with the fewest
 * blocks, then LUTs.
 */
const MOST_STACKS = { few: Number.POSITIVE_INFINITY, many: 10 };
const FEW_MEMBERS = 4;

interface Member {
  readonly part: number;
  readonly member: number;
  readonly request: MemoryRequest;
}

/** Bits `[start, end)` of a member's word, in one column. */
interface MemberColumn {
  readonly word: Word;
  readonly start: number;
  readonly end: number;
}

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

/** Rows of one member in one slab of an option, whatever bits. */
interface Slab {
  readonly index: number;
  readonly firstRow: number;
  readonly rows: number;
}

/** Slabs that share a block, and where in it they lie. */
interface Bin {
  readonly slabs: readonly Slab[];
  readonly places: readonly StackPlace[];
  readonly height: number;
}

/** Fills blocks of so many words with slabs of different members, largest first, each into the first block that takes it. */
function fill(slabs: readonly Slab[], depth: number): Bin[] {
  const bins: { slabs: Slab[]; rows: number }[] = [];
  for (const slab of [...slabs].sort((a, b) => b.rows - a.rows)) {
    const bin = bins.find(
      (held) =>
        held.rows + slab.rows <= depth &&
        held.slabs.every((other) => other.index !== slab.index) &&
        placeStack([...held.slabs.map(({ rows }) => rows), slab.rows], depth) !== null,
    );
    if (bin === undefined) bins.push({ slabs: [slab], rows: slab.rows });
    else {
      bin.slabs.push(slab);
      bin.rows += slab.rows;
    }
  }
  return bins.map((bin) => ({
    slabs: bin.slabs,
    ...placeStack(
      bin.slabs.map(({ rows }) => rows),
      depth,
    )!,
  }));
}

/** The block of a bin; `columns` are the bits of each member that it holds. */
function useOf(
  { slabs, places, height }: Bin,
  option: TileOption,
  members: readonly Member[],
  columns: readonly MemberColumn[],
): BlockUse {
  const extent = height * option.shape.width;
  const cells = shapeBits(option.shape);
  const lanes = slabs.map(({ index }) => laneOf(option, columns[index]!.word));
  return {
    option,
    lane: lanes.find((lane) => lane !== null) ?? null,
    pieces: slabs.map(({ index, firstRow, rows }, place) => {
      const { part, member } = members[index]!;
      const { word, start, end } = columns[index]!;
      return {
        part,
        member,
        copy: 0,
        rows: [firstRow, firstRow + rows - 1] as const,
        runs: columnRuns(word, start, end, option.slots, option.laneBits).map((run) => ({
          ...run,
          part,
          member,
        })),
        word: places[place]!.word,
        inverted: places[place]!.inverted,
      };
    }),
    fragment:
      option.shareKey !== null && extent < cells
        ? { shareKey: option.shareKey, extent, cells, units: option.units, stack: null }
        : null,
  };
}

function slabsOf(index: number, depth: number, native: number): Slab[] {
  return Array.from({ length: Math.ceil(depth / native) }, (_, slab) => {
    const firstRow = slab * native;
    return { index, firstRow, rows: Math.min(native, depth - firstRow) };
  });
}

/** Members stacked behind one port, all in one shape but for the last column, which may be narrower and deeper. */
function stackWith(
  setting: Setting,
  members: readonly Member[],
  bulk: TileOption,
  last: TileOption,
): { readonly uses: BlockUse[]; readonly luts: number; readonly cascade: number } {
  const { logic } = setting.device;
  const uses: BlockUse[] = [];
  const words = members.map(({ request }) => wordOf([{ request, members: 1 }], 1));
  const at = members.map(() => 0);
  let muxLuts = 0;
  let cascade = 0;
  let bins: readonly Bin[] = [];
  let filled: TileOption | null = null;
  let filledOpen = 0;
  for (;;) {
    const open = members.map((_, index) => index).filter((index) => at[index]! < words[index]!.width);
    if (open.length === 0) break;
    const endsWith = (option: TileOption, index: number) =>
      columnEnd(words[index]!, at[index]!, option.slots, option.laneBits);
    const final = open.every((index) => endsWith(last, index) === words[index]!.width);
    const option = final ? last : bulk;
    // Members only drop out, so as many as before are the same ones, and lie alike.
    if (filled !== option || filledOpen !== open.length) {
      const slabs = open.flatMap((index) =>
        slabsOf(index, members[index]!.request.depth, option.shape.depth),
      );
      bins = fill(slabs, option.shape.depth);
      filled = option;
      filledOpen = open.length;
    }
    const columns = members.map((_, index): MemberColumn => {
      const start = at[index]!;
      const word = words[index]!;
      return { word, start, end: open.includes(index) ? endsWith(option, index) : start };
    });
    for (const bin of bins) uses.push(useOf(bin, option, members, columns));
    for (const index of open) {
      const { ports, depth } = members[index]!.request;
      const { start, end } = columns[index]!;
      const deep = Math.ceil(depth / option.shape.depth);
      muxLuts += readers(ports) * (end - start) * multiplexer(logic, deep).luts;
      cascade = Math.max(cascade, deep);
      at[index] = end;
    }
  }
  const { ports } = members[0]!.request;
  const addressBits = Math.ceil(Math.log2(Math.max(2, ...members.map(({ request }) => request.depth))));
  const dataBits = writers(ports) > 0 ? Math.max(...members.map(({ request }) => request.width)) : 0;
  const inputs = multiplexer(logic, members.length).luts;
  const luts = muxLuts + (portTotal(ports) * addressBits + writers(ports) * dataBits) * inputs;
  return { uses, luts, cascade };
}

function stackCandidates(setting: Setting, pool: string, members: readonly Member[]): Candidate[] {
  const requests = members.map(({ request }) => request);
  const request = requests[0]!;
  const allowed = requests.every(
    (each) =>
      allows(each, pool) &&
      (each.realisation === null || each.realisation === "one-copy") &&
      Math.max(each.wordsPerAccess.read, each.wordsPerAccess.write) === 1,
  );
  const single = blockRealisations(request.ports).find(({ realisation }) => realisation === "one-copy");
  if (!allowed || single === undefined) return [];
  const lanesNeeded = requests.some((each) => each.lane !== null && writers(each.ports) > 0);
  const strictest = { ...request, initialContents: requests.some((each) => each.initialContents) };
  const options = tileOptions(setting.device, pool, strictest, single.groups[0]!.use, {
    lanesNeeded,
    mixedPorts: false,
    clockMHz: setting.design.clockMHz,
  });
  const limit = Math.min(...requests.map((each) => each.maxCascade ?? Number.POSITIVE_INFINITY));
  const found: Candidate[] = [];
  for (const bulk of options) {
    for (const last of options) {
      const { uses, luts, cascade } = stackWith(setting, members, bulk, last);
      if (cascade > limit) continue;
      const fragments = uses.flatMap(({ fragment }) => (fragment === null ? [] : [fragment]));
      found.push({
        realisation: "one-copy",
        home: pool,
        copies: 1,
        pump: 1,
        wordsInStored: 1,
        tiled: [],
        stacked: uses,
        units: uses.reduce((sum, use) => sum + (use.fragment === null ? use.option.units : 0), 0),
        fragments: fragments.sort((a, b) => b.extent - a.extent),
        luts,
        lutMemory: 0,
        registers: 0,
        cascade,
      });
    }
  }
  return paretoSet(found, candidateDominates);
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
  const members = parts.flatMap(({ request, members: count }, part) =>
    Array.from({ length: count }, (_, member) => ({ part, member, request })),
  );
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
    const options = tileOptions(setting.device, pool, request, use, {
      lanesNeeded: word.stretches > 1,
      mixedPorts: false,
      clockMHz: setting.design.clockMHz,
    }).map((option): TileOption => {
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
