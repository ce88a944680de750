import type { Candidate, Fragment } from "../../src/candidates/index.js";
import { portLogic } from "../../src/candidates/logic-cost.js";
import { blockRealisations } from "../../src/candidates/realisation.js";
import { type CopyUse, type TileOption, tileOptions } from "../../src/candidates/tile-option.js";
import { columnEnd, type Word, wordOf } from "../../src/candidates/word.js";
import {
  type Design,
  type Device,
  type MemoryRequest,
  multiplexer,
  type Realisation,
  shapeBits,
} from "../../src/model/index.js";

/** One copy cut into tiles, as costs. */
interface Cut {
  readonly units: number;
  readonly fragments: readonly Fragment[];
  readonly luts: number;
  readonly cascade: number;
}

/** Columns of one option from one bit of the word on. */
interface Columns {
  readonly option: TileOption;
  readonly columns: number;
  readonly bits: number;
}

/** How a request may be held in one pool: which copies, of which stored word, from which options. */
export interface BlockTask {
  readonly pool: string;
  readonly realisation: Realisation;
  readonly use: CopyUse;
  readonly copies: number;
  readonly readPorts: number;
  readonly wordsInStored: number;
  readonly word: Word;
  readonly depth: number;
  readonly options: readonly TileOption[];
  /** Logic of one instance besides its read multiplexers in depth. */
  readonly luts: number;
}

/** Every pool, realisation with copies of one sort, and stored word that is legal for a request. */
export function blockTasks(design: Design, device: Device, request: MemoryRequest): BlockTask[] {
  const ratio = Math.max(request.wordsPerAccess.read, request.wordsPerAccess.write);
  const tasks: BlockTask[] = [];
  for (const { name: pool } of device.pools) {
    if (request.homes !== null && !request.homes.includes(pool)) continue;
    for (const { realisation, groups } of blockRealisations(request.ports)) {
      if (request.realisation !== null && request.realisation !== realisation) continue;
      const group = groups[0]!;
      if (groups.length > 1 || typeof group.use !== "string") continue;
      for (const wordsInStored of new Set([1, ratio])) {
        const mixedPorts = ratio > 1 && wordsInStored === 1;
        const word = wordOf([{ request, members: 1 }], wordsInStored);
        const narrowRead = wordsInStored > 1 && request.wordsPerAccess.read === 1;
        tasks.push({
          pool,
          realisation,
          ...group,
          use: group.use,
          wordsInStored,
          word,
          depth: request.depth / wordsInStored,
          options: tileOptions(device, pool, request, group.use, {
            lanesNeeded: word.stretches > 1 || (mixedPorts && request.lane !== null),
            mixedPorts,
            clockMHz: design.clockMHz,
          }),
          luts:
            portLogic(device.logic, request, realisation).luts +
            (narrowRead ? request.width * multiplexer(device.logic, wordsInStored).luts : 0),
        });
      }
    }
  }
  return tasks;
}

/** Where columns of an option end, from bit `from` on; the last end is the width of the word. */
export function columnEnds({ word }: BlockTask, option: TileOption, from = 0): number[] {
  const ends: number[] = [];
  for (let at = from; at < word.width; ) {
    at = columnEnd(word, at, option.slots, option.laneBits);
    ends.push(at);
  }
  return ends;
}

/** The word in full columns of one option, and what is left of it in columns of another. */
function columnMixes(task: BlockTask, options: readonly TileOption[]): Columns[][] {
  return options.flatMap((bulk) => {
    const ends = columnEnds(task, bulk);
    const from = ends.at(-2) ?? 0;
    const head = { option: bulk, columns: ends.length - 1, bits: from };
    return options.map((last) => {
      const tail = {
        option: last,
        columns: columnEnds(task, last, from).length,
        bits: task.word.width - from,
      };
      return head.columns === 0 ? [tail] : [head, tail];
    });
  });
}

/** The cost of tiles of `rows` rows: a fragment each where they leave room and a port, else whole blocks. */
export function tileCost(
  option: TileOption,
  rows: number,
): { readonly units: number; readonly fragment: Fragment | null } {
  const extent = rows * option.shape.width;
  const cells = shapeBits(option.shape);
  return option.shareKey === null || extent >= cells
    ? { units: option.units, fragment: null }
    : { units: 0, fragment: { shareKey: option.shareKey, extent, cells, units: option.units, stack: null } };
}

class CutCost {
  private units = 0;
  private readonly fragments: Fragment[] = [];
  luts = 0;
  cascade = 0;

  add(option: TileOption, rows: number, tiles: number): void {
    const { units, fragment } = tileCost(option, rows);
    this.units += units * tiles;
    if (fragment !== null) for (let tile = 0; tile < tiles; tile++) this.fragments.push(fragment);
  }

  done(): Cut {
    return { units: this.units, fragments: this.fragments, luts: this.luts, cascade: this.cascade };
  }
}

/** Blocks one above the other that a read multiplexer sees. */
export function multiplexed(option: TileOption, deep: number): number {
  const free = option.kind.freeCascade.find(
    ({ shape }) => shape.depth === option.shape.depth && shape.width === option.shape.width,
  );
  return free === undefined ? deep : Math.ceil(deep / free.blocks);
}

function cuts(task: BlockTask, device: Device, maxCascade: number): Cut[] {
  const found: Cut[] = [];
  const mux = (bits: number, inputs: number) =>
    bits * multiplexer(device.logic, inputs).luts * task.readPorts;
  for (const mix of columnMixes(task, task.options)) {
    const cost = new CutCost();
    for (const { option, columns, bits } of mix) {
      const deep = Math.ceil(task.depth / option.shape.depth);
      cost.add(option, option.shape.depth, columns * (deep - 1));
      cost.add(option, task.depth - (deep - 1) * option.shape.depth, columns);
      cost.luts += mux(bits, multiplexed(option, deep));
      cost.cascade = Math.max(cost.cascade, deep);
    }
    if (cost.cascade <= maxCascade) found.push(cost.done());
  }
  // Full slabs as deep as one option, and the rows that are left in a slab of their own.
  for (const top of task.options) {
    const full = Math.floor(task.depth / top.shape.depth);
    const rest = task.depth - full * top.shape.depth;
    if (full === 0 || rest === 0 || full + 1 > maxCascade) continue;
    const bottoms = task.options.filter(({ shape }) => shape.depth >= rest);
    for (const mix of columnMixes(task, bottoms)) {
      const cost = new CutCost();
      cost.add(top, top.shape.depth, columnEnds(task, top).length * full);
      for (const { option, columns } of mix) cost.add(option, rest, columns);
      cost.luts = mux(task.word.width, full + 1);
      cost.cascade = full + 1;
      found.push(cost.done());
    }
  }
  return found;
}

function unshared({ units, fragments }: Pick<Cut, "units" | "fragments">): number {
  return fragments.reduce((sum, fragment) => sum + fragment.units, units);
}

/**
 * Every candidate in block RAM of the plain sort: in each legal pool, realisation and stored word, the word in full
 * columns of one shape with what is left in another, and the same with the rows that are left below full slabs in a
 * slab of their own. None is left out because another is better. `known` are the packer's own candidates: where tiles
 * can share, the documented space ends at one unit more than the fewest, which they tell.
 */
export function rawCandidates(
  design: Design,
  device: Device,
  request: MemoryRequest,
  known: readonly Candidate[],
): Candidate[] {
  return blockTasks(design, device, request).flatMap((task) => {
    const { pool, realisation, copies, wordsInStored } = task;
    let found = cuts(task, device, request.maxCascade ?? Number.POSITIVE_INFINITY);
    if (task.options.some(({ shareKey }) => shareKey !== null)) {
      const alike = known.filter(
        (candidate) =>
          candidate.home === pool &&
          candidate.realisation === realisation &&
          candidate.copies === copies &&
          candidate.wordsInStored === wordsInStored,
      );
      const fewest = Math.min(...found.map(unshared), ...alike.map((each) => unshared(each) / copies));
      found = found.filter((cut) => unshared(cut) <= fewest + 1);
    }
    return found.map(
      (cut): Candidate => ({
        realisation,
        home: pool,
        copies,
        pump: 1,
        wordsInStored,
        tiled: [],
        stacked: [],
        units: cut.units * copies,
        fragments: Array.from({ length: copies }, () => cut.fragments).flat(),
        luts: cut.luts * copies + task.luts,
        lutMemory: 0,
        registers: 0,
        cascade: cut.cascade,
      }),
    );
  });
}
