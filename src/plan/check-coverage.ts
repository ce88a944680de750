import { type Layout, type MemoryRequest, readers, type Tenant, writers } from "../model/index.js";
import { checkTurns } from "./check-pump.js";
import type { Report } from "./check-report.js";
import { layoutOf, type Placement, type Resolved, type Subject } from "./check-resolve.js";
import { checkTiles, deepest } from "./check-tiles.js";
import { length, meet } from "./check-words.js";

/** The rectangles of one copy partition the stored geometry: none outside, no two meet, areas add up. */
function checkCopy(tenants: readonly Tenant[], layout: Layout, where: string, report: Report): void {
  const { depth, width } = layout.stored;
  let held = 0;
  for (const { rows, bits } of tenants) {
    if (rows[0] < 0 || bits[0] < 0 || rows[1] >= depth || bits[1] >= width) {
      report.add(
        "outside-memory",
        where,
        `rows ${rows.join("-")}, bits ${bits.join("-")} of ${depth}x${width}`,
      );
    }
    held += length(rows) * length(bits);
  }
  const sorted = [...tenants].sort((a, b) => a.rows[0] - b.rows[0]);
  let twice = false;
  for (let i = 0; i < sorted.length && !twice; i += 1) {
    const a = sorted[i]!;
    for (let j = i + 1; j < sorted.length && sorted[j]!.rows[0] <= a.rows[1]; j += 1) {
      const b = sorted[j]!;
      if (!meet(a.bits, b.bits)) continue;
      twice = true;
      const bit = Math.max(a.bits[0], b.bits[0]);
      report.add("covered-twice", where, `row ${b.rows[0]}, bit ${bit} has two places`);
      break;
    }
  }
  if (!twice && held !== depth * width) {
    report.add("uncovered", where, `${held} of ${depth * width} bits have a place`);
  }
}

/** Reads that one copy of a ROM serves in a cycle: those of its tile with the fewest ports. */
function readsServed(tenants: readonly Tenant[]): number {
  return tenants.reduce((least, tenant) => Math.min(least, tenant.ports.length), 2);
}

function checkInterval(
  request: MemoryRequest,
  layout: Layout,
  active: readonly Placement[],
  where: string,
  report: Report,
): void {
  const copies = new Map<number, Tenant[]>();
  for (const { tenant, kind, where: at } of active) {
    if (layout.home === "LUT" || layout.home === "registers") {
      report.add("logic-tenant", at, `these instances live in ${layout.home}`);
    } else if (kind.pool !== layout.home) {
      report.add("home", at, `a block of ${kind.pool}; these instances live in ${layout.home}`);
    }
    if (tenant.copy < 0 || tenant.copy >= layout.copies) {
      report.add("unknown-copy", at, `copy ${tenant.copy} of ${layout.copies}`);
    }
    const list = copies.get(tenant.copy) ?? [];
    copies.set(tenant.copy, list);
    list.push(tenant);
  }
  if (layout.home === "LUT" || layout.home === "registers") return;
  checkTiles(layout, active, where, report);
  let served = 0;
  for (let copy = 0; copy < layout.copies && !report.full; copy += 1) {
    const tenants = copies.get(copy) ?? [];
    const at = `${where}, copy ${copy}`;
    checkCopy(tenants, layout, at, report);
    const deep = deepest(tenants);
    if (request.maxCascade !== null && deep > request.maxCascade) {
      report.add("cascade", at, `${deep} tiles in depth, at most ${request.maxCascade} allowed`);
    }
    served += readsServed(tenants);
  }
  if (layout.realisation === "pumped") checkTurns(request, layout, active, where, report);
  const reads = readers(request.ports);
  if (layout.realisation === "replication" && writers(request.ports) === 0 && served < reads) {
    report.add("copies", where, `the copies serve ${served} of ${reads} reads`);
  }
}

/** Walks the runs of instances over which the set of placements stays the same. */
function checkMemory(name: string, subject: Subject, placements: readonly Placement[], report: Report): void {
  const starts = new Map<number, Placement[]>();
  const ends = new Map<number, Placement[]>();
  const put = (map: Map<number, Placement[]>, at: number, placement: Placement) => {
    const list = map.get(at);
    if (list === undefined) map.set(at, [placement]);
    else list.push(placement);
  };
  const { instances } = subject.request;
  const points = new Set<number>([0, instances]);
  for (const placement of placements) {
    put(starts, placement.first, placement);
    put(ends, placement.last + 1, placement);
    points.add(placement.first).add(placement.last + 1);
  }
  for (const layout of subject.layouts) points.add(layout.instances[0]).add(layout.instances[1] + 1);
  const edges = [...points].filter((p) => p >= 0 && p <= instances).sort((a, b) => a - b);
  const active = new Set<Placement>();
  for (let i = 0; i + 1 < edges.length && !report.full; i += 1) {
    const first = edges[i]!;
    for (const placement of ends.get(first) ?? []) active.delete(placement);
    for (const placement of starts.get(first) ?? []) active.add(placement);
    const layout = layoutOf(subject, first);
    const where = `memory ${name}, instances ${first} to ${edges[i + 1]! - 1}`;
    if (layout !== undefined) checkInterval(subject.request, layout, [...active], where, report);
  }
}

/**
 * Every bit of every copy of every instance has exactly one place. Works on runs of instances, so that the cost grows
 * with the number of plan blocks and not with the number of instances.
 */
export function checkCoverage(resolved: Resolved, report: Report): void {
  for (const [name, subject] of resolved.subjects) {
    checkMemory(name, subject, resolved.placements.get(name) ?? [], report);
  }
}
