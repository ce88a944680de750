import type { Design, Device, MemoryRequest } from "../../model/index.js";

/**
 * Part of a design that is packed by itself, in a form that is the same for equal parts of different designs: names
 * and texts are left out.
 */
export interface SubProblem {
  readonly design: Design;
  /** Index of each request in the design that it was taken from. */
  readonly members: readonly number[];
  /** The same for equal sub-problems on one device, and for no others. */
  readonly key: string;
}

/** The requests of a design that have to be packed together: a request alone, or all of a group. */
export function unitsOf(design: Design): number[][] {
  const units = new Map<string, number[]>();
  design.requests.forEach(({ lockstep, exclusive }, index) => {
    const key =
      lockstep !== null
        ? `lockstep ${lockstep.group}`
        : exclusive !== null
          ? `exclusive ${exclusive.group}`
          : `alone ${index}`;
    units.set(key, [...(units.get(key) ?? []), index]);
  });
  return [...units.values()];
}

/** The sub-problem of some requests of a design, in the order of the design, under all its limits. */
export function subProblem(design: Design, chosen: readonly number[], device: Device): SubProblem {
  const members = [...chosen].sort((a, b) => a - b);
  const groups = new Map<string, string>();
  const plain = (sort: string, group: string) => {
    const key = `${sort} ${group}`;
    if (!groups.has(key)) groups.set(key, `g${groups.size}`);
    return groups.get(key)!;
  };
  const requests = members.map((index, place): MemoryRequest => {
    const request = design.requests[index]!;
    const { lockstep, exclusive } = request;
    return {
      ...request,
      name: `m${place}`,
      structure: null,
      formula: null,
      source: null,
      lockstep: lockstep === null ? null : { ...lockstep, group: plain("lockstep", lockstep.group) },
      exclusive: exclusive === null ? null : { ...exclusive, group: plain("exclusive", exclusive.group) },
    };
  });
  const { limits, weights, small, clockMHz } = design;
  const part: Design = {
    name: "part",
    device: null,
    clockMHz,
    limits,
    weights,
    small,
    requests,
    warnings: [],
  };
  return { design: part, members, key: `${device.name} ${JSON.stringify(part)}` };
}
