import type { Design, Device, MemoryRequest } from "../model/index.js";
import { type Candidate, paretoCandidates } from "./candidate.js";
import { exclusiveLayouts, PARTITION_LIMIT, sharingCandidates } from "./exclusive.js";
import type { GroupConfig, GroupLayouts, StackClass } from "./group.js";
import { lockstepConfigs } from "./lockstep.js";
import { memoryCandidates, type Setting } from "./memory-candidates.js";
import { TilingTables } from "./tiling-tables.js";
import type { Part } from "./word.js";

/** A request and every candidate for one of its instances. */
export interface RequestClass {
  readonly request: MemoryRequest;
  readonly candidates: readonly Candidate[];
}

/** A lockstep or exclusive group with its ways of being laid out. */
export interface GroupClass {
  readonly name: string;
  /** Identical copies of the group in the system. */
  readonly copies: number;
  readonly parts: readonly Part[];
  /** For each part, its index among the design's requests. */
  readonly requests: readonly number[];
  /** Empty for a large exclusive group. */
  readonly configs: readonly GroupConfig[];
  /** The sorts of stacks that the layouts of an exclusive group have; empty for other groups. */
  readonly stacks: readonly StackClass[];
  /** The members of a large exclusive group, all copies of which are laid out alike; empty for other groups. */
  readonly members: readonly MemberClass[];
}

/** One member of a large exclusive group. */
export interface MemberClass {
  readonly part: number;
  readonly member: number;
  readonly candidates: readonly Candidate[];
}

/** Everything that the integer program chooses from. */
export interface Choices {
  readonly requests: readonly RequestClass[];
  readonly groups: readonly GroupClass[];
}

/**
 * Candidates made before, for designs that have most of their memories in common. One memo may serve any designs and
 * devices; a device is told by identity.
 */
export class CandidateMemo {
  readonly #devices = new WeakMap<Device, Map<string, unknown>>();

  /** The value of a key, made where it is not known yet. Beyond some thousands of keys it starts afresh. */
  get<T>(device: Device, key: string, make: () => T): T {
    let known = this.#devices.get(device);
    if (known === undefined || known.size > MEMO_LIMIT) {
      known = new Map();
      this.#devices.set(device, known);
    }
    if (!known.has(key)) known.set(key, make());
    return known.get(key) as T;
  }
}

/** Most keys of a memo. */
const MEMO_LIMIT = 5_000;

/** Requests that differ in nothing that a candidate depends on get the same candidates, made once. */
function candidateKey(request: MemoryRequest): string {
  return JSON.stringify({ ...request, ...NO_MATTER });
}

/** What no candidate depends on; the rest of an object is slower to take than a copy. */
const NO_MATTER = {
  name: undefined,
  structure: undefined,
  instances: undefined,
  lockstep: undefined,
  exclusive: undefined,
  contents: undefined,
  collision: undefined,
  formula: undefined,
  source: undefined,
} satisfies { readonly [K in keyof MemoryRequest]?: undefined };

/**
 * The candidates of every request and the layouts of every group of a design on a device. `memo` keeps those of single
 * memories and of lockstep groups for other designs.
 */
export function choicesOf(design: Design, device: Device, memo = new CandidateMemo()): Choices {
  const steps = choiceSteps(design, device, memo);
  for (let step = steps.next(); ; step = steps.next()) if (step.done) return step.value;
}

/** The same in steps, one a memory and a group, for a caller that has other things to do between them. */
export function* choiceSteps(
  design: Design,
  device: Device,
  memo = new CandidateMemo(),
): Generator<void, Choices, void> {
  const setting: Setting = { device, design, tables: new TilingTables(device) };
  const surroundings = JSON.stringify([design.clockMHz, design.small]);
  const requests: RequestClass[] = [];
  const keys = design.requests.map(candidateKey);
  for (const [index, request] of design.requests.entries()) {
    const key = `${surroundings} ${keys[index]}`;
    requests.push({ request, candidates: memo.get(device, key, () => memoryCandidates(setting, request)) });
    yield;
  }
  const lockstepOf = (parts: readonly Part[], indices: readonly number[]) => {
    const member = ({ request, members }: Part, part: number) =>
      `${members} ${request.lockstep?.together} ${keys[indices[part]!]}`;
    const key = `${surroundings} lockstep ${parts.map(member).join(" ")}`;
    return memo.get(device, key, () => lockstepConfigs(setting, parts));
  };
  const groups = new Map<string, number[]>();
  design.requests.forEach((request, index) => {
    for (const [sort, membership] of [
      ["lockstep", request.lockstep],
      ["exclusive", request.exclusive],
    ] as const) {
      if (membership === null) continue;
      const key = `${sort} ${membership.group}`;
      groups.set(key, [...(groups.get(key) ?? []), index]);
    }
  });
  const classes: GroupClass[] = [];
  for (const [name, indices] of groups) {
    const parts = indices.map((index) => {
      const request = design.requests[index]!;
      return { request, members: (request.lockstep ?? request.exclusive)!.members };
    });
    const total = parts.reduce((sum, part) => sum + part.members, 0);
    const lockstep = name.startsWith("lockstep ");
    const large = !lockstep && total > PARTITION_LIMIT;
    const layouts: GroupLayouts = large
      ? { configs: [], stacks: [] }
      : lockstep
        ? { configs: lockstepOf(parts, indices), stacks: [] }
        : exclusiveLayouts(setting, parts);
    const members = !large
      ? []
      : parts.flatMap((part, index) =>
          Array.from({ length: part.members }, (_, member) => ({
            part: index,
            member,
            candidates: paretoCandidates([
              ...requests[indices[index]!]!.candidates,
              ...sharingCandidates(setting, name, `${index}.${member}`, part),
            ]),
          })),
        );
    const first = parts[0]!;
    classes.push({
      name,
      copies: first.request.instances / first.members,
      parts,
      requests: indices,
      ...layouts,
      members,
    });
    yield;
  }
  return { requests, groups: classes };
}
