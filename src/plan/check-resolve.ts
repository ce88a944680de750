import {
  type Arrangement,
  type BlockKind,
  type BlockShape,
  type Device,
  type Layout,
  type MemoryRequest,
  type Plan,
  type PlanBlock,
  type Pool,
  shapeName,
  type Tenant,
} from "../model/index.js";
import type { Report } from "./check-report.js";

/** A memory of the plan beside its request. */
export interface Subject {
  readonly request: MemoryRequest;
  /** By first instance, malformed ones left out; they may still leave gaps or overlap. */
  readonly layouts: readonly Layout[];
}

/** A tenant whose memory, instances and layout are known. */
export interface Resident {
  readonly tenant: Tenant;
  readonly request: MemoryRequest;
  readonly layout: Layout;
  readonly where: string;
  /** The instance in the first block of the segment. */
  readonly instance: number;
  /** Shapes of the tenant's name in the block's arrangement, one a family; empty where there is none. */
  readonly shapes: readonly BlockShape[];
}

/** `count` of the blocks that a plan block stands for, over which no tenant changes its layout. */
export interface Segment {
  readonly where: string;
  readonly kind: BlockKind;
  readonly arrangement: Arrangement;
  readonly pump: number;
  readonly count: number;
  readonly residents: readonly Resident[];
}

/** Where a run of instances of a memory has one of its rectangles. */
export interface Placement {
  readonly tenant: Tenant;
  readonly kind: BlockKind;
  readonly arrangement: Arrangement;
  readonly where: string;
  /** First and last instance, both inside the request. */
  readonly first: number;
  readonly last: number;
}

/** A plan with its names looked up. */
export interface Resolved {
  readonly subjects: ReadonlyMap<string, Subject>;
  readonly segments: readonly Segment[];
  /** By memory. */
  readonly placements: ReadonlyMap<string, readonly Placement[]>;
  readonly kinds: ReadonlyMap<string, BlockKind>;
  readonly pools: ReadonlyMap<string, Pool>;
  /** False where a block or tenant could not be resolved, so that sums over blocks have no meaning. */
  readonly complete: boolean;
}

const whole = (...numbers: readonly unknown[]): boolean => numbers.every((n) => Number.isSafeInteger(n));

function wellFormed(tenant: Tenant): boolean {
  const { rows, bits, runs } = tenant;
  return (
    whole(tenant.instance, tenant.copy, tenant.word, ...rows, ...bits) &&
    rows[0] <= rows[1] &&
    bits[0] <= bits[1] &&
    runs.length > 0 &&
    runs.every((run) => whole(run.at, ...run.bits) && run.bits[0] <= run.bits[1])
  );
}

/** Looks up the layouts of each memory that is both requested and planned. */
function subjectsOf(
  plan: Plan,
  requests: readonly MemoryRequest[],
  report: Report,
): ReadonlyMap<string, Subject> {
  const byName = new Map(requests.map((request) => [request.name, request]));
  const subjects = new Map<string, Subject>();
  for (const memory of plan.memories) {
    const where = `memory ${memory.name}`;
    const request = byName.get(memory.name);
    if (request === undefined) {
      report.add("memory-list", where, "no such memory was requested");
      continue;
    }
    if (subjects.has(memory.name)) {
      report.add("memory-list", where, "the plan lists it more than once");
      continue;
    }
    const layouts = memory.layouts.filter((layout) => {
      const { instances, copies, pump, stored } = layout;
      const legal =
        whole(...instances, copies, pump, stored.depth, stored.width) &&
        instances[0] <= instances[1] &&
        copies >= 1 &&
        pump >= 1 &&
        stored.depth >= 1 &&
        stored.width >= 1;
      if (!legal) report.add("malformed", where, "a layout has figures that are not whole or not in order");
      return legal;
    });
    subjects.set(memory.name, {
      request,
      layouts: [...layouts].sort((a, b) => a.instances[0] - b.instances[0]),
    });
  }
  for (const request of requests) {
    if (!subjects.has(request.name)) {
      report.add("memory-list", `memory ${request.name}`, "the plan does not serve it");
    }
  }
  return subjects;
}

/** The layout that serves an instance; the first where several do. */
export function layoutOf(subject: Subject, instance: number): Layout | undefined {
  return subject.layouts.find(({ instances }) => instances[0] <= instance && instance <= instances[1]);
}

/** Cuts a plan block where a tenant passes from one layout to the next. */
function segmentsOf(
  block: PlanBlock,
  kind: BlockKind,
  tenants: readonly { readonly tenant: Tenant; readonly subject: Subject; readonly where: string }[],
  report: Report,
): Segment[] {
  const cuts = new Set([0, block.repeat]);
  for (const { tenant, subject } of tenants) {
    for (const { instances } of subject.layouts) {
      for (const edge of [instances[0], instances[1] + 1]) {
        const cut = edge - tenant.instance;
        if (cut > 0 && cut < block.repeat) cuts.add(cut);
      }
    }
  }
  const edges = [...cuts].sort((a, b) => a - b);
  const segments: Segment[] = [];
  for (let i = 0; i + 1 < edges.length; i += 1) {
    const from = edges[i]!;
    const residents: Resident[] = [];
    for (const { tenant, subject, where } of tenants) {
      const instance = tenant.instance + from;
      const layout = layoutOf(subject, instance);
      if (layout === undefined) {
        report.add("unknown-instance", where, `no layout serves instance ${instance}`);
      } else {
        const shapes = kind.shapes[block.arrangement].filter((shape) => shapeName(shape) === tenant.shape);
        residents.push({ tenant, request: subject.request, layout, where, instance, shapes });
      }
    }
    segments.push({
      where: `block ${block.id}`,
      kind,
      arrangement: block.arrangement,
      pump: block.pump,
      count: edges[i + 1]! - from,
      residents,
    });
  }
  return segments;
}

/** Looks up every name in the plan, and notes the names and instances that do not exist. */
export function resolvePlan(
  plan: Plan,
  requests: readonly MemoryRequest[],
  device: Device,
  report: Report,
): Resolved {
  const subjects = subjectsOf(plan, requests, report);
  const kinds = new Map(device.blocks.map((kind) => [kind.name, kind]));
  const pools = new Map(device.pools.map((pool) => [pool.name, pool]));
  const segments: Segment[] = [];
  const placements = new Map<string, Placement[]>();
  const ids = new Set<string>();
  let complete = true;

  for (const block of plan.blocks) {
    const where = `block ${block.id}`;
    if (ids.has(block.id)) report.add("malformed", where, "another block has the same id");
    ids.add(block.id);
    const kind = kinds.get(block.kind);
    if (kind === undefined) report.add("unknown-kind", where, `the device has no block kind ${block.kind}`);
    const repeats = whole(block.repeat) && block.repeat >= 1;
    if (!repeats) report.add("malformed", where, `repeat is ${block.repeat}`);
    const clocked = whole(block.pump) && block.pump >= 1;
    if (!clocked) report.add("malformed", where, `pump is ${block.pump}`);
    if (block.tenants.length === 0) report.add("malformed", where, "it has no tenant");
    if (kind !== undefined && !((kind.shapes[block.arrangement] ?? []).length > 0)) {
      report.add("arrangement", where, `${kind.name} has no ${block.arrangement} arrangement`);
      complete = false;
      continue;
    }
    if (kind === undefined || !repeats || !clocked) {
      complete = false;
      continue;
    }
    const tenants: { tenant: Tenant; subject: Subject; where: string }[] = [];
    block.tenants.forEach((tenant, index) => {
      const at = `${where}, tenant ${index} (${tenant.memory})`;
      const subject = subjects.get(tenant.memory);
      if (!wellFormed(tenant)) {
        report.add("malformed", at, "figures that are not whole or not in order");
      } else if (subject === undefined) {
        report.add("unknown-memory", at, `there is no memory ${tenant.memory}`);
      } else {
        const last = tenant.instance + block.repeat - 1;
        const end = subject.request.instances - 1;
        if (tenant.instance < 0 || last > end) {
          report.add("unknown-instance", at, `instances ${tenant.instance} to ${last} of 0 to ${end}`);
        } else {
          tenants.push({ tenant, subject, where: at });
          const list = placements.get(tenant.memory) ?? [];
          placements.set(tenant.memory, list);
          const { arrangement } = block;
          list.push({ tenant, kind, arrangement, where: at, first: tenant.instance, last });
        }
      }
    });
    if (tenants.length < block.tenants.length) complete = false;
    segments.push(...segmentsOf(block, kind, tenants, report));
  }
  return { subjects, segments, placements, kinds, pools, complete };
}
