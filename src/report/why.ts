import { type Layout, type Plan, type PlanMemory, parseShape, portsName } from "../model/index.js";
import { counted, figure, listed, percent, plain } from "./text.js";

/** A memory that wastes bits, and why, as one sentence made from its figures. */
export interface WasteReason {
  readonly memory: string;
  /** Bits wasted over all instances. */
  readonly wastedBits: number;
  /** The largest of the four parts of its waste; of equal ones, the first of replication, width, depth, unreachable. */
  readonly cause: keyof PlanMemory["waste"];
  readonly sentence: string;
}

const CAUSES = ["replication", "widthPadding", "depthPadding", "unreachable"] as const;

/** The memories that waste most bits, worst first, at most `most` (default 3); those that waste nothing are left out. */
export function worstMemories(plan: Plan, most = 3): WasteReason[] {
  return plan.memories
    .filter((memory) => memory.wastedBits > 0)
    .sort((a, b) => b.wastedBits - a.wastedBits)
    .slice(0, most)
    .map((memory) => reason(plan, memory));
}

function reason(plan: Plan, memory: PlanMemory): WasteReason {
  const cause = CAUSES.reduce((worst, next) => (memory.waste[next] > memory.waste[worst] ? next : worst));
  return {
    memory: memory.name,
    wastedBits: memory.wastedBits,
    cause,
    sentence: SENTENCES[cause](factsOf(plan, memory)),
  };
}

interface Facts {
  readonly plan: Plan;
  readonly memory: PlanMemory;
  readonly name: string;
  /** Bits of the blocks charged to the memory. */
  readonly held: number;
  /** The layout in blocks that serves most instances. */
  readonly main: Layout | null;
  /** Its only tile shape where there is just one, with whole blocks of its own; else null. */
  readonly only: { readonly shape: string; readonly depth: number; readonly width: number } | null;
  /** Blocks one above the other and side by side, in one copy, where `only` holds. */
  readonly deep: number;
  readonly across: number;
}

function factsOf(plan: Plan, memory: PlanMemory): Facts {
  const size = (layout: Layout) => layout.instances[1] - layout.instances[0] + 1;
  const inBlocks = memory.layouts.filter((layout) => layout.tiles.length > 0);
  const main = inBlocks.reduce<Layout | null>((a, b) => (a === null || size(b) > size(a) ? b : a), null);
  const tile = main?.tiles.length === 1 ? main.tiles[0]! : null;
  const shape = tile === null || sharingMemories(plan).has(memory.name) ? null : parseShape(tile.shape);
  const across = tile === null || main === null ? 0 : tile.count / (main.copies * tile.deep);
  const regular = tile !== null && shape !== null && inBlocks.length === 1 && Number.isInteger(across);
  return {
    plan,
    memory,
    name: plain(memory.name),
    held: memory.requestedBits + memory.wastedBits,
    main,
    only: regular ? { shape: tile.shape, ...shape } : null,
    deep: tile?.deep ?? 0,
    across,
  };
}

/** Names of the memories that have a tenant in a block with more than one. */
export function sharingMemories(plan: Plan): ReadonlySet<string> {
  const shared = plan.blocks.filter((block) => block.tenants.length > 1);
  return new Set(shared.flatMap((block) => block.tenants.map((tenant) => tenant.memory)));
}

const SENTENCES: Record<WasteReason["cause"], (facts: Facts) => string> = {
  replication({ memory, name, held, main }) {
    const copies = main?.copies ?? memory.copies;
    return (
      `${name} keeps ${counted(copies, "copy", "copies")} of the same ${memory.depth} x ${memory.width} bits ` +
      `for its ${portsName(memory.ports)} ports: ` +
      `${percent(memory.waste.replication, held)} of the bits it holds are copies.`
    );
  },

  depthPadding(facts) {
    const { name, main, only, deep } = facts;
    if (main === null || only === null) return mixed("words that hold nothing", "depthPadding", facts);
    const words = main.stored.depth;
    const room = only.depth * deep;
    const of = main.copies > 1 ? `${counted(main.copies, "copy", "copies")} of ` : "";
    const where =
      deep > 1 ? `${deep} blocks of ${figure(only.depth)} words each` : `blocks ${figure(only.depth)} deep`;
    return (
      `${name} keeps ${of}${counted(words, "word")} in ${where}: ` +
      `${percent(room - words, room)} of the words are empty.`
    );
  },

  widthPadding(facts) {
    const { memory, name, held, plan, main, only, across } = facts;
    const hardware = hardwareLane(plan, memory);
    if (memory.lane !== null && hardware !== null && hardware > memory.lane && memory.lane > 1) {
      return (
        `${name} puts write lanes of ${counted(memory.lane, "bit")} into hardware lanes of ${hardware}: ` +
        `${percent(memory.waste.widthPadding, held)} of the bits it holds are empty bits of words.`
      );
    }
    if (main === null || only === null) return mixed("empty bits of words", "widthPadding", facts);
    const room = only.width * across;
    const where =
      across > 1 ? `${across} blocks of ${only.width} bits each` : `blocks ${only.width} bits wide`;
    return (
      `${name} puts words of ${counted(main.stored.width, "bit")} into ${where}: ` +
      `${percent(room - main.stored.width, room)} of each word is empty.`
    );
  },

  unreachable({ memory, name, held, main }) {
    const shapes = [...new Set(main?.tiles.map((tile) => tile.shape) ?? [])].slice(0, 2).join(" and ");
    return (
      `${name} uses blocks as ${shapes}, which leaves ${percent(memory.waste.unreachable, held)} ` +
      "of the bits it holds without an address."
    );
  },
};

/** The sentence where the tiles have several shapes, or share blocks: what there is, and the share of the cause. */
function mixed(what: string, cause: WasteReason["cause"], { memory, name, held, main }: Facts): string {
  const tiles = (main?.tiles ?? []).map((tile) => `${figure(tile.count)} x ${tile.shape}`);
  const named = tiles.length <= 4 ? tiles : [...tiles.slice(0, 3), `${tiles.length - 3} shapes more`];
  return (
    `${name} lays ${memory.depth} x ${memory.width} bits out as ${listed(named)}: ` +
    `${percent(memory.waste[cause], held)} of the bits it holds are ${what}.`
  );
}

/** The widest hardware write lane that serves a lane of the memory; null where none is set. */
function hardwareLane(plan: Plan, memory: PlanMemory): number | null {
  let widest: number | null = null;
  for (const block of plan.blocks) {
    for (const tenant of block.tenants) {
      if (tenant.memory !== memory.name) continue;
      const lane = tenant.lane ?? parseShape(tenant.shape)?.width ?? null;
      if (lane !== null && (widest === null || lane > widest)) widest = lane;
    }
  }
  return widest;
}
