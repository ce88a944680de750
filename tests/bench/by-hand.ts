/**
 * What a designer does without a packer, in weighted units of blocks. Budgets are left out: the question is how many blocks
 * a system takes.
 */
import type { Candidate, Choices, Fragment } from "../../src/candidates/index.js";
import type { TileOption } from "../../src/candidates/tile-option.js";
import { type Design, type Device, multiplexer } from "../../src/model/index.js";
import { unitWeights } from "../../src/program/weights.js";
import { type BlockTask, blockTasks, columnEnds, multiplexed, tileCost } from "./raw-candidates.js";

/** Weighted units of blocks by method. */
export interface ByHand {
  /** One memory at a time, each at its best single shape, every tile in a block of its own: the usual spreadsheet. */
  readonly spreadsheet: number;
  /** The same shapes; partial tiles of one port go first-fit decreasing into blocks with two ports. */
  readonly firstFit: number;
}

/** A memory in columns and rows of one shape. */
interface SingleShape {
  /** Weighted units of one instance, every tile in a block of its own. */
  readonly cost: number;
  readonly luts: number;
  /** Share of the tiles' bits that is spoken for; what is left may be shared. */
  readonly fragments: readonly Fragment[];
  /** Weighted units of the tiles that cannot share. */
  readonly whole: number;
}

function singleShape(task: BlockTask, option: TileOption, device: Device, weight: number): SingleShape {
  const deep = Math.ceil(task.depth / option.shape.depth);
  const columns = columnEnds(task, option).length;
  const tiles = columns * deep * task.copies;
  const last = tileCost(option, task.depth - (deep - 1) * option.shape.depth);
  const partial = last.fragment === null ? 0 : columns * task.copies;
  return {
    cost: tiles * option.units * weight,
    luts:
      task.copies *
      task.readPorts *
      task.word.width *
      multiplexer(device.logic, multiplexed(option, deep)).luts,
    fragments: Array<Fragment>(partial).fill(last.fragment!),
    whole: (tiles - partial) * option.units * weight,
  };
}

/** Fewest blocks, then the smallest part that can share, then fewest LUTs. */
function better(a: SingleShape, b: SingleShape): boolean {
  const extent = ({ fragments }: SingleShape) => fragments.reduce((sum, each) => sum + each.extent, 0);
  if (a.cost !== b.cost) return a.cost < b.cost;
  if (a.whole !== b.whole) return a.whole < b.whole;
  if (extent(a) !== extent(b)) return extent(a) < extent(b);
  return a.luts < b.luts;
}

/** Fragments into blocks of two ports: the largest first, each into the first block that has room and a port. */
function firstFitDecreasing(fragments: readonly Fragment[]): Fragment[][] {
  const open = new Map<string, Fragment[][]>();
  for (const fragment of [...fragments].sort((a, b) => b.extent - a.extent)) {
    let blocks = open.get(fragment.shareKey);
    if (blocks === undefined) {
      blocks = [];
      open.set(fragment.shareKey, blocks);
    }
    const home = blocks.find(
      ([first, second]) => second === undefined && first!.extent + fragment.extent <= fragment.cells,
    );
    if (home === undefined) blocks.push([fragment]);
    else home.push(fragment);
  }
  return [...open.values()].flat();
}

function inLogic(candidates: readonly Candidate[]): boolean {
  return candidates.some(({ home }) => home === "LUT" || home === "registers");
}

/**
 * Both methods on a design. A memory that may leave block RAM (the packer's rule for small memories, in `choices`) does:
 * it takes no block. Groups are not used. Throws RangeError where a memory has no single shape: it is then of
 * ports that one block kind serves in no way.
 */
export function byHand(choices: Choices, design: Design, device: Device): ByHand {
  const weights = unitWeights(device, design);
  let spreadsheet = 0;
  let firstFit = 0;
  const fragments: Fragment[] = [];
  const weightOf = new Map<string, number>();
  for (const { request, candidates } of choices.requests) {
    if (inLogic(candidates)) continue;
    let best: SingleShape | null = null;
    for (const task of blockTasks(design, device, request)) {
      for (const option of task.options) {
        if (request.maxCascade !== null && Math.ceil(task.depth / option.shape.depth) > request.maxCascade)
          continue;
        const weight = weights.get(task.pool)!;
        const shape = singleShape(task, option, device, weight);
        for (const fragment of shape.fragments) weightOf.set(fragment.shareKey, fragment.units * weight);
        if (best === null || better(shape, best)) best = shape;
      }
    }
    if (best === null) throw new RangeError(`${request.name} has no single shape`);
    spreadsheet += best.cost * request.instances;
    firstFit += best.whole * request.instances;
    for (let instance = 0; instance < request.instances; instance++) fragments.push(...best.fragments);
  }
  for (const [first] of firstFitDecreasing(fragments)) firstFit += weightOf.get(first!.shareKey)!;
  return { spreadsheet, firstFit };
}
