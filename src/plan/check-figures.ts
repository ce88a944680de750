import { type Device, type Layout, type MemoryRequest, memoryRequest, type Plan } from "../model/index.js";
import { checkCoverage } from "./check-coverage.js";
import { checkLayouts } from "./check-layouts.js";
import { checkOverlap } from "./check-overlap.js";
import { Report, type Violation } from "./check-report.js";
import { resolvePlan } from "./check-resolve.js";
import { checkTenants } from "./check-tenants.js";
import { checkStatus, checkTotals } from "./check-totals.js";
import { checkWaste } from "./check-waste.js";
import { length } from "./check-words.js";

const PARTS = ["replication", "widthPadding", "depthPadding", "unreachable"] as const;
type Memory = Plan["memories"][number];

const inBlocks = ({ home }: Layout): boolean => home !== "LUT" && home !== "registers";
const sumOf = <T>(list: readonly T[], value: (item: T) => number): number =>
  list.reduce((sum, item) => sum + value(item), 0);

function checkMemory(memory: Memory, held: number, report: Report): void {
  const where = `memory ${memory.name}`;
  const expect = (what: string, stated: number, found: number) =>
    report.expect("memory-fields", where, what, stated, found);
  const { layouts } = memory;
  let next = 0;
  for (const { instances } of [...layouts].sort((a, b) => a.instances[0] - b.instances[0])) {
    if (instances[0] !== next) {
      report.add("instances", where, `a layout starts at instance ${instances[0]} instead of ${next}`);
    }
    next = instances[1] + 1;
  }
  report.expect("instances", where, "instances by the layouts", memory.instances, next);
  const bits = memory.depth * memory.width;
  const counted = (of: (layout: Layout) => number) =>
    sumOf(layouts, (layout) => of(layout) * length(layout.instances));
  for (const { stored } of layouts) {
    report.expect("stored-geometry", where, "bits stored", stored.depth * stored.width, bits);
  }
  expect("copies", memory.copies, Math.max(...layouts.map(({ copies }) => copies)));
  expect("cascade", memory.cascade, Math.max(...layouts.map(({ cascade }) => cascade)));
  expect(
    "registers",
    memory.registers,
    counted(({ registers }) => registers),
  );
  // Multiplexers before blocks that an exclusive group shares belong to no layout.
  const luts = counted((layout) => layout.luts);
  if (memory.luts < luts) report.add("logic-totals", where, `LUTs are at least ${luts}, not ${memory.luts}`);
  expect(
    "requestedBits",
    memory.requestedBits,
    counted((layout) => (inBlocks(layout) ? bits : 0)),
  );
  expect(
    "wastedBits by its parts",
    memory.wastedBits,
    sumOf(PARTS, (part) => memory.waste[part]),
  );
  const placed = counted((layout) => (inBlocks(layout) ? layout.copies * bits : 0));
  report.expect("uncovered", where, "bits placed by the blocks", placed, held);
}

/** Bits of each memory that lie in the plan's blocks, and tenants of memories or instances that are not there. */
function heldBits(plan: Plan, report: Report): ReadonlyMap<string, number> {
  const memories = new Map(plan.memories.map((memory) => [memory.name, memory]));
  const held = new Map<string, number>();
  for (const block of plan.blocks) {
    block.tenants.forEach(({ memory: name, instance, rows, bits }, index) => {
      const where = `block ${block.id}, tenant ${index} (${name})`;
      const memory = memories.get(name);
      if (memory === undefined) {
        report.add("unknown-memory", where, `there is no memory ${name}`);
      } else if (instance + block.repeat > memory.instances) {
        const last = instance + block.repeat - 1;
        report.add("unknown-instance", where, `instances ${instance} to ${last} of ${memory.instances}`);
      }
      held.set(name, (held.get(name) ?? 0) + block.repeat * length(rows) * length(bits));
    });
  }
  return held;
}

function checkSumsOfTotals(plan: Plan, report: Report): void {
  const { totals, memories } = plan;
  const expect = (what: string, stated: number, found: number, tolerance = 0) =>
    report.expect("bits", "totals", what, stated, found, tolerance);
  const instancesIn = (memory: Memory, where: (layout: Layout) => boolean) =>
    sumOf(memory.layouts.filter(where), ({ instances }) => length(instances));
  const logicBits = ({ depth, width, layouts }: Memory) =>
    depth * width * sumOf(layouts, (layout) => (inBlocks(layout) ? 0 : length(layout.instances)));
  const lutMemory = ({ layouts }: Memory) =>
    sumOf(layouts, (layout) => layout.lutMemory * length(layout.instances));
  for (const part of PARTS) {
    const found = sumOf(memories, ({ waste }) => waste[part]);
    report.expect("waste", "totals", part, totals.waste[part], found);
  }
  const requested = sumOf(memories, ({ requestedBits }) => requestedBits);
  expect("requestedBits", totals.requestedBits, requested);
  expect("wastedBits", totals.wastedBits, totals.blockBits - requested);
  const wasted = sumOf(memories, ({ wastedBits }) => wastedBits);
  expect("wastedBits of the memories", totals.wastedBits, wasted);
  const efficiency = totals.blockBits === 0 ? 1 : requested / totals.blockBits;
  expect("efficiency", totals.efficiency, efficiency, 1e-12);
  expect("logicBits", totals.logicBits, sumOf(memories, logicBits));
  const luts = sumOf(memories, (memory) => memory.luts);
  const registers = sumOf(memories, (memory) => memory.registers);
  expect("LUTs", totals.luts, luts);
  expect("LUT memory", totals.lutMemory, sumOf(memories, lutMemory));
  expect("registers", totals.registers, registers);
  let over = luts > totals.lutsAvailable || totals.lutMemory > (totals.lutMemoryAvailable ?? Infinity);
  const pools = new Set([totals.blocks, totals.over].flatMap(Object.keys));
  for (const { blocks } of memories) for (const pool of Object.keys(blocks)) pools.add(pool);
  for (const pool of pools) {
    const used = totals.blocks[pool] ?? 0;
    const shares = sumOf(memories, ({ blocks }) => blocks[pool] ?? 0);
    const holders = memories.filter((memory) => instancesIn(memory, ({ home }) => home === pool) > 0);
    expect(`blocks of ${pool}, by the memories`, used, shares, 0.001 * holders.length + 1e-9 * used);
    const excess = Math.max(0, used - (totals.available[pool] ?? 0));
    report.expect("over", "totals", `excess of ${pool}`, totals.over[pool] ?? 0, excess, 1e-9);
    if (excess > 0) over = true;
  }
  checkStatus(plan, over, report);
}

/**
 * A request as a plan tells it. What a plan does not tell (read style, clocks, groups, homes and pins) is set so that
 * nothing is held against the plan for it.
 */
function toldRequest(memory: Memory): MemoryRequest {
  const { name, structure, depth, width, ports, lane, instances } = memory;
  const wide = memory.layouts.find(({ stored }) => stored.width !== width);
  return memoryRequest({
    name,
    structure,
    depth,
    width,
    ports,
    lane,
    instances,
    pump: Number.MAX_SAFE_INTEGER,
    exclusive: { group: "", members: 1 },
    wordsPerAccess: { read: 1, write: wide === undefined ? 1 : wide.stored.width / width },
  });
}

/**
 * Checks that the figures of a plan whose requests are not known, such as a saved one, add up: every sum, by the plan
 * alone; and with its device also where every bit lies, the waste by cause and the counts by pool. What only the
 * requests can tell (pins, groups, write lanes of a shared block, clocks) is not checked: see `checkPlan`.
 */
export function checkFigures(plan: Plan, device: Device | null): readonly Violation[] {
  const report = new Report();
  const names = new Set<string>();
  for (const { name } of plan.memories) {
    if (names.has(name)) report.add("memory-list", `memory ${name}`, "the plan lists it more than once");
    names.add(name);
  }
  const held = heldBits(plan, report);
  for (const memory of plan.memories) checkMemory(memory, held.get(memory.name) ?? 0, report);
  checkSumsOfTotals(plan, report);
  if (device === null || report.violations.length > 0) return report.violations;
  const resolved = resolvePlan(plan, plan.memories.map(toldRequest), device, report);
  checkLayouts(plan, resolved.subjects, device, report);
  checkCoverage(resolved, report);
  checkTenants(resolved.segments, report);
  checkOverlap(resolved.segments, report);
  checkWaste(plan, resolved, report);
  checkTotals(plan, resolved, device, report);
  return report.violations;
}
