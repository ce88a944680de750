import { apportion, type Plan, type Waste } from "../model/index.js";
import { commonFamily, shapeIn } from "./check-overlap.js";
import type { Report } from "./check-report.js";
import type { Resident, Resolved, Segment } from "./check-resolve.js";
import { grouped, length, runRange, wordRange } from "./check-words.js";

/** What one tenant answers for in one block. */
interface Charge {
  readonly resident: Resident;
  /** Cells: rows x its part of the word. */
  readonly extent: number;
  /** Bits of the memory, whatever the copy. */
  readonly held: number;
  readonly widthPadding: number;
  readonly depthPadding: number;
  readonly unreachable: number;
}

/** Bits of the word that a tenant answers for when others lie beside it. */
function spanBeside({ tenant }: Resident): number {
  if (tenant.lane === null) return length(tenant.bits);
  const first = runRange(tenant.runs[0]!)[0];
  const last = runRange(tenant.runs.at(-1)!)[1];
  return (Math.floor(last / tenant.lane) + 1 - Math.floor(first / tenant.lane)) * tenant.lane;
}

/**
 * Shares all bits of one block out to its tenants.
 *
 * Let B be the bits of the block, and F those that shapes of the family in use address (depth x width).
 * - Tenants with the same ports and the same words form a region of rows x width cells. The extent of a tenant is
 *   rows x span, where span is the whole width for the only tenant of a region, else the part of the word from the
 *   start of its first run's hardware lane to the end of its last run's; without a lane, its bits.
 * - Width padding: rows x (span - bits) of its own, and a part of what is left of the region's words,
 *   rows x (width - all spans), by extent within the region.
 * - Depth padding: a part of F - all regions, by extent within the block.
 * - Unreachable: a part of B - F, by extent within the block.
 * - Bits of copies other than copy 0 are replication.
 *
 * Parts are whole bits, by {@link apportion} over the tenants in the order of the block; together the tenants answer
 * for exactly B bits. Null where the block is not legal enough for that to have a meaning.
 */
function chargesOf({ kind, residents }: Segment): readonly Charge[] | null {
  const family = commonFamily(residents);
  if (family === null) return null;
  const regions = grouped(residents, ({ tenant }) =>
    [[...tenant.ports].sort().join(""), ...wordRange(tenant)].join(","),
  );
  const own = new Map<Resident, { extent: number; padding: number }>();
  let used = 0;
  for (const region of regions) {
    const { width } = shapeIn(region[0]!, family);
    const rows = length(wordRange(region[0]!.tenant));
    const spans = region.map((resident) => (region.length === 1 ? width : spanBeside(resident)));
    const left = width - spans.reduce((a, b) => a + b, 0);
    if (left < 0 || !Number.isInteger(left)) return null;
    const extents = spans.map((span) => rows * span);
    const shares = apportion(rows * left, extents);
    region.forEach((resident, i) => {
      const padding = extents[i]! - rows * length(resident.tenant.bits) + shares[i]!;
      own.set(resident, { extent: extents[i]!, padding });
    });
    used += rows * width;
  }
  const shape = shapeIn(residents[0]!, family);
  const addressed = shape.depth * shape.width;
  if (addressed < used) return null;
  const extents = residents.map((resident) => own.get(resident)!.extent);
  const depth = apportion(addressed - used, extents);
  const unreachable = apportion(kind.bits - addressed, extents);
  return residents.map((resident, i) => ({
    resident,
    extent: extents[i]!,
    held: length(resident.tenant.rows) * length(resident.tenant.bits),
    widthPadding: own.get(resident)!.padding,
    depthPadding: depth[i]!,
    unreachable: unreachable[i]!,
  }));
}

interface Sum {
  charged: number;
  replication: number;
  widthPadding: number;
  depthPadding: number;
  unreachable: number;
  readonly blocks: Map<string, number>;
}

const emptySum = (): Sum => ({
  charged: 0,
  replication: 0,
  widthPadding: 0,
  depthPadding: 0,
  unreachable: 0,
  blocks: new Map(),
});

const PARTS = ["replication", "widthPadding", "depthPadding", "unreachable"] as const;

function checkParts(where: string, stated: Waste, found: Waste, report: Report): void {
  for (const part of PARTS) report.expect("waste", where, part, stated[part], found[part]);
}

/** Sums the charges of all blocks by memory; null where a block has none. */
function sumCharges(resolved: Resolved, report: Report): ReadonlyMap<string, Sum> | null {
  const sums = new Map<string, Sum>();
  for (const segment of resolved.segments) {
    const charges = chargesOf(segment);
    if (charges === null) {
      report.add("waste", segment.where, "its bits cannot be shared out to its tenants");
      return null;
    }
    const extents = charges.reduce((total, { extent }) => total + extent, 0);
    const { pool, units } = segment.kind;
    const perBlock = resolved.pools.get(pool)?.unitsPerBlock ?? 1;
    for (const charge of charges) {
      const name = charge.resident.request.name;
      const sum = sums.get(name) ?? emptySum();
      sums.set(name, sum);
      const { held, widthPadding, depthPadding, unreachable } = charge;
      sum.charged += segment.count * (held + widthPadding + depthPadding + unreachable);
      if (charge.resident.tenant.copy > 0) sum.replication += segment.count * held;
      sum.widthPadding += segment.count * widthPadding;
      sum.depthPadding += segment.count * depthPadding;
      sum.unreachable += segment.count * unreachable;
      const share = (segment.count * (units / perBlock) * charge.extent) / extents;
      sum.blocks.set(pool, (sum.blocks.get(pool) ?? 0) + share);
    }
  }
  return sums;
}

/**
 * The parts of the waste, by memory and in total, are those of the definition at {@link chargesOf}, and add up to the
 * bits charged minus the bits requested. Each memory's blocks are its share by extent, to 0.001 blocks.
 */
export function checkWaste(plan: Plan, resolved: Resolved, report: Report): void {
  const total: Waste = { ...plan.totals.waste };
  const sumOf = (part: (typeof PARTS)[number]) =>
    plan.memories.reduce((sum, memory) => sum + memory.waste[part], 0);
  for (const part of PARTS) report.expect("waste", "totals", part, total[part], sumOf(part));

  if (!resolved.complete) return;
  const sums = sumCharges(resolved, report);
  if (sums === null) return;
  for (const memory of plan.memories) {
    const where = `memory ${memory.name}`;
    const sum = sums.get(memory.name) ?? emptySum();
    checkParts(where, memory.waste, sum, report);
    report.expect("bits", where, "wastedBits", memory.wastedBits, sum.charged - memory.requestedBits);
    for (const pool of new Set([...sum.blocks.keys(), ...Object.keys(memory.blocks)])) {
      const share = sum.blocks.get(pool) ?? 0;
      const tolerance = 0.001 + share * 1e-9;
      report.expect("block-share", where, `blocks of ${pool}`, memory.blocks[pool] ?? 0, share, tolerance);
    }
  }
}
