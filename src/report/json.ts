import type {
  Layout,
  Plan,
  PlanBlock,
  PlanMemory,
  PlanObjective,
  PlanTotals,
  Tenant,
  Waste,
} from "../model/index.js";

/** A plan as JSON text: keys always in the same order, two spaces a level, intervals in one line, a line end. */
export function planJson(plan: Plan): string {
  return jsonText({
    format: plan.format,
    design: plan.design,
    device: plan.device,
    status: plan.status,
    totals: totalsFields(plan.totals),
    objective: objectiveFields(plan.objective),
    memories: plan.memories.map(memory),
    blocks: plan.blocks.map(block),
    warnings: plan.warnings.map(({ subject, message }) => ({ subject, message })),
    solver: { engine: plan.solver.engine, milliseconds: plan.solver.milliseconds },
  });
}

/** Any JSON value as text in the form that all reports share. */
export function jsonText(value: unknown): string {
  // A raw line end occurs only between tokens, so this joins pairs of numbers and never changes a string.
  const pair = /\[\n\s+(-?[\d.e+-]+),\n\s+(-?[\d.e+-]+)\n\s+\]/g;
  return `${JSON.stringify(value, null, 2).replace(pair, "[$1, $2]")}\n`;
}

/** The objective with its keys in order. */
export function objectiveFields(o: PlanObjective): PlanObjective {
  return {
    value: o.value,
    bound: o.bound,
    proven: o.proven,
    nothingFits: o.nothingFits,
    lutsBound: o.lutsBound,
  };
}

/** The totals with their keys in order. */
export function totalsFields(t: PlanTotals): PlanTotals {
  return {
    blocks: sorted(t.blocks),
    available: sorted(t.available),
    over: sorted(t.over),
    requestedBits: t.requestedBits,
    blockBits: t.blockBits,
    wastedBits: t.wastedBits,
    waste: waste(t.waste),
    efficiency: t.efficiency,
    floorBlocks: sorted(t.floorBlocks),
    logicBits: t.logicBits,
    luts: t.luts,
    lutsAvailable: t.lutsAvailable,
    lutMemory: t.lutMemory,
    lutMemoryAvailable: t.lutMemoryAvailable,
    registers: t.registers,
  };
}

function memory(m: PlanMemory): PlanMemory {
  return {
    name: m.name,
    structure: m.structure,
    depth: m.depth,
    width: m.width,
    ports: { read: m.ports.read, write: m.ports.write, readWrite: m.ports.readWrite },
    lane: m.lane,
    instances: m.instances,
    copies: m.copies,
    realisation: m.realisation,
    blocks: sorted(m.blocks),
    requestedBits: m.requestedBits,
    wastedBits: m.wastedBits,
    waste: waste(m.waste),
    cascade: m.cascade,
    luts: m.luts,
    registers: m.registers,
    layouts: m.layouts.map(layout),
  };
}

function layout(l: Layout): Layout {
  return {
    instances: l.instances,
    realisation: l.realisation,
    home: l.home,
    copies: l.copies,
    pump: l.pump,
    stored: { depth: l.stored.depth, width: l.stored.width },
    tiles: l.tiles.map(({ kind, shape, count, deep }) => ({ kind, shape, count, deep })),
    cascade: l.cascade,
    luts: l.luts,
    lutMemory: l.lutMemory,
    registers: l.registers,
  };
}

function block(b: PlanBlock): PlanBlock {
  return {
    id: b.id,
    kind: b.kind,
    arrangement: b.arrangement,
    pump: b.pump,
    repeat: b.repeat,
    tenants: b.tenants.map(tenant),
  };
}

function tenant(t: Tenant): Tenant {
  return {
    memory: t.memory,
    instance: t.instance,
    copy: t.copy,
    rows: t.rows,
    bits: t.bits,
    ports: t.ports,
    turns: t.turns,
    shape: t.shape,
    lane: t.lane,
    inverted: t.inverted,
    word: t.word,
    runs: t.runs.map(({ bits, at }) => ({ bits, at })),
  };
}

function waste(w: Waste): Waste {
  return {
    replication: w.replication,
    widthPadding: w.widthPadding,
    depthPadding: w.depthPadding,
    unreachable: w.unreachable,
  };
}

function sorted(record: Readonly<Record<string, number>>): Record<string, number> {
  return Object.fromEntries(Object.entries(record).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
}
