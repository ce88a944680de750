import { type Device, type Layout, type Plan, type PlanMemory, requestBits } from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Resolved } from "./check-resolve.js";
import { length } from "./check-words.js";

const inLogic = ({ home }: Layout): boolean => home === "LUT" || home === "registers";

const sumOf = <T>(list: readonly T[], value: (item: T) => number): number =>
  list.reduce((sum, item) => sum + value(item), 0);

/** Instances of the plan's layouts, by whether they live in logic. */
function instancesIn(memory: PlanMemory, where: (layout: Layout) => boolean): number {
  return sumOf(memory.layouts.filter(where), (layout) => length(layout.instances));
}

/** Blocks in use by pool, from the plan's blocks alone. */
function blocksUsed(plan: Plan, resolved: Resolved): ReadonlyMap<string, number> {
  const units = new Map<string, number>();
  for (const block of plan.blocks) {
    const kind = resolved.kinds.get(block.kind);
    if (kind === undefined) continue;
    units.set(kind.pool, (units.get(kind.pool) ?? 0) + block.repeat * kind.units);
  }
  return new Map([...units].map(([pool, n]) => [pool, n / (resolved.pools.get(pool)?.unitsPerBlock ?? 1)]));
}

/** Blocks in use and available by pool; returns true where some pool is over. */
function checkBlocks(plan: Plan, resolved: Resolved, report: Report): boolean {
  const { blocks, available, over } = plan.totals;
  const used = blocksUsed(plan, resolved);
  let anyOver = false;
  const named = [blocks, available, over].flatMap((record) => Object.keys(record));
  for (const name of new Set([...resolved.pools.keys(), ...used.keys(), ...named])) {
    const pool = resolved.pools.get(name);
    if (pool === undefined) {
      report.add("block-totals", "totals", `the device has no pool ${name}`);
      continue;
    }
    const found = used.get(name) ?? 0;
    report.expect("block-totals", "totals", `blocks of ${name}`, blocks[name] ?? 0, found);
    const limit = available[name] ?? (found === 0 ? 0 : Number.NaN);
    if (!(limit >= 0 && limit <= pool.blocks)) {
      report.add(
        "available",
        "totals",
        `${available[name]} blocks of ${name}, of ${pool.blocks} on the part`,
      );
    }
    const excess = Math.max(0, found - limit);
    if (excess > 0) anyOver = true;
    if (!(Math.abs((over[name] ?? 0) - excess) <= 1e-9)) {
      report.add("over", "totals", `blocks of ${name}: ${over[name] ?? 0} over instead of ${excess}`);
    } else if (over[name] === 0) {
      report.add("over", "totals", `${name} is listed although it is not over`);
    }
  }
  return anyOver;
}

/** LUTs, LUT memory and registers; returns true where they are over. */
function checkLogic(plan: Plan, resolved: Resolved, device: Device, report: Report): boolean {
  const { totals } = plan;
  for (const memory of plan.memories) {
    const where = `memory ${memory.name}`;
    for (const { luts, lutMemory, registers } of memory.layouts) {
      if (!(lutMemory >= 0 && lutMemory <= luts && registers >= 0)) {
        report.add("logic-totals", where, `a layout has ${lutMemory} LUT memory of ${luts} LUTs`);
      }
    }
    const luts = sumOf(memory.layouts, (layout) => layout.luts * length(layout.instances));
    const registers = sumOf(memory.layouts, (layout) => layout.registers * length(layout.instances));
    // The address multiplexer of an exclusive stack belongs to a block, so no layout states it.
    const stacked = resolved.subjects.get(memory.name)?.request.exclusive != null;
    if (stacked ? memory.luts < luts : memory.luts !== luts) {
      report.add("logic-totals", where, `LUTs are ${luts}, not ${memory.luts}`);
    }
    report.expect("logic-totals", where, "registers", memory.registers, registers);
  }
  const lutMemory = sumOf(plan.memories, ({ layouts }) =>
    sumOf(layouts, (layout) => layout.lutMemory * length(layout.instances)),
  );
  const luts = sumOf(plan.memories, (memory) => memory.luts);
  const registers = sumOf(plan.memories, (memory) => memory.registers);
  report.expect("logic-totals", "totals", "LUTs", totals.luts, luts);
  report.expect("logic-totals", "totals", "LUT memory", totals.lutMemory, lutMemory);
  report.expect("logic-totals", "totals", "registers", totals.registers, registers);
  if (!(totals.lutsAvailable >= 0 && totals.lutsAvailable <= device.logic.count)) {
    report.add("available", "totals", `${totals.lutsAvailable} LUTs, of ${device.logic.count} on the part`);
  }
  const most = device.lutMemory?.count ?? null;
  const limit = totals.lutMemoryAvailable;
  if (most !== null && !(limit !== null && limit >= 0 && limit <= most)) {
    report.add("available", "totals", `${limit} LUTs can be memory, of ${most} on the part`);
  }
  return luts > totals.lutsAvailable || (limit !== null && lutMemory > limit);
}

function checkBits(plan: Plan, resolved: Resolved, report: Report): void {
  const { totals } = plan;
  for (const memory of plan.memories) {
    const where = `memory ${memory.name}`;
    const { replication, widthPadding, depthPadding, unreachable } = memory.waste;
    const parts = replication + widthPadding + depthPadding + unreachable;
    report.expect("bits", where, "wastedBits by its parts", memory.wastedBits, parts);
    const subject = resolved.subjects.get(memory.name);
    if (subject === undefined) continue;
    const requested = requestBits(subject.request) * instancesIn(memory, (layout) => !inLogic(layout));
    report.expect("bits", where, "requestedBits", memory.requestedBits, requested);
  }
  const requested = sumOf(plan.memories, (memory) => memory.requestedBits);
  const logic = sumOf(plan.memories, (m) => m.depth * m.width * instancesIn(m, inLogic));
  const held = sumOf(plan.blocks, (b) => b.repeat * (resolved.kinds.get(b.kind)?.bits ?? 0));
  report.expect("bits", "totals", "requestedBits", totals.requestedBits, requested);
  report.expect("bits", "totals", "blockBits", totals.blockBits, held);
  report.expect("bits", "totals", "wastedBits", totals.wastedBits, held - requested);
  report.expect("logic-totals", "totals", "logicBits", totals.logicBits, logic);
  const efficiency = held === 0 ? 1 : requested / held;
  report.expect("efficiency", "totals", "efficiency", totals.efficiency, efficiency, 1e-12);
}

/** The raw floor of each pool: requested bits that live there, one copy, over the bits of a whole block, rounded up. */
function checkFloor(plan: Plan, resolved: Resolved, report: Report): void {
  for (const pool of resolved.pools.values()) {
    const bits = sumOf(
      plan.memories,
      (m) => m.depth * m.width * instancesIn(m, (layout) => layout.home === pool.name),
    );
    const kinds = [...resolved.kinds.values()].filter((kind) => kind.pool === pool.name);
    const block = Math.max(1, ...kinds.map((kind) => (kind.bits * pool.unitsPerBlock) / kind.units));
    const stated = plan.totals.floorBlocks[pool.name] ?? 0;
    report.expect("floor", "totals", `floor of ${pool.name}`, stated, Math.ceil(bits / block));
  }
}

/** What the plan claims of its objective and the status that follows. `over`: whether it breaks a budget. */
export function checkStatus(plan: Plan, over: boolean, report: Report): void {
  const { value, bound, proven, nothingFits, lutsBound } = plan.objective;
  const equal = Math.abs(value - bound) <= 1e-9 * Math.max(1, Math.abs(value));
  if (proven && !equal) report.add("objective", "objective", `proven with value ${value} and bound ${bound}`);
  if (!(bound <= value || equal)) report.add("objective", "objective", `bound ${bound} is above ${value}`);
  if (nothingFits && !over)
    report.add("objective", "objective", "nothing is said to fit, but this plan does");
  if (lutsBound !== null && !(lutsBound <= plan.totals.luts && equal)) {
    report.add("objective", "objective", `bound of ${lutsBound} LUTs, where ${plan.totals.luts} are in use`);
  }
  const expected = over ? "over-budget" : proven && equal ? "optimal" : "feasible";
  if (plan.status !== expected) report.add("status", "plan", `${expected}, not ${plan.status}`);
}

/** Sums of the plan, what is over, and the status that follows from it. */
export function checkTotals(plan: Plan, resolved: Resolved, device: Device, report: Report): void {
  const blocksOver = checkBlocks(plan, resolved, report);
  const logicOver = checkLogic(plan, resolved, device, report);
  checkBits(plan, resolved, report);
  checkFloor(plan, resolved, report);
  checkStatus(plan, blocksOver || logicOver, report);
}
