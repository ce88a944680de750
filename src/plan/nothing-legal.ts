import type { Choices } from "../candidates/index.js";
import { type BlockKind, type Design, type Device, type MemoryRequest, portsName } from "../model/index.js";

/** A memory for which the device has no legal home, and why. */
export interface Homeless {
  readonly request: MemoryRequest;
  readonly reason: string;
}

/** Thrown where a memory has no legal home on the device; carries all of them. */
export class NothingLegalError extends Error {
  constructor(readonly homeless: readonly Homeless[]) {
    super(homeless.map(({ request, reason }) => `${request.name}: ${reason}`).join("\n"));
    this.name = "NothingLegalError";
  }
}

/** Joins names as a list in a sentence. */
const listed = (names: readonly string[]) => names.join(", ");

function reasonFor(request: MemoryRequest, design: Design, device: Device): string {
  const on = `on ${device.name}`;
  const ports = `${request.depth} x ${request.width} with ports ${portsName(request.ports)}`;
  const among = request.homes === null ? "" : ` (in: ${listed(request.homes)})`;
  const homes = request.homes ?? [...device.pools.map(({ name }) => name), "LUT", "registers"];
  const kinds = device.blocks.filter(({ pool }) => homes.includes(pool));
  if (request.realisation !== null) {
    return `the pinned realisation ${request.realisation} cannot make ${ports} ${on}${among}`;
  }
  if (kinds.length === 0 && homes.includes("LUT") && device.lutMemory === null) {
    return `${device.name} has no LUT memory${among}`;
  }
  const rules: readonly [boolean, (kind: BlockKind) => boolean, string][] = [
    [request.read === "async", (kind) => kind.asynchronousRead, "reads asynchronously"],
    [request.initialContents, (kind) => kind.initialContents, "can start with contents"],
    [request.clocks === 2, (kind) => kind.clocks === 2, "has two clocks"],
    [
      design.clockMHz !== null,
      ({ maxClockMHz }) => maxClockMHz === null || maxClockMHz >= (design.clockMHz ?? 0),
      `reaches ${design.clockMHz} MHz`,
    ],
  ];
  let left = kinds;
  for (const [applies, serves, words] of rules) {
    if (!applies || left.length === 0) continue;
    const next = left.filter(serves);
    if (next.length === 0)
      return `no block kind ${on}${among} ${words}: ${listed(left.map(({ name }) => name))}`;
    left = next;
  }
  if (request.maxCascade !== null && left.length > 0) {
    return `no layout of ${ports} ${on}${among} keeps max_cascade ${request.maxCascade}`;
  }
  return `nothing ${on}${among} serves ${ports}`;
}

/** Memories that have neither a candidate nor a group layout that holds all of their members. */
export function homelessOf(choices: Choices, design: Design, device: Device): Homeless[] {
  return choices.requests.flatMap(({ request, candidates }, index) => {
    if (candidates.length > 0) return [];
    const group = choices.groups.find(({ requests }) => requests.includes(index));
    const part = group?.requests.indexOf(index) ?? -1;
    const ownMembers = group?.members.filter((member) => member.part === part) ?? [];
    if (ownMembers.length > 0 && ownMembers.every((member) => member.candidates.length > 0)) return [];
    const held = group?.configs.some(({ alone }) => alone[part] === 0) ?? false;
    return held ? [] : [{ request, reason: reasonFor(request, design, device) }];
  });
}
