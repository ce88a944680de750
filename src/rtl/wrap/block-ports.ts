import { parseShape, type Tenant } from "../../model/index.js";
import type { MemberAccess } from "./access.js";
import type { Builder } from "./builder.js";
import type { ClusterBlock } from "./clusters.js";
import type { BlockLeafPort, During } from "./leaves.js";
import { bitsFor } from "./logical-ports.js";
import { all, any, choose, constant, type Expr, is, join, type Pin, type Signal, ZERO } from "./netlist.js";
import { blockAddress, conditionOf, holds, placesOf } from "./placing.js";
import type { Turn } from "./turns.js";

/** Where a read of a tile comes out of its block, and in which phase it was made. */
export interface Tap {
  readonly data: Signal;
  /** 0 where the block is not pumped. */
  readonly phase: number;
}

/** Identifies a read of a tile. */
export function tapKey(member: number, tenant: Tenant, key: string): string {
  return `${member} ${tenant.copy} ${tenant.rows[0]} ${tenant.bits[0]} ${key}`;
}

/** One tenant's turn at a port. */
interface Visit {
  readonly member: number;
  readonly tenant: Tenant;
  /** Tenants of the same copy of the same member. */
  readonly copy: readonly Tenant[];
  readonly access: MemberAccess;
  readonly write: Turn["write"];
  readonly read: Turn["read"];
  readonly phase: number;
}

/** Everything about the members that blocks ask for. */
export interface BlockContext {
  readonly accesses: readonly MemberAccess[];
  readonly tenants: readonly (readonly Tenant[])[];
  /** Turns of a copy of a member. */
  readonly turns: (member: number, copy: number) => readonly Turn[];
  readonly during: (member: number, kind: ClusterBlock["kind"]) => During;
  /** The clock of pumped blocks and the phase within a cycle of the design's clock. */
  readonly fastClock: Signal | null;
  readonly phase: Signal | null;
}

/** Turns of a tenant at each of its ports, in order. */
function turnsByPort(block: ClusterBlock, tenant: Tenant, turns: readonly Turn[]): Map<"A" | "B", Turn[]> {
  const found = new Map<"A" | "B", Turn[]>([
    ["A", []],
    ["B", []],
  ]);
  if (block.arrangement === "simple-dual") {
    for (const { write, read } of turns) {
      if (write !== null) found.get("A")!.push({ write, read: null });
      if (read !== null) found.get("B")!.push({ write: null, read });
    }
  } else {
    let next = 0;
    tenant.ports.forEach((port, index) => {
      const upTo = Math.min(turns.length, next + tenant.turns[index]!);
      for (; next < upTo; next++) found.get(port)!.push(turns[next]!);
    });
    if (next < turns.length) throw new Error(`${tenant.memory}: a copy has more turns than its ports`);
  }
  for (const port of ["A", "B"] as const) {
    const has = tenant.turns[tenant.ports.indexOf(port)] ?? 0;
    if (found.get(port)!.length > has) throw new Error(`${tenant.memory}: port ${port} has ${has} turns`);
  }
  return found;
}

function visitsOf(block: ClusterBlock, context: BlockContext): Map<"A" | "B", Visit[]> {
  const visits = new Map<"A" | "B", Visit[]>([
    ["A", []],
    ["B", []],
  ]);
  const phases = { A: 0, B: 0 };
  for (const { member, tenant } of block.tenants) {
    const byPort = turnsByPort(block, tenant, context.turns(member, tenant.copy));
    const copy = context.tenants[member]!.filter((other) => other.copy === tenant.copy);
    for (const [port, turns] of byPort) {
      turns.forEach(({ write, read }, index) => {
        const phase = block.pump === 1 ? 0 : phases[port] + index;
        visits
          .get(port)!
          .push({ member, tenant, copy, access: context.accesses[member]!, write, read, phase });
      });
      phases[port] += tenant.turns[tenant.ports.indexOf(port)] ?? 0;
    }
  }
  return visits;
}

/** What a port does in one phase. */
interface PhaseSignals {
  readonly address: Expr;
  readonly enable: Expr;
  readonly lanes: readonly Expr[];
  readonly data: Expr;
}

function accessOf(visit: Visit) {
  return visit.write ?? visit.read!.reading;
}

function activeOf({ write, read }: Visit): Expr {
  if (write !== null && read !== null) return read.reading.enable;
  return write !== null ? write.active : read!.reading.alone;
}

/** Lanes of the port that a visit's write enables. */
function laneEnables(visit: Visit, lane: number, lanes: number): Expr[] {
  const { write, tenant, copy, access } = visit;
  if (write === null) return Array(lanes).fill(ZERO);
  const condition = conditionOf(tenant, copy, access.stored.depth, write.group);
  const selected = holds(condition, write.row, 0);
  const found: Expr[][] = Array.from({ length: lanes }, () => []);
  for (const place of placesOf(tenant, write.group)) {
    const from = place.sub * access.stored.width + place.bit;
    for (const stretch of write.stretches) {
      const low = Math.max(from, stretch.low);
      const high = Math.min(from + place.width, stretch.low + stretch.width) - 1;
      if (high < low) continue;
      const first = Math.floor((place.at + low - from) / lane);
      const last = Math.floor((place.at + high - from) / lane);
      for (let index = first; index <= last; index++) found[index]!.push(all([selected, stretch.enable]));
    }
  }
  return found.map(any);
}

/** The word that visits with one address write: their bits at their places, zeros elsewhere. */
function writeWord(visits: readonly Visit[], width: number): Expr {
  const pieces = visits.flatMap(({ write, tenant, access }) =>
    write === null
      ? []
      : placesOf(tenant, write.group).map((place) => ({ ...place, write, stored: access.stored.width })),
  );
  const parts: Expr[] = [];
  let next = 0;
  for (const { at, width: bits, sub, bit, write, stored } of pieces.sort((a, b) => a.at - b.at)) {
    if (at > next) parts.push(constant(0, at - next));
    const { data } = write;
    parts.push({ op: "bits", of: data, low: sub * stored + bit, width: bits });
    next = at + bits;
  }
  if (next < width) parts.push(constant(0, width - next));
  return join(parts.map((part) => (part.op === "bits" && part.width === part.of.width ? part.of : part)));
}

function phaseSignals(builder: Builder, visits: readonly Visit[], port: BlockLeafPort): PhaseSignals {
  const sources = new Map<string, Visit[]>();
  for (const visit of visits) {
    const name = accessOf(visit).row.name;
    sources.set(name, [...(sources.get(name) ?? []), visit]);
  }
  const width = Math.max(1, bitsFor(port.depth));
  const lanes = port.width / port.lane;
  let address: Expr | null = null;
  let data: Expr | null = null;
  // Where several take turns, the last needs no condition.
  for (const group of [...sources.values()].reverse()) {
    const [first] = group as [Visit];
    const access = accessOf(first);
    const own = blockAddress(builder, first.tenant, access.group, access.row, width);
    const word = port.writes ? writeWord(group, port.width) : null;
    const active = any(group.map(activeOf));
    address = address === null ? own : choose(active, own, address);
    data = data === null || word === null ? word : choose(active, word, data);
  }
  const enables = visits.map((visit) => laneEnables(visit, port.lane, lanes));
  return {
    address: address!,
    enable: any(visits.flatMap((visit) => (visit.read === null ? [] : [activeOf(visit)]))),
    lanes: Array.from({ length: lanes }, (_, lane) => any(enables.map((list) => list[lane]!))),
    data: data ?? constant(0, port.width),
  };
}

/** Chooses by phase; without phases there is one value. `idle` is the value of phases that have none, if it matters. */
function byPhase(values: ReadonlyMap<number, Expr>, phase: Signal | null, idle: Expr | null): Expr {
  if (phase === null) return [...values.values()][0]!;
  const entries = [...values.entries()];
  const [last] = entries.slice(-1) as [[number, Expr]];
  const chain = idle === null ? last[1] : idle;
  const chosen = idle === null ? entries.slice(0, -1) : entries;
  return chosen.reduceRight<Expr>((rest, [number, value]) => choose(is(phase, number), value, rest), chain);
}

/** The narrowest shape among tenants, and the port's own: that shape, or its wide side. */
function portShape(visits: readonly Visit[], kindDepth: number): { depth: number; width: number } {
  const { tenant } = visits[0]!;
  const { group } = accessOf(visits[0]!);
  const shape = parseShape(tenant.shape)!;
  return { depth: Math.max(1, Math.floor(kindDepth / group)), width: shape.width * group };
}

/** A block's ports as its leaf sees them, the pins that connect them, and the reads that come out. */
export interface BlockWiring {
  readonly ports: readonly BlockLeafPort[];
  readonly pins: readonly Pin[];
  readonly taps: ReadonlyMap<string, Tap>;
}

/** Builds what drives the ports of one block, and the signals that its reads come out on. */
export function wireBlock(
  builder: Builder,
  block: ClusterBlock,
  name: string,
  context: BlockContext,
): BlockWiring {
  const ports: BlockLeafPort[] = [];
  const pins: Pin[] = [];
  const taps = new Map<string, Tap>();
  for (const [letter, visits] of visitsOf(block, context)) {
    if (visits.length === 0) continue;
    const shape = portShape(visits, parseShape(visits[0]!.tenant.shape)!.depth);
    const writes = visits.some(({ write }) => write !== null);
    const lane = visits.find(({ tenant, write }) => write !== null && tenant.lane !== null)?.tenant.lane;
    const port: BlockLeafPort = {
      name: letter === "A" ? "a" : "b",
      ...shape,
      lane: writes ? (lane ?? shape.width) : shape.width,
      writes,
      reads: visits.some(({ read }) => read !== null),
      during: duringOf(visits, block, context),
      asynchronous: visits.some(({ access }) => access.asynchronous),
    };
    ports.push(port);
    const phase = block.pump > 1 ? context.phase : null;
    const signals = new Map<number, PhaseSignals>();
    for (const number of [...new Set(visits.map((visit) => visit.phase))].sort((a, b) => a - b)) {
      const present = visits.filter((visit) => visit.phase === number);
      signals.set(number, phaseSignals(builder, present, port));
    }
    const pin = `${name}_${port.name}`;
    const pick = (of: (signals: PhaseSignals) => Expr, idle: Expr | null) =>
      byPhase(
        new Map([...signals].map(([number, each]) => [number, of(each)])),
        phase,
        signals.size === block.pump ? null : idle,
      );
    const drive = (part: string, value: Expr): void => {
      const signal = builder.wire(`${pin}_${part}`, value.width);
      builder.assign(signal, value);
      pins.push({ pin: `${port.name}_${part}`, direction: "in", value: signal });
    };
    const clock = block.pump > 1 ? context.fastClock! : accessOf(visits[0]!).clock;
    if (writes || !port.asynchronous) pins.push({ pin: `${port.name}_clk`, direction: "in", value: clock });
    drive(
      "addr",
      pick((each) => each.address, null),
    );
    if (port.reads && !port.asynchronous)
      drive(
        "en",
        pick((each) => each.enable, ZERO),
      );
    if (port.writes) {
      const lanes = port.width / port.lane;
      const enables = Array.from({ length: lanes }, (_, index) => pick((each) => each.lanes[index]!, ZERO));
      drive("write", join(enables));
      const written = [...signals].filter(([, { lanes }]) => lanes.some((enable) => enable !== ZERO));
      drive("wdata", byPhase(new Map(written.map(([number, { data }]) => [number, data])), phase, null));
    }
    if (port.reads) {
      const data = builder.wire(`${pin}_rdata`, port.width);
      pins.push({ pin: `${port.name}_rdata`, direction: "out", value: data });
      for (const { member, tenant, read, phase: number } of visits) {
        if (read !== null) taps.set(tapKey(member, tenant, read.key), { data, phase: number });
      }
    }
  }
  return { ports, pins, taps };
}

/** What the port shows of a word that it writes: the members agree, as those that promise nothing take any. */
function duringOf(visits: readonly Visit[], block: ClusterBlock, context: BlockContext): During {
  const asking = visits.find(({ access }) => access.own.request.collision !== "any") ?? visits[0]!;
  return context.during(asking.member, block.kind);
}
