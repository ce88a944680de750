import {
  type BlockKind,
  type Design,
  type Device,
  type MemoryRequest,
  REALISATIONS,
} from "../model/index.js";
import { type Candidate, candidateDominates } from "./candidate.js";
import type { Choices, GroupClass } from "./classes.js";
import { allows, memoryCandidates } from "./memory-candidates.js";
import { TilingTables } from "./tiling-tables.js";

/** One way to lay out every instance of a memory, whatever else would be cheaper. */
export interface Alternative {
  /** What holds one instance, or one copy of the members of a group that it is joined with. */
  readonly candidate: Candidate;
  /** The choices of the whole design, with nothing but this left to the memory. */
  readonly choices: Choices;
}

/** A kind that offers one shape alone, in every arrangement that has it. */
function narrowed(kind: BlockKind, shape: { readonly depth: number; readonly width: number }): BlockKind {
  const only = (list: BlockKind["shapes"]["single"]) =>
    list.filter(({ depth, width }) => depth === shape.depth && width === shape.width);
  const { single } = kind.shapes;
  return {
    ...kind,
    shapes: {
      single: only(single),
      "simple-dual": only(kind.shapes["simple-dual"]),
      "true-dual": only(kind.shapes["true-dual"]),
    },
  };
}

/** The device with every shape, and with each shape of each kind of the memory's pools alone. */
function devicesFor(request: MemoryRequest, device: Device): Device[] {
  const without = (kind: BlockKind): BlockKind => ({
    ...kind,
    shapes: { single: [], "simple-dual": [], "true-dual": [] },
  });
  const found = [device];
  for (const kind of device.blocks) {
    if (!allows(request, kind.pool)) continue;
    const names = new Set<string>();
    for (const shape of Object.values(kind.shapes).flat()) {
      const name = `${shape.depth}x${shape.width}`;
      if (names.has(name)) continue;
      names.add(name);
      // The other kinds stay, so that a block with halves is still known as one.
      const blocks = device.blocks.map((other) => (other === kind ? narrowed(kind, shape) : without(other)));
      found.push({ ...device, blocks });
    }
  }
  return found;
}

/** What tells one way of holding a memory from another: home, ports and tiles. */
function signature({ realisation, home, copies, pump, tiled, stacked }: Candidate): string {
  const tiles = new Map<string, number>();
  const add = (name: string, count: number) => tiles.set(name, (tiles.get(name) ?? 0) + count);
  for (const { copies: times, tiling } of tiled) {
    for (const { option, count } of tiling.stacks) {
      add(`${option.kind.name} ${option.shape.depth}x${option.shape.width}`, times * count);
    }
  }
  for (const { option } of stacked)
    add(`${option.kind.name} ${option.shape.depth}x${option.shape.width} stacked`, 1);
  const names = [...tiles].map(([name, count]) => `${count} ${name}`).sort();
  return [realisation, home, copies, pump, ...names].join(", ");
}

/** Units of its pool that a candidate takes, a tile that can share in proportion. */
export function roomOf({ units, fragments }: Candidate): number {
  return fragments.reduce((sum, { units: of, extent, cells }) => sum + (of * extent) / cells, units);
}

/** Candidates of a memory alone: those that the design chooses from, and the best of each home, realisation and shape. */
function aloneCandidates(request: MemoryRequest, design: Design, device: Device): Candidate[] {
  const homes = [...device.pools.map(({ name }) => name), "LUT", "registers"].filter((home) =>
    allows(request, home),
  );
  const found: Candidate[] = [];
  for (const only of devicesFor(request, device)) {
    const setting = { device: only, design, tables: new TilingTables(only) };
    for (const home of homes) {
      const inLogic = home === "LUT" || home === "registers";
      if (inLogic && only !== device) continue;
      for (const realisation of request.realisation === null ? REALISATIONS : [request.realisation]) {
        const pinned = { ...request, homes: [home], realisation };
        const candidates = memoryCandidates(setting, pinned);
        // With one shape, candidates differ only in how they cut a copy to share blocks.
        if (only !== device) candidates.sort((a, b) => roomOf(a) - roomOf(b) || a.luts - b.luts).splice(1);
        found.push(...candidates);
      }
    }
  }
  return found;
}

/** The choices where the memory stands alone, held by one candidate. */
function alone(choices: Choices, index: number, candidate: Candidate): Choices {
  const requests = choices.requests.map((entry, i) =>
    i === index ? { ...entry, candidates: [candidate] } : entry,
  );
  const groups = choices.groups.map((group): GroupClass => {
    const part = group.requests.indexOf(index);
    if (part < 0) return group;
    const { members } = group.parts[part]!;
    return {
      ...group,
      configs: group.configs.filter((config) => config.alone[part] === members),
      members: group.members.map((member) =>
        member.part === part ? { ...member, candidates: [candidate] } : member,
      ),
    };
  });
  return { requests, groups };
}

/** For each way to lay all members of the memory together with others of its group, the choices with that alone. */
function joined(choices: Choices, index: number): Alternative[] {
  return choices.groups.flatMap((group, g) => {
    const part = group.requests.indexOf(index);
    if (part < 0) return [];
    const only = (candidate: Candidate, narrowed: Partial<GroupClass>): Alternative => {
      const groups = choices.groups.map((each, i) => (i === g ? { ...each, ...narrowed } : each));
      return { candidate, choices: { ...choices, groups } };
    };
    const together = group.configs.filter(({ alone }) => alone[part] === 0);
    return [
      ...together.flatMap((config) =>
        config.joined === null ? [] : [only(config.joined, { configs: [config] })],
      ),
      ...group.stacks.flatMap(({ members, candidates }, sort) => {
        if (members[part] === 0) return [];
        // All members of the memory in stacks of this sort.
        const configs = together.filter(({ stacks }) =>
          group.stacks.every(
            (stack, other) => stack.members[part] === 0 || stacks[other]! > 0 === (other === sort),
          ),
        );
        if (configs.length === 0) return [];
        return candidates.map((candidate) => {
          const stacks = group.stacks.map((stack, other) =>
            other === sort ? { ...stack, candidates: [candidate] } : stack,
          );
          return only(candidate, { configs, stacks });
        });
      }),
    ];
  });
}

/**
 * Ways to lay out a memory of a design: those that the whole program chooses from, and beside them, for each home and
 * each realisation that the request allows, the best with all shapes and with each shape alone, which a better one may
 * have put out of the program. `choices` are those of the design. Ways with the same tiles come once.
 */
export function alternativesOf(
  choices: Choices,
  index: number,
  design: Design,
  device: Device,
): readonly Alternative[] {
  const { request, candidates } = choices.requests[index]!;
  const known = new Map<string, Candidate>();
  for (const candidate of [...candidates, ...aloneCandidates(request, design, device)]) {
    const key = signature(candidate);
    const other = known.get(key);
    if (other === undefined || candidateDominates(candidate, other)) known.set(key, candidate);
  }
  const single = [...known.values()].map((candidate) => ({
    candidate,
    choices: alone(choices, index, candidate),
  }));
  const together = new Map(
    joined(choices, index).map((each) => [
      `${signature(each.candidate)} ${each.candidate.fragments.length}`,
      each,
    ]),
  );
  return [...single, ...together.values()];
}
