import type { Design, Device, MemoryRequest, PlanMemory, Waste } from "../../model/index.js";
import { NothingLegalError } from "../../plan/nothing-legal.js";
import { type PackOptions, pack } from "../../plan/pack.js";

/** A geometry of a memory. */
export interface Geometry {
  /** Words. */
  readonly depth: number;
  /** Bits of a word. */
  readonly width: number;
  readonly ports: MemoryRequest["ports"];
  /** Bits under one write enable; null: the whole word. */
  readonly lane: number | null;
}

/** A part of a memory's waste, and the nearest geometries that would have none of it. */
export interface Remedy {
  readonly part: keyof Waste;
  /** Bits of it, over all instances. */
  readonly bits: number;
  /**
   * Geometries that differ in one thing alone, the smaller before the larger, each packed by itself in the same home
   * and realisation and found without this part. Empty where none is near.
   */
  readonly geometries: readonly Geometry[];
}

const PARTS = ["replication", "widthPadding", "depthPadding", "unreachable"] as const;

/** Widths that are tried on each side, in bits or lanes. */
const MOST_WIDTHS = 40;

/** Finds out whether one instance of a geometry has none of a part, alone on the device. */
type Test = (geometry: Geometry) => Promise<boolean>;

function testOf(
  part: keyof Waste,
  design: Design,
  device: Device,
  request: MemoryRequest,
  memory: PlanMemory,
  options: PackOptions,
): Test {
  const layout = memory.layouts.find(({ tiles }) => tiles.length > 0) ?? memory.layouts[0]!;
  return async (geometry) => {
    const alone: MemoryRequest = {
      ...request,
      ...geometry,
      instances: 1,
      lockstep: null,
      exclusive: null,
      homes: [layout.home],
      // Fewer ports need another realisation.
      realisation: part === "replication" ? null : layout.realisation,
    };
    const limits = { blocks: {}, luts: null };
    try {
      const plan = await pack({ ...design, limits, requests: [alone], warnings: [] }, device, options);
      return plan.memories[0]!.waste[part] === 0;
    } catch (error) {
      if (error instanceof NothingLegalError) return false;
      throw error;
    }
  };
}

/** The first of some geometries that passes. */
async function firstOf(geometries: readonly Geometry[], test: Test): Promise<Geometry[]> {
  for (const geometry of geometries) if (await test(geometry)) return [geometry];
  return [];
}

/** Widths below and above, the nearest first; with lanes, whole numbers of lanes, and lanes that are wider. */
function widths(geometry: Geometry): { readonly below: Geometry[]; readonly above: Geometry[] } {
  const { width, lane } = geometry;
  const step = lane ?? 1;
  const steps = Array.from({ length: MOST_WIDTHS }, (_, i) => (i + 1) * step);
  const below = steps.map((by) => ({ ...geometry, width: Math.floor(width / step) * step - by + step }));
  const above = steps.map((by) => ({ ...geometry, width: Math.ceil(width / step) * step + by - step }));
  const other = ({ width: bits }: Geometry) => bits > 0 && bits !== width;
  if (lane === null || width % lane !== 0) return { below: below.filter(other), above: above.filter(other) };
  const lanes = width / lane;
  const wider = Array.from({ length: 8 }, (_, i) => ({
    ...geometry,
    lane: lane + i + 1,
    width: (lane + i + 1) * lanes,
  }));
  return { below: below.filter(other), above: [...wider, ...above.filter(other)] };
}

/** Depths below and above that fill blocks of the device to the last word, the nearest first. */
function depths(
  geometry: Geometry,
  memory: PlanMemory,
  device: Device,
  step: number,
): { readonly below: Geometry[]; readonly above: Geometry[] } {
  const pools = new Set(memory.layouts.map(({ home }) => home));
  const shapes = device.blocks
    .filter(({ pool }) => pools.has(pool))
    .flatMap(({ shapes: lists }) => Object.values(lists).flat());
  const units = [...new Set(shapes.map(({ depth }) => depth))].filter((depth) => depth % step === 0);
  const of = (list: readonly number[]) =>
    [...new Set(list)].filter((depth) => depth > 0 && depth !== geometry.depth);
  const down = of(units.map((unit) => Math.floor(geometry.depth / unit) * unit)).sort((a, b) => b - a);
  const up = of(units.map((unit) => Math.ceil(geometry.depth / unit) * unit)).sort((a, b) => a - b);
  const all = (list: readonly number[]) => list.map((depth) => ({ ...geometry, depth }));
  return { below: all(down), above: all(up) };
}

/**
 * For each part of a memory's waste, the largest first, the nearest geometries that would have none of it: fewer ports
 * for copies, another width or lane for padding of words and for bits that a shape cannot address, another depth for
 * words that hold nothing. Each was packed by itself, sharing with nothing.
 */
export async function remediesOf(
  design: Design,
  device: Device,
  request: MemoryRequest,
  memory: PlanMemory,
  options: PackOptions,
): Promise<Remedy[]> {
  const { depth, width, ports, lane, wordsPerAccess } = request;
  const geometry: Geometry = { depth, width, ports, lane };
  const ratio = Math.max(wordsPerAccess.read, wordsPerAccess.write);
  const remedies: Remedy[] = [];
  for (const part of PARTS.filter((each) => memory.waste[each] > 0)) {
    const test = testOf(part, design, device, request, memory, options);
    const geometries: Geometry[] = [];
    if (part === "replication") {
      const writes = ports.write + ports.readWrite;
      const fewer = [
        { ...ports, read: 2, write: 0, readWrite: 0 },
        { ...ports, read: 1, write: Math.min(1, writes), readWrite: 0 },
      ].filter(({ read, write }) => (write === 0) === (writes === 0) && read <= ports.read + ports.readWrite);
      geometries.push(
        ...(await firstOf(
          fewer.map((each) => ({ ...geometry, ports: each })),
          test,
        )),
      );
    } else {
      const near = part === "depthPadding" ? depths(geometry, memory, device, ratio) : widths(geometry);
      geometries.push(...(await firstOf(near.below, test)), ...(await firstOf(near.above, test)));
    }
    remedies.push({ part, bits: memory.waste[part], geometries });
  }
  return remedies.sort((a, b) => b.bits - a.bits);
}
