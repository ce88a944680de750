import type { Choices } from "../candidates/index.js";
import { type Design, type Device, type MemoryRequest, portsName, readers, writers } from "../model/index.js";

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

function reasonFor(request: MemoryRequest, design: Design, device: Device): string {
  const homes = request.homes === null ? "" : ` among its homes (${request.homes.join(", ")})`;
  if (request.read === "async" && request.homes === null) {
    return `no home on ${device.name} for an asynchronous read with ports ${portsName(request.ports)}${
      request.realisation === null ? "" : ` as ${request.realisation}`
    }`;
  }
  const kinds = device.blocks.filter((kind) => request.homes === null || request.homes.includes(kind.pool));
  const clock = design.clockMHz;
  if (
    clock !== null &&
    kinds.length > 0 &&
    kinds.every(({ maxClockMHz }) => maxClockMHz !== null && maxClockMHz < clock)
  ) {
    const fastest = Math.max(...kinds.map(({ maxClockMHz }) => maxClockMHz!));
    return `the clock of ${clock} MHz is above the ${fastest} MHz of every block kind of ${device.name}${homes}`;
  }
  if (request.realisation !== null) {
    return `the pinned realisation ${request.realisation} cannot make ports ${portsName(request.ports)} on ${device.name}${homes}`;
  }
  if (request.maxCascade !== null) {
    return `no block of ${device.name} is deep enough for ${request.depth} words with at most ${request.maxCascade} in depth${homes}`;
  }
  if (writers(request.ports) === 0 || request.initialContents) {
    return `no block kind of ${device.name}${homes} can start with contents`;
  }
  return `nothing on ${device.name}${homes} serves ports ${portsName(request.ports)} (${readers(request.ports)} reads, ${writers(request.ports)} writes) of ${request.depth} x ${request.width}`;
}

/** Memories that have neither a candidate nor a group layout that holds all of their members. */
export function homelessOf(choices: Choices, design: Design, device: Device): Homeless[] {
  return choices.requests.flatMap(({ request, candidates }, index) => {
    if (candidates.length > 0) return [];
    const group = choices.groups.find(({ requests }) => requests.includes(index));
    const part = group?.requests.indexOf(index) ?? -1;
    const held = group?.configs.some(({ alone, joined }) => joined !== null && alone[part] === 0) ?? false;
    return held ? [] : [{ request, reason: reasonFor(request, design, device) }];
  });
}
