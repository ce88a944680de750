import {
  type Arrangement,
  type GroupMembership,
  type Layout,
  type MemoryRequest,
  portTotal,
  writers,
} from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Resident, Segment } from "./check-resolve.js";
import { meet, wordRange } from "./check-words.js";

/** Ports that one copy needs of its blocks; null where the realisation does not exist for the request in blocks. */
function needOf(
  request: MemoryRequest,
  layout: Layout,
): "one" | "read and write" | "two" | "one or two reads" | null {
  const { ports } = request;
  switch (layout.realisation) {
    case "one-copy":
      if (portTotal(ports) === 1) return "one";
      if (portTotal(ports) > 2) return null;
      return ports.read === 1 && ports.write === 1 ? "read and write" : "two";
    case "replication":
      return writers(ports) === 0 ? "one or two reads" : "read and write";
    case "dual-port-replication":
      return "two";
    case "live-value-table":
    case "exclusive-or":
      return "read and write";
    default:
      return null;
  }
}

/** Sets of ports that a tenant of a pumped block may use; how often is a matter of the turns. */
function pumpedPorts(request: MemoryRequest, arrangement: Arrangement): readonly string[] {
  if (arrangement === "single") return [];
  if (arrangement === "true-dual") return ["A", "B", "AB"];
  return writers(request.ports) === 0 ? ["B"] : ["AB"];
}

/** Sets of ports that a tenant may use, as text in port order. */
function legalPorts(request: MemoryRequest, layout: Layout, arrangement: Arrangement): readonly string[] {
  if (layout.realisation === "pumped") return pumpedPorts(request, arrangement);
  const need = needOf(request, layout);
  if (need === null) return [];
  switch (arrangement) {
    case "single":
      return need === "one" || need === "one or two reads" ? ["A"] : [];
    case "simple-dual":
      if (need === "two") return [];
      return writers(request.ports) === 0 ? ["B"] : ["AB"];
    case "true-dual":
      if (need === "one") return ["A", "B"];
      return need === "one or two reads" ? ["A", "B", "AB"] : ["AB"];
  }
}

/** Copy of the group that an instance belongs to, and the number of copies; null where it is not in the group. */
function groupCopy(
  membership: GroupMembership | null,
  resident: Resident,
): { group: string; copies: number; copy: number } | null {
  if (membership === null) return null;
  const copies = resident.request.instances / membership.members;
  return { group: membership.group, copies, copy: resident.instance % copies };
}

/**
 * Whether two tenants belong to one copy of one group. In a folded block both instances grow by one from block to
 * block, so that what holds in the first holds in all.
 */
function sameGroupCopy(a: Resident, b: Resident, kind: "lockstep" | "exclusive"): boolean {
  const x = groupCopy(a.request[kind], a);
  const y = groupCopy(b.request[kind], b);
  if (x === null || y === null || !Number.isInteger(x.copies)) return false;
  return x.group === y.group && x.copies === y.copies && x.copy === y.copy;
}

/** Whether two tenants hold bits of one copy of one instance. */
export function sameMemoryCopy(a: Resident, b: Resident): boolean {
  return sameInstance(a, b) && a.tenant.copy === b.tenant.copy;
}

function sameInstance(a: Resident, b: Resident): boolean {
  return a.request.name === b.request.name && a.instance === b.instance;
}

/** Whether two tenants are addressed alike in every cycle: the same words for the same rows, by the same ports. */
function sideBySide(a: Resident, b: Resident): boolean {
  const text = ({ tenant }: Resident) =>
    [tenant.rows, tenant.word, tenant.inverted, [...tenant.ports].sort(), tenant.shape].join(";");
  return text(a) === text(b);
}

/** Whether copy n of one lockstep member sees the addresses of copy n of the other. */
function copiesAgree(a: Resident, b: Resident): boolean {
  if (a.tenant.copy !== b.tenant.copy) return false;
  if (a.layout.copies === 1 && b.layout.copies === 1) return true;
  return a.layout.copies === b.layout.copies && a.layout.realisation === b.layout.realisation;
}

/** Why two tenants may not use one port; null where they may. */
function portConflict(a: Resident, b: Resident): string | null {
  if (a.tenant.shape !== b.tenant.shape) return "a port has one shape";
  if (sameMemoryCopy(a, b)) {
    return sideBySide(a, b) ? null : "one copy of an instance is addressed at two words at once";
  }
  if (!sameInstance(a, b)) {
    if (sameGroupCopy(a, b, "exclusive") && !meet(wordRange(a.tenant), wordRange(b.tenant))) return null;
    if (sameGroupCopy(a, b, "lockstep") && copiesAgree(a, b) && sideBySide(a, b)) return null;
  }
  return "they are neither side by side in one lockstep group copy nor stacked in one exclusive group copy";
}

/** Why two tenants may not take turns at one port of a pumped block; null where they may. */
function turnConflict(a: Resident, b: Resident): string | null {
  if (a.tenant.shape !== b.tenant.shape) return "a port has one shape";
  return meet(wordRange(a.tenant), wordRange(b.tenant)) ? "they take turns at the same words" : null;
}

/**
 * Every tenant has the ports that its realisation needs of the arrangement, and tenants meet on a port only where one
 * address serves them (lockstep, side by side), where they are never accessed together (exclusive, stacked), or where
 * they take turns (pumped, words apart).
 */
export function checkPorts(segments: readonly Segment[], report: Report): void {
  for (const { where, arrangement, pump, residents } of segments) {
    const conflictOf = pump > 1 ? turnConflict : portConflict;
    for (const { tenant, request, layout, where: at } of residents) {
      const legal = legalPorts(request, layout, arrangement);
      const used = [...tenant.ports].sort().join("");
      if (!legal.includes(used)) {
        const may = legal.length > 0 ? legal.join(" or ") : "none";
        report.add("ports", at, `uses ${used || "no port"} of a ${arrangement} block; legal: ${may}`);
      }
    }
    residents.forEach((a, i) => {
      for (const b of residents.slice(i + 1)) {
        const port = a.tenant.ports.find((name) => b.tenant.ports.includes(name));
        const conflict = port === undefined ? null : conflictOf(a, b);
        if (conflict !== null) {
          report.add("port-shared", where, `${a.where} and ${b.where} share port ${port}: ${conflict}`);
        }
      }
    });
  }
}
