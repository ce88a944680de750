import type { Tenant } from "../../model/index.js";
import { type Cluster, Sets } from "./clusters.js";

/** How the members of a cluster hang together, as lists of places among its members. */
export interface Sharing {
  /** Members that see one address in every cycle (lockstep), in order; most are alone. */
  readonly addressed: readonly (readonly number[])[];
  /** Members of which at most one is accessed at a port in a cycle; only lists of more than one. */
  readonly exclusive: readonly (readonly number[])[];
}

function sideBySide(a: Tenant, b: Tenant): boolean {
  return a.word === b.word && a.inverted === b.inverted && a.rows[0] === b.rows[0] && a.rows[1] === b.rows[1];
}

function listsOf(members: number, sets: Sets<number>): number[][] {
  const lists = new Map<number, number[]>();
  for (let member = 0; member < members; member++) {
    const root = sets.of(member);
    lists.set(root, [...(lists.get(root) ?? []), member]);
  }
  return [...lists.values()];
}

/** Reads off the blocks who shares a port with whom, and why it may. */
export function sharingOf(cluster: Cluster): Sharing {
  const addressed = new Sets<number>();
  const exclusive = new Sets<number>();
  for (const { pump, tenants } of cluster.blocks) {
    if (pump > 1) continue;
    tenants.forEach((a, index) => {
      for (const b of tenants.slice(index + 1)) {
        if (a.member === b.member || !a.tenant.ports.some((port) => b.tenant.ports.includes(port))) continue;
        const lockstep =
          cluster.members[a.member]!.request.lockstep !== null && sideBySide(a.tenant, b.tenant);
        (lockstep ? addressed : exclusive).join(a.member, b.member);
      }
    });
  }
  const count = cluster.members.length;
  return {
    addressed: listsOf(count, addressed),
    exclusive: listsOf(count, exclusive).filter((list) => list.length > 1),
  };
}
