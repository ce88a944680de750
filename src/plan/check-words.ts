import type { Interval, Layout, MemoryRequest, Tenant } from "../model/index.js";

/** Words of the request that the wider side moves in one access; 1 where both sides are equal. */
export function accessRatio(request: MemoryRequest): number {
  return request.wordsPerAccess.read * request.wordsPerAccess.write;
}

/** True where the layout stores the request's own words although its sides differ: the block's ports differ in width. */
export function hasMixedPorts(request: MemoryRequest, layout: Layout): boolean {
  return accessRatio(request) > 1 && layout.stored.width === request.width;
}

/** Length of an interval. */
export function length(interval: Interval): number {
  return interval[1] - interval[0] + 1;
}

/** True where two intervals have a member in common. */
export function meet(a: Interval, b: Interval): boolean {
  return a[0] <= b[1] && b[0] <= a[1];
}

/** Words of the block that a tenant takes, lowest first; they may lie outside the block in an illegal plan. */
export function wordRange(tenant: Tenant): Interval {
  const steps = length(tenant.rows) - 1;
  return tenant.inverted ? [tenant.word - steps, tenant.word] : [tenant.word, tenant.word + steps];
}

/** Bits of a run in the block's word. */
export function runRange(run: Tenant["runs"][number]): Interval {
  return [run.at, run.at + length(run.bits) - 1];
}

/** Splits a list by a key, in the order of first appearance. */
export function grouped<T>(list: readonly T[], key: (item: T) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const item of list) {
    const name = key(item);
    const group = groups.get(name);
    if (group === undefined) groups.set(name, [item]);
    else group.push(item);
  }
  return [...groups.values()];
}
