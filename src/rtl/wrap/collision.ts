import { type BlockKind, type MemoryRequest, writers } from "../../model/index.js";
import type { Cluster, ClusterBlock, Member } from "./clusters.js";
import type { During } from "./leaves.js";
import { writesOnTwoClocks } from "./logical-ports.js";

/** Why a memory cannot be wrapped as it is asked for. */
export interface Refusal {
  readonly request: MemoryRequest;
  readonly message: string;
}

/** What a port that reads and writes shows of a word that it writes: as asked, else the first that the kind offers. */
export function sameport({ collision }: MemoryRequest, kind: BlockKind): During {
  if (collision !== "any") return collision;
  for (const offered of kind.readDuringWrite.samePort) if (offered !== "undefined") return offered;
  return "hold";
}

/** Whether a read in blocks meets writes at its own port, at the other port of the block, or both. */
function meetings({ request, layout }: Member, arrangement: ClusterBlock["arrangement"]) {
  const { ports } = request;
  const plain = layout.realisation === "one-copy" || layout.realisation === "dual-port-replication";
  const own = ports.readWrite > 0 && plain && arrangement !== "simple-dual";
  return { own, other: !own || ports.read + ports.write + ports.readWrite > 1 };
}

/** What is wrong with a member's collision; null: nothing. */
function collisionProblem(member: Member, blocks: readonly ClusterBlock[]): string | null {
  const { request, layout } = member;
  const { collision } = request;
  if (collision === "any" || writers(request.ports) === 0) return null;
  if (request.clocks === 2) return "its ports run on two clocks";
  if (layout.home === "LUT" || layout.home === "registers") {
    return collision === "old" ? null : `${layout.home} shows the old word`;
  }
  if (layout.realisation === "exclusive-or" || layout.realisation === "pumped") {
    return `it is laid out as ${layout.realisation}, which does not fix what is shown`;
  }
  if (layout.realisation === "live-value-table" && collision === "new") {
    return "a live-value table shows who wrote before";
  }
  if (Math.max(request.wordsPerAccess.read, request.wordsPerAccess.write) > 1) {
    return "its sides differ in width";
  }
  for (const { kind, arrangement } of blocks) {
    const { own, other } = meetings(member, arrangement);
    if (request.read === "async") {
      if (collision === "new") return `${kind.name} reads asynchronously, which shows the old word`;
      continue;
    }
    const { samePort, otherPort } = kind.readDuringWrite;
    const list = (offered: readonly string[]) => offered.join(" or ");
    if (own && !samePort.includes(collision)) {
      return `a port of ${kind.name} shows ${list(samePort)} for a word that it writes`;
    }
    if (other && !otherPort.includes(collision)) {
      return `${kind.name} shows ${list(otherPort)} at one port for a word that the other writes`;
    }
    if (other && collision === "new") return "no wrapper is made that shows the new word at another port";
  }
  return null;
}

/** What keeps the members of a cluster from being wrapped. */
export function refusals(cluster: Cluster): Refusal[] {
  const found: Refusal[] = [];
  cluster.members.forEach((member, index) => {
    const { request, layout } = member;
    const blocks = cluster.blocks.filter(({ tenants }) => tenants.some((tenant) => tenant.member === index));
    const problem = collisionProblem(member, blocks);
    if (problem !== null) {
      const message = `collision: expected any, as ${problem}, found ${request.collision}`;
      found.push({ request, message });
    }
    if (writesOnTwoClocks(request) && layout.realisation !== "one-copy") {
      const message = `ports that write on two clocks need one block with both ports; it is laid out as ${layout.realisation}`;
      found.push({ request, message });
    }
  });
  for (const { tenants, arrangement } of cluster.blocks) {
    for (const a of tenants) {
      for (const b of tenants) {
        const [x, y] = [cluster.members[a.member]!.request, cluster.members[b.member]!.request];
        const meet = a.tenant.ports.some((port) => b.tenant.ports.includes(port));
        const differ = x.collision === "old" && y.collision === "new";
        if (!meet || !differ || arrangement === "simple-dual") continue;
        const message = `collision: expected old, as ${x.name} in the same block port has, found new`;
        if (!found.some(({ request }) => request === y)) found.push({ request: y, message });
      }
    }
  }
  return found;
}
