import {
  apportion,
  type BlockKind,
  type PlanBlock,
  parseShape,
  shapeBits,
  type Tenant,
  type Waste,
} from "../model/index.js";

/** What one tenant is charged of its block, in bits; the parts and the bits it holds add up. */
export interface Charge {
  readonly tenant: Tenant;
  /** Bits that it holds. */
  readonly held: number;
  /** Rows times the part of the word that is its own. */
  readonly extent: number;
  readonly waste: Waste;
}

/** No waste at all. */
export const NO_WASTE: Waste = { replication: 0, widthPadding: 0, depthPadding: 0, unreachable: 0 };

/** All parts together, in bits. */
export function wasteTotal(waste: Waste): number {
  return waste.replication + waste.widthPadding + waste.depthPadding + waste.unreachable;
}

/** The parts of both, added. */
export function addWaste(a: Waste, b: Waste, times = 1): Waste {
  return {
    replication: a.replication + b.replication * times,
    widthPadding: a.widthPadding + b.widthPadding * times,
    depthPadding: a.depthPadding + b.depthPadding * times,
    unreachable: a.unreachable + b.unreachable * times,
  };
}

const rowCount = ({ rows }: Tenant) => rows[1] - rows[0] + 1;
const bitCount = ({ bits }: Tenant) => bits[1] - bits[0] + 1;

/** Tenants that lie side by side in the same words on the same ports: one region of the block. */
function regionsOf(tenants: readonly Tenant[]): Tenant[][] {
  const regions = new Map<string, Tenant[]>();
  for (const tenant of tenants) {
    const reach = tenant.inverted ? tenant.word - rowCount(tenant) + 1 : tenant.word;
    const key = `${tenant.ports.join("")} ${reach} ${rowCount(tenant)}`;
    regions.set(key, [...(regions.get(key) ?? []), tenant]);
  }
  return [...regions.values()];
}

function ownSpan(tenant: Tenant, alone: boolean, width: number): number {
  if (alone) return width;
  if (tenant.lane === null) return bitCount(tenant);
  const lane = tenant.lane;
  const first = Math.floor(tenant.runs[0]!.at / lane) * lane;
  const run = tenant.runs.at(-1)!;
  const last = run.at + run.bits[1] - run.bits[0];
  return (Math.floor(last / lane) + 1) * lane - first;
}

/**
 * Splits a block among its tenants without remainder. Each is charged its own rows times its own part of the word; of
 * the rest, word bits beside a region are width padding of that region's tenants, words outside every region are
 * depth padding, and bits that the shape does not reach are unreachable, each in proportion to extents. What copies
 * after the first hold is replication.
 */
export function chargesOf(block: PlanBlock, kind: BlockKind): Charge[] {
  const shape = parseShape(block.tenants[0]!.shape)!;
  const extents = new Map<Tenant, number>();
  const width = new Map<Tenant, number>();
  let regionCells = 0;
  for (const region of regionsOf(block.tenants)) {
    const wide = parseShape(region[0]!.shape)!.width;
    const rows = rowCount(region[0]!);
    const spans = region.map((tenant) => ownSpan(tenant, region.length === 1, wide));
    const beside = apportion(rows * (wide - spans.reduce((a, b) => a + b, 0)), spans);
    region.forEach((tenant, index) => {
      extents.set(tenant, rows * spans[index]!);
      width.set(tenant, rows * (spans[index]! - bitCount(tenant)) + beside[index]!);
    });
    regionCells += rows * wide;
  }
  const weights = block.tenants.map((tenant) => extents.get(tenant)!);
  const depth = apportion(shapeBits(shape) - regionCells, weights);
  const unreachable = apportion(kind.bits - shapeBits(shape), weights);
  return block.tenants.map((tenant, index) => {
    const held = rowCount(tenant) * bitCount(tenant);
    return {
      tenant,
      held,
      extent: weights[index]!,
      waste: {
        replication: tenant.copy > 0 ? held : 0,
        widthPadding: width.get(tenant)!,
        depthPadding: depth[index]!,
        unreachable: unreachable[index]!,
      },
    };
  });
}
