import { multiplexer, portTotal, readers, shapeBits, writers } from "../model/index.js";
import { type BlockUse, laneOf } from "./block-use.js";
import { type Candidate, paretoCandidates } from "./candidate.js";
import type { Fragment } from "./fragment.js";
import { allows, type Setting } from "./memory-candidates.js";
import { blockRealisations } from "./realisation.js";
import { placeStack, type StackPlace } from "./stack-rows.js";
import { type TileOption, tileOptions } from "./tile-option.js";
import { columnEnd, columnRuns, type Part, type Word } from "./word.js";

/** One member of an exclusive group. */
export interface Member {
  readonly part: number;
  readonly member: number;
  readonly request: Part["request"];
  readonly word: Word;
}

/** Rows of one member in one slab of an option, whatever bits. */
interface Slab {
  readonly index: number;
  readonly firstRow: number;
  readonly rows: number;
}

/** Slabs that share a block, and where in it they lie. */
interface Bin {
  readonly slabs: readonly Slab[];
  readonly places: readonly StackPlace[];
  readonly height: number;
}

/** Fills blocks of so many words with slabs of different members, largest first, each into the first block that takes it. */
function fill(slabs: readonly Slab[], depth: number): Bin[] {
  const bins: { slabs: Slab[]; rows: number }[] = [];
  for (const slab of [...slabs].sort((a, b) => b.rows - a.rows)) {
    const bin = bins.find(
      (held) =>
        held.rows + slab.rows <= depth &&
        held.slabs.every((other) => other.index !== slab.index) &&
        placeStack([...held.slabs.map(({ rows }) => rows), slab.rows], depth) !== null,
    );
    if (bin === undefined) bins.push({ slabs: [slab], rows: slab.rows });
    else {
      bin.slabs.push(slab);
      bin.rows += slab.rows;
    }
  }
  return bins.map((bin) => ({
    slabs: bin.slabs,
    ...placeStack(
      bin.slabs.map(({ rows }) => rows),
      depth,
    )!,
  }));
}

function slabsOf(index: number, depth: number, native: number): Slab[] {
  return Array.from({ length: Math.ceil(depth / native) }, (_, slab) => {
    const firstRow = slab * native;
    return { index, firstRow, rows: Math.min(native, depth - firstRow) };
  });
}

/** A block of an option, what it leaves to share and which slabs it holds. */
interface Block {
  readonly bin: Bin;
  readonly fragment: Fragment | null;
}

function blockOf(bin: Bin, { shape, shareKey, units }: TileOption): Block {
  const extent = bin.height * shape.width;
  const cells = shapeBits(shape);
  const shares = shareKey !== null && extent < cells;
  return { bin, fragment: shares ? { shareKey, extent, cells, units, stack: null } : null };
}

/** One column of each member that goes on there, all of one option; the layers before it hold the bits before. */
interface Layer {
  readonly before: Layer | null;
  readonly option: TileOption;
  readonly blocks: readonly Block[];
  /** For each member, the bits `[start, end)` of its word. */
  readonly starts: readonly number[];
  readonly ends: readonly number[];
  /** Read multiplexers of these layers and those before, and most blocks one above the other. */
  readonly luts: number;
  readonly cascade: number;
}

function layersUpTo(layer: Layer): Layer[] {
  const layers: Layer[] = [];
  for (let at: Layer | null = layer; at !== null; at = at.before) layers.push(at);
  return layers.reverse();
}

/** Lays members of one group behind one port; blocks of members that go on are filled once for each depth. */
class Stacking {
  private readonly bins = new Map<number, readonly Bin[]>();
  private readonly blocks = new Map<TileOption, Map<number, readonly Block[]>>();

  constructor(
    private readonly setting: Setting,
    private readonly members: readonly Member[],
  ) {}

  /** The blocks of an option that hold the members in a set of bits. */
  private blocksOf(option: TileOption, open: number): readonly Block[] {
    let ofOption = this.blocks.get(option);
    if (ofOption === undefined) {
      ofOption = new Map();
      this.blocks.set(option, ofOption);
    }
    let blocks = ofOption.get(open);
    if (blocks === undefined) {
      blocks = this.binsOf(option.shape.depth, open).map((bin) => blockOf(bin, option));
      ofOption.set(open, blocks);
    }
    return blocks;
  }

  private binsOf(native: number, open: number): readonly Bin[] {
    const key = native * 2 ** this.members.length + open;
    let bins = this.bins.get(key);
    if (bins === undefined) {
      const slabs = this.members.flatMap(({ request }, index) =>
        (open >> index) & 1 ? slabsOf(index, request.depth, native) : [],
      );
      bins = fill(slabs, native);
      this.bins.set(key, bins);
    }
    return bins;
  }

  /** Where the columns of an option end that begin where a layer ends, for each member. */
  private endsAfter(before: Layer | null, { slots, laneBits }: TileOption): number[] {
    return this.members.map(({ word }, index) => {
      const start = before === null ? 0 : before.ends[index]!;
      return start < word.width ? columnEnd(word, start, slots, laneBits) : start;
    });
  }

  private isWhole(ends: readonly number[]): boolean {
    return this.members.every(({ word }, index) => ends[index] === word.width);
  }

  private layer(before: Layer | null, option: TileOption, ends: readonly number[]): Layer {
    const { logic } = this.setting.device;
    const starts = before === null ? this.members.map(() => 0) : before.ends;
    let open = 0;
    let luts = before === null ? 0 : before.luts;
    let cascade = before === null ? 0 : before.cascade;
    this.members.forEach(({ word, request: { ports, depth } }, index) => {
      const start = starts[index]!;
      if (start >= word.width) return;
      open |= 1 << index;
      const deep = Math.ceil(depth / option.shape.depth);
      luts += readers(ports) * (ends[index]! - start) * multiplexer(logic, deep).luts;
      cascade = Math.max(cascade, deep);
    });
    return { before, option, blocks: this.blocksOf(option, open), starts, ends, luts, cascade };
  }

  /**
   * Members stacked all in one shape but for the last column, which may be narrower and deeper: for each shape of that, the
   * last layer. Layers of the one shape are the same until the last one.
   */
  lastLayers(bulk: TileOption, lasts: readonly TileOption[]): Layer[] {
    const found: Layer[] = Array(lasts.length);
    let open = lasts.map((_, index) => index);
    for (let before: Layer | null = null; open.length > 0; ) {
      const longer: number[] = [];
      for (const index of open) {
        const ends = this.endsAfter(before, lasts[index]!);
        if (this.isWhole(ends)) found[index] = this.layer(before, lasts[index]!, ends);
        else longer.push(index);
      }
      open = longer;
      if (open.length === 0) break;
      const ends = this.endsAfter(before, bulk);
      before = this.layer(before, bulk, ends);
      if (!this.isWhole(ends)) continue;
      for (const index of open) found[index] = before;
      break;
    }
    return found;
  }

  /** The blocks of all layers up to one, with the bits that they hold. */
  uses(last: Layer): BlockUse[] {
    return layersUpTo(last).flatMap((layer) => layer.blocks.map((block) => this.useOf(layer, block)));
  }

  private useOf({ option, starts, ends }: Layer, { bin, fragment }: Block): BlockUse {
    const { slabs, places } = bin;
    const lanes = slabs.map(({ index }) => laneOf(option, this.members[index]!.word));
    return {
      option,
      lane: lanes.find((lane) => lane !== null) ?? null,
      pieces: slabs.map(({ index, firstRow, rows }, place) => {
        const { part, member, word } = this.members[index]!;
        return {
          part,
          member,
          copy: 0,
          rows: [firstRow, firstRow + rows - 1] as const,
          runs: columnRuns(word, starts[index]!, ends[index]!, option.slots, option.laneBits).map((run) => ({
            ...run,
            part,
            member,
          })),
          word: places[place]!.word,
          inverted: places[place]!.inverted,
        };
      }),
      fragment,
    };
  }
}

/** The multiplexers of address and write data before the one port of the members. */
function portLuts(setting: Setting, members: readonly Member[]): number {
  const { ports } = members[0]!.request;
  const addressBits = Math.ceil(Math.log2(Math.max(2, ...members.map(({ request }) => request.depth))));
  const dataBits = writers(ports) > 0 ? Math.max(...members.map(({ request }) => request.width)) : 0;
  const inputs = multiplexer(setting.device.logic, members.length).luts;
  return (portTotal(ports) * addressBits + writers(ports) * dataBits) * inputs;
}

/** Ways to lay members of an exclusive group behind one port in the blocks of one pool, pruned. */
export function stackCandidates(setting: Setting, pool: string, members: readonly Member[]): Candidate[] {
  const requests = members.map(({ request }) => request);
  const request = requests[0]!;
  const allowed = requests.every(
    (each) =>
      allows(each, pool) &&
      (each.realisation === null || each.realisation === "one-copy") &&
      Math.max(each.wordsPerAccess.read, each.wordsPerAccess.write) === 1,
  );
  const single = blockRealisations(request.ports).find(({ realisation }) => realisation === "one-copy");
  if (!allowed || single === undefined) return [];
  const lanesNeeded = requests.some((each) => each.lane !== null && writers(each.ports) > 0);
  const strictest = { ...request, initialContents: requests.some((each) => each.initialContents) };
  const options = tileOptions(setting.device, pool, strictest, single.groups[0]!.use, {
    lanesNeeded,
    mixedPorts: false,
    clockMHz: setting.design.clockMHz,
  });
  const limit = Math.min(...requests.map((each) => each.maxCascade ?? Number.POSITIVE_INFINITY));
  const stacking = new Stacking(setting, members);
  const luts = portLuts(setting, members);
  // Where bits lie is worked out for those alone that are kept.
  const lastLayers = new Map<Candidate, Layer>();
  for (const bulk of options) {
    for (const last of new Set(stacking.lastLayers(bulk, options))) {
      if (last.cascade > limit) continue;
      let units = 0;
      const fragments: Fragment[] = [];
      for (const { option, blocks } of layersUpTo(last)) {
        for (const { fragment } of blocks) {
          if (fragment === null) units += option.units;
          else fragments.push(fragment);
        }
      }
      const candidate: Candidate = {
        realisation: "one-copy",
        home: pool,
        copies: 1,
        pump: 1,
        wordsInStored: 1,
        tiled: [],
        stacked: [],
        units,
        fragments: fragments.sort((a, b) => b.extent - a.extent),
        luts: last.luts + luts,
        lutMemory: 0,
        registers: 0,
        cascade: last.cascade,
      };
      lastLayers.set(candidate, last);
    }
  }
  return paretoCandidates([...lastLayers.keys()]).map((candidate) => ({
    ...candidate,
    stacked: stacking.uses(lastLayers.get(candidate)!),
  }));
}
