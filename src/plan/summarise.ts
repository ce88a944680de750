import {
  apportion,
  type Design,
  type Device,
  type Layout,
  type MemoryRequest,
  type Plan,
  type PlanBlock,
  type PlanMemory,
  type PlanTotals,
  requestBits,
  type Waste,
} from "../model/index.js";
import type { PackProgram, Spending } from "../program/index.js";
import type { Placement } from "./place.js";
import { addWaste, chargesOf, NO_WASTE, wasteTotal } from "./waste.js";

interface Account {
  waste: Waste;
  readonly blocks: Map<string, number>;
}

const rounded = (value: number) => Math.round(value * 1000) / 1000;
const instancesOf = ({ instances }: Layout) => instances[1] - instances[0] + 1;

function accountsOf(blocks: readonly PlanBlock[], device: Device): Map<string, Account> {
  const kinds = new Map(device.blocks.map((kind) => [kind.name, kind]));
  const pools = new Map(device.pools.map((pool) => [pool.name, pool]));
  const accounts = new Map<string, Account>();
  for (const block of blocks) {
    const kind = kinds.get(block.kind)!;
    const charges = chargesOf(block, kind);
    const all = charges.reduce((sum, { extent }) => sum + extent, 0);
    for (const { tenant, extent, waste } of charges) {
      const account = accounts.get(tenant.memory) ?? { waste: NO_WASTE, blocks: new Map() };
      account.waste = addWaste(account.waste, waste, block.repeat);
      const share = (block.repeat * kind.units * extent) / (pools.get(kind.pool)!.unitsPerBlock * all);
      account.blocks.set(kind.pool, (account.blocks.get(kind.pool) ?? 0) + share);
      accounts.set(tenant.memory, account);
    }
  }
  return accounts;
}

/**
 * For each request, LUTs of the multiplexers before blocks that members of large exclusive groups share, which belong to
 * a block and so to no layout. The members in a block bear them alike.
 */
function sharedMultiplexers({ choices, shareKeys, muxLuts }: PackProgram, spending: Spending): number[] {
  const luts = choices.requests.map(() => 0);
  shareKeys.forEach((key, index) => {
    if (key.sort === "pair" || key.rule.muxBits === 0) return;
    const group = choices.groups.find(({ name }) => name === key.name.split("/")[0])!;
    for (const { pattern, count } of spending.patterns[index]!) {
      const parts = pattern.map((type) => Number(key.types[type]!.owner!.split(".")[0]));
      const weights = parts.map(() => 1);
      apportion(count * muxLuts(key, pattern.length), weights).forEach((share, place) => {
        luts[group.requests[parts[place]!]!]! += share;
      });
    }
  });
  return luts;
}

function memoryOf(
  request: MemoryRequest,
  layouts: readonly Layout[],
  account: Account | undefined,
  multiplexers: number,
): PlanMemory {
  const inBlocks = layouts
    .filter(({ tiles }) => tiles.length > 0)
    .reduce((sum, layout) => sum + instancesOf(layout), 0);
  const waste = account?.waste ?? NO_WASTE;
  const overInstances = (of: (layout: Layout) => number) =>
    layouts.reduce((sum, layout) => sum + of(layout) * instancesOf(layout), 0);
  return {
    name: request.name,
    structure: request.structure,
    depth: request.depth,
    width: request.width,
    ports: request.ports,
    lane: request.lane,
    instances: request.instances,
    copies: Math.max(...layouts.map(({ copies }) => copies)),
    realisation: layouts[0]!.realisation,
    blocks: Object.fromEntries([...(account?.blocks ?? [])].map(([pool, share]) => [pool, rounded(share)])),
    requestedBits: requestBits(request) * inBlocks,
    wastedBits: wasteTotal(waste),
    waste,
    cascade: Math.max(...layouts.map(({ cascade }) => cascade)),
    luts: overInstances(({ luts }) => luts) + multiplexers,
    registers: overInstances(({ registers }) => registers),
    layouts,
  };
}

function totalsOf(
  memories: readonly PlanMemory[],
  pack: PackProgram,
  spending: Spending,
  blocks: readonly PlanBlock[],
  device: Device,
  requests: readonly MemoryRequest[],
): PlanTotals {
  const kinds = new Map(device.blocks.map((kind) => [kind.name, kind]));
  const budget = (name: string) => pack.budgets.findIndex((entry) => entry.name === name);
  const inBlocks = (value: number, pool: Device["pools"][number]) => value / pool.unitsPerBlock;
  const perPool = <T>(of: (pool: Device["pools"][number], index: number) => T): Record<string, T> =>
    Object.fromEntries(device.pools.map((pool) => [pool.name, of(pool, budget(pool.name))]));
  const used = perPool((pool, index) => inBlocks(spending.spent[index]!, pool));
  const available = perPool((pool, index) => inBlocks(pack.budgets[index]!.limit, pool));
  const blockBits = blocks.reduce((sum, block) => sum + block.repeat * kinds.get(block.kind)!.bits, 0);
  const requestedBits = memories.reduce((sum, memory) => sum + memory.requestedBits, 0);
  const waste = memories.reduce((sum, memory) => addWaste(sum, memory.waste), NO_WASTE);
  const heldIn = (pool: string) =>
    memories.reduce((sum, memory, index) => {
      const count = memory.layouts
        .filter((layout) => layout.home === pool)
        .reduce((n, layout) => n + instancesOf(layout), 0);
      return sum + count * requestBits(requests[index]!);
    }, 0);
  const fullBlockBits = (pool: Device["pools"][number]) => {
    const kind = device.blocks.find((entry) => entry.pool === pool.name)!;
    return (kind.bits / kind.units) * pool.unitsPerBlock;
  };
  const allBits = requests.reduce((sum, request) => sum + requestBits(request) * request.instances, 0);
  const lutBudget = budget("LUT");
  const memoryBudget = budget("LUT memory");
  const lutMemory = memories.reduce(
    (sum, memory) =>
      sum + memory.layouts.reduce((n, layout) => n + layout.lutMemory * instancesOf(layout), 0),
    0,
  );
  return {
    blocks: used,
    available,
    over: Object.fromEntries(
      device.pools
        .map((pool) => [pool.name, used[pool.name]! - available[pool.name]!] as const)
        .filter(([, over]) => over > 0),
    ),
    requestedBits,
    blockBits,
    wastedBits: blockBits - requestedBits,
    waste,
    efficiency: blockBits === 0 ? 1 : requestedBits / blockBits,
    floorBlocks: perPool((pool) => Math.ceil(heldIn(pool.name) / fullBlockBits(pool))),
    logicBits: allBits - requestedBits,
    luts: spending.spent[lutBudget]!,
    lutsAvailable: pack.budgets[lutBudget]!.limit,
    lutMemory,
    lutMemoryAvailable: memoryBudget < 0 ? null : pack.budgets[memoryBudget]!.limit,
    registers: memories.reduce((sum, memory) => sum + memory.registers, 0),
  };
}

/** Memories and totals of a placed design: waste by cause, blocks by pool, what is left. */
export function summarise(
  design: Design,
  device: Device,
  pack: PackProgram,
  spending: Spending,
  placement: Placement,
): Pick<Plan, "memories" | "totals"> {
  const accounts = accountsOf(placement.blocks, device);
  const multiplexers = sharedMultiplexers(pack, spending);
  const memories = design.requests.map((request, index) =>
    memoryOf(request, placement.layouts[index]!, accounts.get(request.name), multiplexers[index]!),
  );
  return {
    memories,
    totals: totalsOf(memories, pack, spending, placement.blocks, device, design.requests),
  };
}
