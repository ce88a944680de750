import type {
  BlockKind,
  Design,
  Device,
  Interval,
  Layout,
  MemoryRequest,
  Plan,
  PlanBlock,
  Tenant,
} from "../../model/index.js";

/** One instance of a memory, or the like instances `first` to `first + count - 1` of several like clusters. */
export interface Member {
  readonly request: MemoryRequest;
  readonly layout: Layout;
  readonly first: number;
}

/** A block of a cluster with those who live in it, by their place among the cluster's members. */
export interface ClusterBlock {
  readonly id: string;
  readonly kind: BlockKind;
  readonly arrangement: PlanBlock["arrangement"];
  readonly pump: number;
  readonly tenants: readonly { readonly member: number; readonly tenant: Tenant }[];
}

/** Memories that share blocks, and so have to be one module: everything that hangs together through blocks. */
export interface Cluster {
  readonly members: readonly Member[];
  readonly blocks: readonly ClusterBlock[];
  /** Runs of instances that it serves: `count` copies, of which the first serves instance `first[i]` of member i. */
  readonly serves: readonly { readonly count: number; readonly first: readonly number[] }[];
}

/** Instances of one memory over which nothing in the plan changes. */
interface Run {
  readonly request: MemoryRequest;
  readonly layout: Layout;
  readonly order: number;
  readonly first: number;
  readonly count: number;
}

/** Positions at which each memory's instances are cut, so that every part of a repeated block maps whole runs. */
function cutsOf(plan: Plan): Map<string, Set<number>> {
  const cuts = new Map<string, Set<number>>();
  for (const memory of plan.memories) {
    const edges = memory.layouts.flatMap(({ instances }) => [instances[0], instances[1] + 1]);
    cuts.set(memory.name, new Set([0, memory.instances, ...edges]));
  }
  for (const { repeat, tenants } of plan.blocks) {
    for (const { memory, instance } of tenants)
      cuts
        .get(memory)!
        .add(instance)
        .add(instance + repeat);
  }
  for (let changed = true; changed; ) {
    changed = false;
    for (const { repeat, tenants } of plan.blocks) {
      if (repeat === 1 || tenants.length === 1) continue;
      const steps = new Set<number>();
      for (const { memory, instance } of tenants) {
        for (const cut of cuts.get(memory)!) {
          if (cut > instance && cut < instance + repeat) steps.add(cut - instance);
        }
      }
      for (const { memory, instance } of tenants) {
        const own = cuts.get(memory)!;
        const before = own.size;
        for (const step of steps) own.add(instance + step);
        if (own.size > before) changed = true;
      }
    }
  }
  return cuts;
}

function runsOf(plan: Plan, design: Design): Map<string, Run[]> {
  const requests = new Map(design.requests.map((request) => [request.name, request]));
  const cuts = cutsOf(plan);
  return new Map(
    plan.memories.map((memory, order) => {
      const edges = [...cuts.get(memory.name)!].sort((a, b) => a - b);
      const runs = edges.slice(0, -1).map((first, index): Run => {
        const inside = ([low, high]: Interval) => low <= first && first <= high;
        const layout = memory.layouts.find(({ instances }) => inside(instances))!;
        return {
          request: requests.get(memory.name)!,
          layout,
          order,
          first,
          count: edges[index + 1]! - first,
        };
      });
      return [memory.name, runs];
    }),
  );
}

/** A part of a plan block over which each tenant stays in one run. */
interface Part {
  readonly block: PlanBlock;
  readonly tenants: readonly { readonly run: Run; readonly tenant: Tenant }[];
}

function partsOf(plan: Plan, runs: ReadonlyMap<string, readonly Run[]>): Part[] {
  return plan.blocks.flatMap((block) => {
    const lists = block.tenants.map(({ memory, instance }) =>
      runs.get(memory)!.filter(({ first }) => first >= instance && first < instance + block.repeat),
    );
    return lists[0]!.map((_, index) => ({
      block,
      tenants: block.tenants.map((tenant, place) => ({ run: lists[place]![index]!, tenant })),
    }));
  });
}

/** A set of things that are joined two by two: each is known by the first of its set. */
export class Sets<T> {
  private readonly parents = new Map<T, T>();

  /** The representative of an element's set. */
  of(element: T): T {
    let root = element;
    for (let parent = this.parents.get(root); parent !== undefined; parent = this.parents.get(root))
      root = parent;
    if (root !== element) this.parents.set(element, root);
    return root;
  }

  /** Makes one set of two. */
  join(a: T, b: T): void {
    const [x, y] = [this.of(a), this.of(b)];
    if (x !== y) this.parents.set(y, x);
  }
}

/** Everything that the module of a cluster depends on, as text. */
function signature(members: readonly Member[], blocks: readonly ClusterBlock[]): string {
  return JSON.stringify([
    members.map(({ request, layout: { instances, ...layout } }) => [request.name, layout]),
    blocks.map(({ kind, arrangement, pump, tenants }) => [
      kind.name,
      arrangement,
      pump,
      tenants.map(({ member, tenant: { instance, ...tenant } }) => [member, tenant]),
    ]),
  ]);
}

/**
 * The clusters of a plan, like ones together, in the order of the design. The cost grows with the plan's blocks and runs
 * of like instances, not with the number of instances.
 */
export function clustersOf(plan: Plan, design: Design, device: Device): Cluster[] {
  const kinds = new Map(device.blocks.map((kind) => [kind.name, kind]));
  const runs = runsOf(plan, design);
  const parts = partsOf(plan, runs);
  const sets = new Sets<Run>();
  for (const { tenants } of parts) for (const { run } of tenants) sets.join(tenants[0]!.run, run);

  const clusters = new Map<Run, { members: Run[]; parts: Part[] }>();
  for (const run of [...runs.values()].flat()) {
    const root = sets.of(run);
    const cluster = clusters.get(root) ?? { members: [], parts: [] };
    cluster.members.push(run);
    clusters.set(root, cluster);
  }
  for (const part of parts) clusters.get(sets.of(part.tenants[0]!.run))!.parts.push(part);

  const found = new Map<string, Cluster & { serves: { count: number; first: number[] }[] }>();
  for (const { members, parts } of clusters.values()) {
    const sorted = members.sort((a, b) => a.order - b.order || a.first - b.first);
    const places = new Map(sorted.map((run, place) => [run, place]));
    const blocks = parts
      .map(
        ({ block, tenants }): ClusterBlock => ({
          id: block.id,
          kind: kinds.get(block.kind)!,
          arrangement: block.arrangement,
          pump: block.pump,
          tenants: tenants.map(({ run, tenant }) => ({ member: places.get(run)!, tenant })),
        }),
      )
      .map((block) => ({ block, key: signature([], [block]) }))
      .sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : 0))
      .map(({ block }) => block);
    const key = signature(sorted, blocks);
    const serve = { count: sorted[0]!.count, first: sorted.map(({ first }) => first) };
    const like = found.get(key);
    if (like !== undefined) like.serves.push(serve);
    else {
      const list = sorted.map(({ request, layout, first }): Member => ({ request, layout, first }));
      found.set(key, { members: list, blocks, serves: [serve] });
    }
  }
  return [...found.values()];
}
