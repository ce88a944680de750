import type { Arrangement, BlockKind, BlockShape, Device, MemoryRequest } from "../model/index.js";
import { writers } from "../model/index.js";

/** What one copy asks of its blocks. */
export type CopyUse =
  /** One port that reads and writes at one address, or only writes. */
  | "one-port"
  /** One read port and nothing else. */
  | "one-read"
  /** A write port and a read port. */
  | "write-and-read"
  /** Two ports, at least one of which does both, or two of the same direction. */
  | "two-ports";

/**
 * How tenants stack behind the ports of one block that they take in turns: their words apart, in one shape. Port A and
 * B together give `turns` accesses where `joint`, otherwise each gives its own.
 */
export interface StackRule {
  /** Words of the block. */
  readonly depth: number;
  readonly turns: readonly [a: number, b: number];
  readonly joint: boolean;
  /** Each owner has one tenant in a block at most. */
  readonly distinctOwners: boolean;
  /** Address and data bits that need an n:1 multiplexer before a block of n tenants. */
  readonly muxBits: number;
}

/** What a pumped copy asks of its block in one cycle of the design's clock. */
export interface PumpedUse {
  readonly pump: number;
  readonly arrangement: "simple-dual" | "true-dual";
  /** Simple dual port: writes on A and reads on B; true dual port: accesses, listed under A, that either port makes. */
  readonly turns: readonly [a: number, b: number];
}

/** One way to use a block for one tile. */
export interface TileOption {
  readonly kind: BlockKind;
  readonly arrangement: Arrangement;
  readonly shape: BlockShape;
  readonly ports: readonly ("A" | "B")[];
  /** Cost in units of the kind's pool. */
  readonly units: number;
  /** Slots and bits a slot: how the word is cut into hardware write lanes. One slot: one enable for the word. */
  readonly slots: number;
  readonly laneBits: number;
  /** The hardware write lane that `laneBits` is; null: one enable for the whole word. */
  readonly lane: number | null;
  /** The block turns a narrow read into a wide write: one write moves several words of `shape`. */
  readonly wideWrite: boolean;
  /** The tile leaves a port free, so that a part-filled block can be shared within this key; null: it does not. */
  readonly shareKey: string | null;
  /** Set where what shares the block takes turns; null where each tenant has a port to itself. */
  readonly stackRule: StackRule | null;
  /** Who may have only one tenant in a shared block; null where that does not matter. */
  readonly owner: string | null;
  /** Accesses in a cycle on each of `ports`; with a joint rule all of them stand under A. */
  readonly turns: readonly [a: number, b: number];
  /** Times that the block is clocked faster than the design. */
  readonly pump: number;
}

/** Hardware lanes to set a shape to; null: one enable for the word, which no lane beats where none is needed. */
function laneChoices(
  shape: BlockShape,
  lanesNeeded: boolean,
  writeSide: BlockShape,
): readonly (number | null)[] {
  if (!lanesNeeded) return [null];
  const legal = writeSide.lanes.filter((lane) => shape.width % lane === 0);
  return legal.length > 0 ? legal : [null];
}

function kindServes(kind: BlockKind, request: MemoryRequest, clockMHz: number | null, pump: number): boolean {
  if (request.read === "async" && !kind.asynchronousRead) return false;
  if ((request.initialContents || writers(request.ports) === 0) && !kind.initialContents) return false;
  if (request.clocks > kind.clocks) return false;
  const unpumped = request.clocks > 1 || request.read === "async";
  if (pump > 1 && (clockMHz === null || kind.maxClockMHz === null || unpumped)) return false;
  return clockMHz === null || kind.maxClockMHz === null || pump * clockMHz <= kind.maxClockMHz;
}

function turnsRule(shape: BlockShape, { pump, arrangement }: PumpedUse): StackRule {
  const joint = arrangement === "true-dual";
  return {
    depth: shape.depth,
    turns: joint ? [2 * pump, 0] : [pump, pump],
    joint,
    distinctOwners: false,
    muxBits: 0,
  };
}

function turnsKey(
  kind: BlockKind,
  arrangement: Arrangement,
  shape: BlockShape,
  lane: number | null,
  { pump, turns }: PumpedUse,
): string | null {
  const spare = arrangement === "true-dual" ? turns[0] < 2 * pump : turns[0] < pump || turns[1] < pump;
  if (!spare) return null;
  return `${kind.name}/${arrangement}/${shape.depth}x${shape.width}/lane ${lane ?? "word"}/pump ${pump}`;
}

/** Blocks of a shape that join in depth without a multiplexer; 1: none do. */
export function joinedFreely(kind: BlockKind, { depth, width }: BlockShape): number {
  const free = kind.freeCascade.find(({ shape }) => shape.depth === depth && shape.width === width);
  return free?.blocks ?? 1;
}

/**
 * Whether whatever takes turns at a shape does as well at a wider one of the same depth, as part of the word: the same rows in the same
 * turns, no fewer lanes and each no narrower. So of parity bits the shape with them is enough. It has to be offered to every
 * memory that the narrower one is offered to, so that what shared a block still does.
 */
function isOutdone(
  kind: BlockKind,
  arrangement: Arrangement,
  shape: BlockShape,
  lane: number | null,
): boolean {
  if (joinedFreely(kind, shape) > 1) return false;
  return kind.shapes[arrangement].some((other) => {
    if (other.depth !== shape.depth || other.width <= shape.width) return false;
    if (lane === null) return shape.lanes.length > 0 || other.lanes.length === 0;
    const slots = shape.width / lane;
    return other.lanes.some((wider) => wider >= lane && other.width === wider * slots);
  });
}

/** What a word asks of its blocks besides ports. */
export interface OptionSettings {
  readonly lanesNeeded: boolean;
  /** The sides have unequal widths and the block itself converts; shapes are then those of the narrower side. */
  readonly mixedPorts: boolean;
  readonly clockMHz: number | null;
}

/** All ways to use the blocks of one pool for tiles of a memory. The kinds of one pool may be mixed. */
export function tileOptions(
  device: Device,
  pool: string,
  request: MemoryRequest,
  use: CopyUse | PumpedUse,
  settings: OptionSettings,
): TileOption[] {
  const pumped = typeof use === "string" ? null : use;
  const options: TileOption[] = [];
  // A tile of a whole block is as well cut into its halves, side by side, which share for themselves.
  const smallest = Math.min(...device.blocks.filter((kind) => kind.pool === pool).map(({ units }) => units));
  for (const kind of device.blocks) {
    if (kind.pool !== pool || !kindServes(kind, request, settings.clockMHz, pumped?.pump ?? 1)) continue;
    const add = (arrangement: Arrangement, ports: readonly ("A" | "B")[]) => {
      for (const shape of kind.shapes[arrangement]) {
        let writeSide = shape;
        if (settings.mixedPorts) {
          const ratio = Math.max(request.wordsPerAccess.read, request.wordsPerAccess.write);
          const wide = kind.shapes[arrangement].find(
            (other) => other.family === shape.family && other.width === shape.width * ratio,
          );
          if (wide === undefined) continue;
          if (request.wordsPerAccess.write > 1) writeSide = wide;
        }
        const oneOfTwo = arrangement === "true-dual" && ports.length === 1 && kind.units === smallest;
        const mixable = kind.mixedWidths["true-dual"];
        const shareKey = oneOfTwo
          ? `${kind.name}/${shape.family}${mixable ? "" : `/${shape.depth}x${shape.width}`}`
          : null;
        const wideWrite = settings.mixedPorts && request.wordsPerAccess.write > 1;
        for (const lane of laneChoices(shape, settings.lanesNeeded, writeSide)) {
          // One enable over several words of the request would write lanes that were not asked for.
          if (lane === null && wideWrite && request.lane !== null) continue;
          if (pumped !== null && isOutdone(kind, arrangement, shape, lane)) continue;
          const laneBits = lane ?? shape.width;
          const twin = options.some(
            (other) =>
              other.kind === kind &&
              other.shape.depth === shape.depth &&
              other.shape.width === shape.width &&
              other.laneBits === laneBits &&
              (other.shareKey !== null || shareKey === null),
          );
          if (twin) continue;
          options.push({
            kind,
            arrangement,
            shape,
            ports,
            units: kind.units,
            slots: shape.width / laneBits,
            laneBits,
            lane,
            wideWrite,
            shareKey: pumped === null ? shareKey : turnsKey(kind, arrangement, shape, lane, pumped),
            stackRule: pumped === null ? null : turnsRule(shape, pumped),
            owner: null,
            turns: pumped?.turns ?? [1, ports.length > 1 ? 1 : 0],
            pump: pumped?.pump ?? 1,
          });
        }
      }
    };
    if (settings.mixedPorts) {
      if (use === "write-and-read" && kind.mixedWidths["simple-dual"]) add("simple-dual", ["A", "B"]);
      continue;
    }
    if (pumped !== null) {
      add(pumped.arrangement, ["A", "B"]);
      continue;
    }
    switch (use) {
      case "one-port":
        add("true-dual", ["A"]);
        if (request.clocks === 1) add("single", ["A"]);
        add("simple-dual", ["A", "B"]);
        break;
      case "one-read":
        add("true-dual", ["A"]);
        if (request.clocks === 1) add("single", ["A"]);
        add("simple-dual", ["B"]);
        break;
      case "write-and-read":
        add("simple-dual", ["A", "B"]);
        add("true-dual", ["A", "B"]);
        break;
      case "two-ports":
        add("true-dual", ["A", "B"]);
        break;
    }
  }
  return options;
}
