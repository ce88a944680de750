import {
  type BlockKind,
  type Device,
  type Plan,
  type PlanBlock,
  parseShape,
  shapeBits,
  type Tenant,
} from "../model/index.js";

/**
 * What a part of a block holds: bits of a first copy, bits of a further copy made for ports, or nothing, and then why:
 * the word is wider than what lies in it, the words are not used, or the shape cannot address the bits.
 */
export type Filling = "held" | "replication" | "widthPadding" | "depthPadding" | "unreachable";

/** A rectangle of a block, in shares of the block's height (words, from word 0) and width (bits, from bit 0). */
export interface Patch {
  readonly filling: Filling;
  /** Position in the block's tenants; null where the part belongs to none. */
  readonly tenant: number | null;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A block as a picture, for all blocks that look alike. */
export interface BlockPicture {
  /** The first of them. */
  readonly block: PlanBlock;
  readonly pool: string;
  /** How many look like this, `repeat` counted. */
  readonly count: number;
  /** Blocks of the pool that one of them takes; a half block takes 0.5. */
  readonly size: number;
  /** Ids of the plan's entries that are folded into it. */
  readonly ids: readonly string[];
  /** Shape that it is drawn at: that of the first tenant. */
  readonly shape: { readonly depth: number; readonly width: number };
  /** Bits of the block. */
  readonly bits: number;
  /** They cover the block without overlap, but where a pumped block holds the same bits for several turns. */
  readonly patches: readonly Patch[];
}

const rowsOf = ({ rows }: Tenant) => rows[1] - rows[0] + 1;

/** First word of the block that a tenant takes. */
const lowestWord = (tenant: Tenant) => (tenant.inverted ? tenant.word - rowsOf(tenant) + 1 : tenant.word);

/** The parts of [0, 1] that sorted, possibly overlapping spans leave free. */
function gaps(spans: readonly (readonly [number, number])[]): (readonly [number, number])[] {
  const free: (readonly [number, number])[] = [];
  let at = 0;
  for (const [start, end] of [...spans].sort((a, b) => a[0] - b[0])) {
    if (start > at) free.push([at, start]);
    at = Math.max(at, end);
  }
  if (at < 1) free.push([at, 1]);
  return free;
}

/**
 * The patches of a block. Tenants of unequal shapes address the same cells in the same order, so each is placed by its
 * share of the depth of its own shape. Bits beyond the shape's reach are a strip below the words.
 */
export function patchesOf(block: PlanBlock, kind: BlockKind): Patch[] {
  const reach = shapeBits(parseShape(block.tenants[0]!.shape)!) / kind.bits;
  const placed = block.tenants.map((tenant, index) => {
    const { depth, width } = parseShape(tenant.shape)!;
    const top = lowestWord(tenant) / depth;
    return { tenant, index, width, top, bottom: top + rowsOf(tenant) / depth };
  });
  const patches: Patch[] = [];
  const add = (
    filling: Filling,
    tenant: number | null,
    [left, right]: readonly [number, number],
    [top, bottom]: readonly [number, number],
  ) => {
    const [y, height] = [top * reach, (bottom - top) * reach];
    patches.push({ filling, tenant, x: left, y, width: right - left, height });
  };
  // Between two neighbouring edges every word has the same tenants.
  const edges = [...new Set([0, 1, ...placed.flatMap(({ top, bottom }) => [top, bottom])])].sort(
    (a, b) => a - b,
  );
  for (const [i, top] of edges.slice(0, -1).entries()) {
    const band = [top, edges[i + 1]!] as const;
    const here = placed.filter((each) => each.top <= top && each.bottom >= band[1]);
    if (here.length === 0) add("depthPadding", null, [0, 1], band);
    else {
      const spans = here.flatMap(({ tenant, width }) =>
        tenant.runs.map(({ bits, at }) => [at / width, (at + bits[1] - bits[0] + 1) / width] as const),
      );
      for (const gap of gaps(spans))
        add("widthPadding", here.length === 1 ? here[0]!.index : null, gap, band);
    }
  }
  for (const { tenant, index, width, top, bottom } of placed) {
    for (const { bits, at } of tenant.runs) {
      const span = [at / width, (at + bits[1] - bits[0] + 1) / width] as const;
      add(tenant.copy > 0 ? "replication" : "held", index, span, [top, bottom]);
    }
  }
  if (reach < 1) {
    patches.push({ filling: "unreachable", tenant: null, x: 0, y: reach, width: 1, height: 1 - reach });
  }
  return patches;
}

/** Blocks of all pictures, half blocks as 0.5: what the plan counts. */
export function blockCount(pictures: readonly BlockPicture[]): number {
  return pictures.reduce((sum, { count, size }) => sum + count * size, 0);
}

/** What blocks have to share to look alike: everything but which rows, bits and instances lie there. */
function likeness(block: PlanBlock): string {
  const tenants = block.tenants.map((tenant) => [
    tenant.memory,
    tenant.copy > 0,
    rowsOf(tenant),
    lowestWord(tenant),
    tenant.runs.map(({ bits, at }) => [bits[1] - bits[0], at]),
    tenant.shape,
    tenant.ports,
    tenant.inverted,
  ]);
  return JSON.stringify([block.kind, block.arrangement, block.pump, tenants]);
}

/** Pictures of all blocks of a plan, those that look alike folded into one, pool by pool, in the order of the memories. */
export function blockPictures(plan: Plan, device: Device): BlockPicture[] {
  const folded = new Map<string, { block: PlanBlock; count: number; ids: string[] }>();
  for (const block of plan.blocks) {
    const key = likeness(block);
    const known = folded.get(key);
    if (known === undefined) folded.set(key, { block, count: block.repeat, ids: [block.id] });
    else {
      known.count += block.repeat;
      known.ids.push(block.id);
    }
  }
  const order = device.pools.map(({ name }) => name);
  const memories = plan.memories.map(({ name }) => name);
  const rank = ({ tenants }: PlanBlock) => memories.indexOf(tenants[0]!.memory);
  return [...folded.values()]
    .map(({ block, count, ids }) => {
      const kind = device.blocks.find(({ name }) => name === block.kind)!;
      return {
        block,
        pool: kind.pool,
        count,
        size: kind.units / device.pools.find(({ name }) => name === kind.pool)!.unitsPerBlock,
        ids,
        shape: parseShape(block.tenants[0]!.shape)!,
        bits: kind.bits,
        patches: patchesOf(block, kind),
      };
    })
    .sort((a, b) => order.indexOf(a.pool) - order.indexOf(b.pool) || rank(a.block) - rank(b.block));
}
