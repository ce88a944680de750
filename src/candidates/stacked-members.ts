import { multiplexer, portTotal, readers, writers } from "../model/index.js";
import { type BlockUse, laneOf } from "./block-use.js";
import { type Candidate, paretoCandidates } from "./candidate.js";
import { type Fragment, fragmentOf } from "./fragment.js";
import { allows, type Setting } from "./memory-candidates.js";
import { blockRealisations } from "./realisation.js";
import { placeStack, type StackPlace } from "./stack-rows.js";
import type { TileOption } from "./tile-option.js";
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

function blockOf(bin: Bin, option: TileOption): Block {
  return { bin, fragment: fragmentOf(option, bin.height) };
}

/** One column of each member that goes on there, all of one option; the layers before it hold the bits before. */
interface Layer {
  readonly before: Layer | null;
  readonly option: TileOption;
  readonly blocks: readonly Block[];
  /** For each member, where its column ends. */
  readonly ends: readonly number[];
  /** Read multiplexers of these layers and those before, and most blocks one above the other. */
  readonly luts: number;
  readonly cascade: number;
}

/** Where the column of a member starts after a layer. */
function startOf(before: Layer | null, index: number): number {
  return before === null ? 0 : before.ends[index]!;
}

function layersUpTo(layer: Layer): Layer[] {
  const layers: Layer[] = [];
  for (let at: Layer | null = layer; at !== null; at = at.before) layers.push(at);
  return layers.reverse();
}

/** Lays members of one group behind one port; what layers of several layouts have in common is made once. */
class Stacking {
  private readonly bins = new Map<number, readonly Bin[]>();
  private readonly blocks = new Map<TileOption, Map<number, readonly Block[]>>();
  private readonly usesKnown = new Map<Layer, readonly BlockUse[]>();

  private readonly widths: readonly number[];

  constructor(
    private readonly setting: Setting,
    private readonly members: readonly Member[],
  ) {
    this.widths = members.map(({ word }) => word.width);
  }

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

  private endOf(before: Layer | null, index: number, { slots, laneBits }: TileOption): number {
    const { word } = this.members[index]!;
    const start = startOf(before, index);
    return start < word.width ? columnEnd(word, start, slots, laneBits) : start;
  }

  /** Whether columns of an option reach the ends of all words. */
  private isLast(before: Layer | null, option: TileOption): boolean {
    return this.widths.every((width, index) => this.endOf(before, index, option) === width);
  }

  private layer(before: Layer | null, option: TileOption, ends: readonly number[]): Layer {
    const { logic } = this.setting.device;
    let open = 0;
    let luts = before === null ? 0 : before.luts;
    let cascade = before === null ? 0 : before.cascade;
    this.members.forEach(({ word, request: { ports, depth } }, index) => {
      const start = startOf(before, index);
      if (start === word.width) return;
      open |= 1 << index;
      const deep = Math.ceil(depth / option.shape.depth);
      luts += readers(ports) * (ends[index]! - start) * multiplexer(logic, deep).luts;
      cascade = Math.max(cascade, deep);
    });
    return { before, option, blocks: this.blocksOf(option, open), ends, luts, cascade };
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
        if (this.isLast(before, lasts[index]!)) found[index] = this.layer(before, lasts[index]!, this.widths);
        else longer.push(index);
      }
      open = longer;
      if (open.length === 0) break;
      const ends = this.widths.map((_, index) => this.endOf(before, index, bulk));
      const next = this.layer(before, bulk, ends);
      if (ends.every((end, index) => end === this.widths[index])) {
        for (const index of open) found[index] = next;
        break;
      }
      before = next;
    }
    return found;
  }

  /** The blocks of all layers up to one, with the bits that they hold. */
  uses(last: Layer): BlockUse[] {
    return layersUpTo(last).flatMap((layer) => {
      let known = this.usesKnown.get(layer);
      if (known === undefined) {
        known = this.usesOf(layer);
        this.usesKnown.set(layer, known);
      }
      return known;
    });
  }

  private usesOf({ before, option, blocks, ends }: Layer): BlockUse[] {
    const columns = this.members.map(({ part, member, word }, index) => {
      const runs = columnRuns(word, startOf(before, index), ends[index]!, option.slots, option.laneBits);
      return {
        part,
        member,
        lane: laneOf(option, word),
        runs: runs.map((run) => ({ ...run, part, member })),
      };
    });
    return blocks.map(({ bin: { slabs, places }, fragment }) => ({
      option,
      lane: slabs.map(({ index }) => columns[index]!.lane).find((lane) => lane !== null) ?? null,
      pieces: slabs.map(({ index, firstRow, rows }, place) => {
        const { part, member, runs } = columns[index]!;
        const { word, inverted } = places[place]!;
        return {
          part,
          member,
          copy: 0,
          rows: [firstRow, firstRow + rows - 1] as const,
          runs,
          word,
          inverted,
        };
      }),
      fragment,
    }));
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
  const options = setting.tables.optionsOf(pool, strictest, single.groups[0]!.use, {
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
