import {
  type Layout,
  type Plan,
  type PlanMemory,
  portsName,
  shapeName,
  type Waste,
} from "../../model/index.js";

/** A figure before and after; `change` is what it gained. */
export interface Difference {
  readonly old: number;
  readonly new: number;
  readonly change: number;
}

/** What may be gained without failing. */
export interface Allowance {
  /** Blocks of every pool that is not named; default 0. */
  readonly blocks?: number | undefined;
  /** By name: a pool (blocks), `LUT` (logic units) or `registers`. Logic that is not named is not judged. */
  readonly named?: Readonly<Record<string, number>> | undefined;
}

/** A pool of blocks, `LUT` or `registers`, before and after. */
export interface BudgetChange extends Difference {
  readonly name: string;
  readonly unit: "blocks" | "logic";
  /** What it may gain; null: not judged. */
  readonly allowed: number | null;
  /** What it gained beyond that; 0 where it kept the allowance or is not judged. */
  readonly past: number;
}

/** What of a memory is not as it was. */
export type Aspect =
  /** Depth, width, ports or write lane. */
  | "geometry"
  | "instances"
  /** Realisation, home, copies or pumping. */
  | "realisation"
  /** Shapes of its blocks, how many of each, or how deep they stack. */
  | "shapes"
  /** Its share of the blocks, by pool. */
  | "blocks"
  | "waste"
  /** LUTs or registers. */
  | "logic";

/** A memory that is not as it was. */
export interface MemoryChange {
  readonly name: string;
  readonly change: "added" | "removed" | "changed";
  /** In the order of {@link Aspect}; empty where it was added or removed. */
  readonly aspects: readonly Aspect[];
  /** null where it was added. */
  readonly old: PlanMemory | null;
  /** null where it was removed. */
  readonly new: PlanMemory | null;
  /** Blocks gained by pool, rounded to 1/1000; pools without change are left out. */
  readonly blocks: Readonly<Record<string, number>>;
}

/** One side of a comparison. */
export interface ComparedPlan {
  readonly design: string;
  readonly device: string;
  readonly status: Plan["status"];
  readonly proven: boolean;
  readonly fits: boolean;
  readonly memories: number;
}

/** Two plans beside each other. */
export interface Comparison {
  readonly old: ComparedPlan;
  readonly new: ComparedPlan;
  /** The new plan fits, and nothing that is judged gained more than allowed. */
  readonly passed: boolean;
  /** Pools in the order of the new plan, those of the old one alone after them; then `LUT` and `registers`. */
  readonly budgets: readonly BudgetChange[];
  readonly bits: {
    readonly requested: Difference;
    readonly held: Difference;
    readonly wasted: Difference;
    readonly waste: { readonly [Part in keyof Waste]: Difference };
    /** Bits held outside blocks. */
    readonly logic: Difference;
  };
  /** In the order of the new plan, those that were removed after them. */
  readonly memories: readonly MemoryChange[];
  /** Memories that are as they were. */
  readonly unchanged: number;
}

const rounded = (value: number) => Math.round(value * 1000) / 1000;

function changeOf(before: number, after: number): Difference {
  return { old: before, new: after, change: rounded(after - before) };
}

function sideOf(plan: Plan): ComparedPlan {
  const { design, device, status, objective, memories } = plan;
  const fits = status !== "over-budget";
  return { design, device, status, proven: objective.proven, fits, memories: memories.length };
}

/** Names of what an {@link Allowance} may name for these two plans: the pools of both, `LUT` and `registers`. */
export function allowanceNames(before: Plan, after: Plan): string[] {
  const pools = [after, before].flatMap(({ totals }) => [totals.available, totals.blocks]);
  return [...new Set([...pools.flatMap((record) => Object.keys(record)), "LUT", "registers"])];
}

function budgetsOf(before: Plan, after: Plan, allowance: Allowance): BudgetChange[] {
  return allowanceNames(before, after).map((name) => {
    const logic = name === "LUT" || name === "registers";
    const used = ({ totals }: Plan) =>
      name === "LUT" ? totals.luts : name === "registers" ? totals.registers : (totals.blocks[name] ?? 0);
    const change = changeOf(used(before), used(after));
    const named = allowance.named;
    const own = named !== undefined && Object.hasOwn(named, name) ? named[name]! : null;
    const allowed = own ?? (logic ? null : (allowance.blocks ?? 0));
    const past = allowed === null ? 0 : Math.max(0, rounded(change.change - allowed));
    return { name, unit: logic ? "logic" : "blocks", ...change, allowed, past };
  });
}

/** How instances are laid out, without how many; equal texts mean equal layouts. */
function layoutsText(layouts: readonly Layout[], of: (layout: Layout) => string): string {
  const counts = new Map<string, number>();
  for (const layout of layouts) {
    const key = of(layout);
    counts.set(key, (counts.get(key) ?? 0) + layout.instances[1] - layout.instances[0] + 1);
  }
  const all = [...counts.values()].reduce((sum, count) => sum + count, 0);
  // The share of the instances rather than their count: more instances alone are no other layout.
  return [...counts]
    .map(([key, count]) => `${count / all} ${key}`)
    .sort()
    .join("; ");
}

const realisationText = ({ realisation, home, copies, pump }: Layout) =>
  `${realisation} in ${home}, ${copies} copies, pump ${pump}`;

function shapesText({ tiles }: Layout): string {
  return tiles
    .map(({ kind, shape, count, deep }) => `${count} x ${kind} ${shape} ${deep} deep`)
    .sort()
    .join(", ");
}

const WASTE = ["replication", "widthPadding", "depthPadding", "unreachable"] as const;

function blocksGained(before: PlanMemory | null, after: PlanMemory | null): Record<string, number> {
  const pools = new Set([after, before].flatMap((memory) => Object.keys(memory?.blocks ?? {})));
  const gains = [...pools].map((pool) => {
    return [pool, rounded((after?.blocks[pool] ?? 0) - (before?.blocks[pool] ?? 0))] as const;
  });
  return Object.fromEntries(gains.filter(([, gain]) => gain !== 0));
}

function aspectsOf(before: PlanMemory, after: PlanMemory): Aspect[] {
  const differ = (of: (memory: PlanMemory) => unknown) => of(before) !== of(after);
  const geometry = (memory: PlanMemory) =>
    `${shapeName(memory)} ${portsName(memory.ports)} lane ${memory.lane}`;
  const found: [Aspect, boolean][] = [
    ["geometry", differ(geometry)],
    ["instances", differ(({ instances }) => instances)],
    ["realisation", differ(({ layouts }) => layoutsText(layouts, realisationText))],
    ["shapes", differ(({ layouts }) => layoutsText(layouts, shapesText))],
    ["blocks", Object.keys(blocksGained(before, after)).length > 0],
    ["waste", WASTE.some((part) => before.waste[part] !== after.waste[part])],
    ["logic", before.luts !== after.luts || before.registers !== after.registers],
  ];
  return found.filter(([, changed]) => changed).map(([aspect]) => aspect);
}

function memoryChanges(before: Plan, after: Plan): MemoryChange[] {
  const old = new Map(before.memories.map((memory) => [memory.name, memory]));
  const stay = new Set(after.memories.map(({ name }) => name));
  const changes = after.memories.flatMap((memory): MemoryChange[] => {
    const was = old.get(memory.name) ?? null;
    const blocks = blocksGained(was, memory);
    if (was === null) {
      return [{ name: memory.name, change: "added", aspects: [], old: null, new: memory, blocks }];
    }
    const aspects = aspectsOf(was, memory);
    if (aspects.length === 0) return [];
    return [{ name: memory.name, change: "changed", aspects, old: was, new: memory, blocks }];
  });
  const gone = before.memories.filter(({ name }) => !stay.has(name));
  const removed = gone.map((memory): MemoryChange => {
    const blocks = blocksGained(memory, null);
    return { name: memory.name, change: "removed", aspects: [], old: memory, new: null, blocks };
  });
  return [...changes, ...removed];
}

/**
 * What changed from one plan to another: blocks by pool, logic, waste, and every memory that is not as it was. Memories
 * are matched by name, pools by name too where the devices differ. What blocks lie where is not compared: plans that
 * differ in that alone are equal. `allowance` is what may be gained; with nothing given, no block of any pool.
 */
export function comparePlans(before: Plan, after: Plan, allowance: Allowance = {}): Comparison {
  const budgets = budgetsOf(before, after, allowance);
  const memories = memoryChanges(before, after);
  const bits = (of: (totals: Plan["totals"]) => number) => changeOf(of(before.totals), of(after.totals));
  const fits = after.status !== "over-budget";
  const changed = memories.filter(({ new: memory }) => memory !== null).length;
  return {
    old: sideOf(before),
    new: sideOf(after),
    passed: fits && budgets.every(({ past }) => past === 0),
    budgets,
    bits: {
      requested: bits(({ requestedBits }) => requestedBits),
      held: bits(({ blockBits }) => blockBits),
      wasted: bits(({ wastedBits }) => wastedBits),
      waste: {
        replication: bits(({ waste }) => waste.replication),
        widthPadding: bits(({ waste }) => waste.widthPadding),
        depthPadding: bits(({ waste }) => waste.depthPadding),
        unreachable: bits(({ waste }) => waste.unreachable),
      },
      logic: bits(({ logicBits }) => logicBits),
    },
    memories,
    unchanged: after.memories.length - changed,
  };
}
