import { type Layout, type MemoryRequest, portTotal, readers, type Tenant, writers } from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Placement, Segment } from "./check-resolve.js";
import { grouped } from "./check-words.js";

/** Accesses that a tenant makes on a port in one cycle of the design's clock. */
function turnsOn(tenant: Tenant, port: "A" | "B"): number {
  const index = tenant.ports.indexOf(port);
  return index < 0 ? 0 : (tenant.turns[index] ?? 0);
}

/** The block's clock is within the fastest of its kind; a pumped block has to be known to be. */
function checkClock({ where, kind, pump }: Segment, clockMHz: number | null, report: Report): void {
  const fastest = kind.maxClockMHz;
  if (clockMHz !== null && fastest !== null) {
    if (pump * clockMHz > fastest) {
      report.add("fastest-clock", where, `${pump} x ${clockMHz} MHz; ${kind.name} reaches ${fastest} MHz`);
    }
  } else if (pump > 1) {
    const unknown = clockMHz === null ? "the design's clock" : `the fastest clock of ${kind.name}`;
    report.add("fastest-clock", where, `it is clocked ${pump} times faster, but ${unknown} is not known`);
  }
}

/**
 * Blocks are clocked as their tenants' layouts say and no faster than their kind allows, and every port gives its
 * tenants no more turns than it has: one in a block that is not pumped, where sharing is a matter of `checkPorts`.
 */
export function checkPump(segments: readonly Segment[], clockMHz: number | null, report: Report): void {
  for (const segment of segments) {
    const { where, pump, residents } = segment;
    checkClock(segment, clockMHz, report);
    for (const { tenant, layout, where: at } of residents) {
      if (layout.pump !== pump) {
        report.add("pump", at, `a block clocked ${pump} times faster; its layout says ${layout.pump} times`);
      }
      const { ports, turns } = tenant;
      const legal = turns.every((count) => Number.isSafeInteger(count) && count >= 1 && count <= pump);
      if (!legal || turns.length !== ports.length) {
        report.add("turns", at, `turns ${turns.join(", ")} on ports ${ports.join(", ")} that have ${pump}`);
      }
    }
    if (pump === 1) continue;
    for (const port of ["A", "B"] as const) {
      const taken = residents.reduce((sum, { tenant }) => sum + turnsOn(tenant, port), 0);
      if (taken > pump) report.add("turns", where, `port ${port} gives ${taken} turns; it has ${pump}`);
    }
  }
}

/** How the tiles of a copy are accessed. Either port of a true dual port block serves any access. */
function accessOf({ tenant, arrangement }: Placement): string {
  const [a, b] = [turnsOn(tenant, "A"), turnsOn(tenant, "B")];
  return arrangement === "true-dual" ? `${a + b} turns of true-dual` : `${a} + ${b} turns of ${arrangement}`;
}

/**
 * The copies of a pumped layout serve all ports in one cycle of the design's clock. Every copy takes all writes; what it
 * has beyond them are reads. With a single copy, a read-write port takes one turn, to read or to write.
 */
export function checkTurns(
  request: MemoryRequest,
  layout: Layout,
  placements: readonly Placement[],
  where: string,
  report: Report,
): void {
  const writes = writers(request.ports);
  const reads = readers(request.ports);
  let served = 0;
  let whole = false;
  for (const copy of grouped(placements, ({ tenant }) => `${tenant.copy}`)) {
    const { tenant, arrangement } = copy[0]!;
    const other = copy.find((placement) => accessOf(placement) !== accessOf(copy[0]!));
    if (other !== undefined) {
      const what = `its tiles have ${accessOf(copy[0]!)} and ${accessOf(other)}`;
      report.add("turns", `${where}, copy ${tenant.copy}`, what);
    }
    const [a, b] = [turnsOn(tenant, "A"), turnsOn(tenant, "B")];
    const joint = arrangement === "true-dual";
    if (joint && layout.copies === 1 && a + b >= portTotal(request.ports)) whole = true;
    else if ((joint ? a + b : a) < writes) {
      report.add("turns", `${where}, copy ${tenant.copy}`, `${accessOf(copy[0]!)} for ${writes} writes`);
    }
    served += joint ? Math.max(0, a + b - writes) : b;
  }
  if (!whole && served < reads)
    report.add("turns", where, `the copies have turns for ${served} of ${reads} reads`);
}
