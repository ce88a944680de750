import { type MemoryRequest, memoryRequest, parsePorts, portTotal } from "../../src/model/index.js";
import type { Random } from "./random.js";

/**
 * The memories of an invented system around soft processors: what its caches, predictors, queues, register files,
 * line buffers, tables and scratchpads ask for. All figures are invented.
 */

/** Depths are drawn at nominal size and multiplied by `scale`, so that a system can be fitted to a part. */
interface Draw {
  readonly random: Random;
  readonly scale: number;
  /** Depth from `min` to `max` words at scale 1, at least 2. */
  words(min: number, max: number): number;
  /** The same, rounded to a power of two. */
  powerOfTwo(min: number, max: number): number;
}

/** One part of a system: one memory, or the members of a group. Names are given later. */
type Part = readonly MemoryRequest[];

function one(fields: Omit<Parameters<typeof memoryRequest>[0], "name" | "ports">, ports: string): Part {
  return [memoryRequest({ ...fields, name: "", ports: parsePorts(ports)! })];
}

/** Instances of a memory: mostly one, else one a core. */
function cores(random: Random): number {
  return random.chance(60) ? 1 : random.int(2, 8);
}

/** Tags and data of a set-associative cache; the ways see one address. */
function cache({ random, powerOfTwo }: Draw): Part {
  const ways = random.pick([1, 2, 4]);
  const sets = powerOfTwo(32, 512);
  const copies = random.chance(70) ? 1 : random.int(2, 4);
  const beats = random.pick([2, 4, 8]);
  const width = random.pick([32, 64]);
  const ports = parsePorts(random.chance(70) ? "1rw" : "1r1w")!;
  const group = `cache${random.int(0, 1_000_000_000)}`;
  const tags = memoryRequest({
    name: "",
    depth: sets,
    width: random.int(17, 26),
    ports,
    instances: ways * copies,
  });
  const state = memoryRequest({ name: "", depth: sets, width: random.int(2, 6), ports, instances: copies });
  const data = memoryRequest({
    name: "",
    depth: sets * beats,
    width,
    ports,
    lane: random.chance(75) ? 8 : null,
    instances: ways * copies,
  });
  const together = (request: MemoryRequest, members: number): MemoryRequest => ({
    ...request,
    lockstep: { group, members, together: false },
  });
  const tagged = ways > 1 ? [together(tags, ways), together(state, 1)] : [tags, state];
  return [...tagged, data];
}

/** Buffers of phases that never run at one time, each of one port. */
function phases({ random, words }: Draw): Part {
  const group = `phases${random.int(0, 1_000_000_000)}`;
  const count = random.int(2, 3);
  return Array.from({ length: count }, () =>
    memoryRequest({
      name: "",
      depth: words(64, 1500),
      width: random.int(4, 36),
      ports: parsePorts("1rw")!,
      exclusive: { group, members: 1 },
    }),
  );
}

/** A queue whose two sides have different widths. */
function gearbox({ random, words }: Draw): Part {
  const ratio = random.pick([2, 4]);
  const depth = Math.max(1, Math.round(words(128, 4096) / ratio)) * ratio;
  const width = random.pick([8, 9, 16, 18]);
  const wordsPerAccess = random.chance(50) ? { read: ratio, write: 1 } : { read: 1, write: ratio };
  return one({ depth, width, wordsPerAccess, instances: cores(random) }, "1r1w");
}

/** Kinds of parts and how often each comes up, of 100. */
const PARTS: readonly (readonly [weight: number, make: (draw: Draw) => Part])[] = [
  [12, cache],
  [3, phases],
  [4, gearbox],
  // Direction predictors: counters.
  [
    7,
    ({ random, powerOfTwo }) =>
      one({ depth: powerOfTwo(512, 8192), width: 2, instances: cores(random) }, "1r1w"),
  ],
  // Tagged predictors and branch targets.
  [7, ({ random, powerOfTwo }) => one({ depth: powerOfTwo(64, 1024), width: random.int(11, 60) }, "1r1w")],
  // Queues.
  [
    12,
    ({ random, words }) =>
      one(
        {
          depth: words(16, 2048),
          width: random.int(8, 72),
          clocks: random.chance(20) ? 2 : 1,
          instances: cores(random),
        },
        "1r1w",
      ),
  ],
  // Register files.
  [
    7,
    ({ random }) =>
      one(
        {
          depth: random.pick([16, 32, 64]),
          width: random.pick([32, 64]),
          read: random.chance(25) ? "async" : "sync",
          instances: cores(random),
        },
        random.pick(["2r1w", "2r1w", "3r1w", "2r2w"]),
      ),
  ],
  // Lines of an image.
  [7, ({ random, words }) => one({ depth: words(320, 3840), width: random.int(8, 24) }, "1r1w")],
  // Scratchpads with bytes.
  [
    9,
    ({ random, words }) =>
      one(
        { depth: words(512, 16384), width: random.pick([32, 64]), lane: 8, instances: cores(random) },
        random.pick(["1rw", "1rw", "1r1w"]),
      ),
  ],
  // Tables of one port, which can share a block.
  [
    20,
    ({ random, words }) =>
      one({ depth: words(48, 3000), width: random.int(3, 40), instances: cores(random) }, "1rw"),
  ],
  // ROMs.
  [
    7,
    ({ random, words }) =>
      one({ depth: words(64, 4096), width: random.int(8, 36) }, random.pick(["1r", "1r", "2r"])),
  ],
  // Mailboxes between two masters.
  [
    5,
    ({ random, powerOfTwo }) =>
      one(
        { depth: powerOfTwo(128, 1024), width: random.pick([16, 32]), lane: random.chance(50) ? 8 : null },
        "2rw",
      ),
  ],
];

const WEIGHTS = PARTS.reduce((sum, [weight]) => sum + weight, 0);

/** What a system is made of. */
export interface MemoryMix {
  /** Distinct memories. */
  readonly count: number;
  /** Multiplies the depths. */
  readonly scale: number;
  /** Whether ports that block RAM of this device cannot serve in one block (two read-write ports) come up. */
  readonly twoPorts: boolean;
  /** Whether small memories are read asynchronously now and then. */
  readonly asynchronous: boolean;
  /** Deepest memory in words. */
  readonly deepest: number;
}

/** Exactly `count` memories with names of their own. */
export function memoriesOf(
  random: Random,
  { count, scale, twoPorts, asynchronous, deepest }: MemoryMix,
): MemoryRequest[] {
  const words = (min: number, max: number) =>
    Math.min(deepest, Math.max(2, Math.round(random.spread(min, max) * scale)));
  const draw: Draw = {
    random,
    scale,
    words,
    powerOfTwo: (min, max) => 2 ** Math.round(Math.log2(words(min, max))),
  };
  const found: MemoryRequest[] = [];
  while (found.length < count) {
    let ticket = random.int(1, WEIGHTS);
    const [, make] = PARTS.find(([weight]) => {
      ticket -= weight;
      return ticket <= 0;
    })!;
    const part = make(draw);
    const tooMany = found.length + part.length > count;
    const unserved = !twoPorts && part.some(({ ports }) => portTotal(ports) === 2 && ports.readWrite === 2);
    if (tooMany || unserved) continue;
    for (const drawn of part) {
      const memory: MemoryRequest = asynchronous ? drawn : { ...drawn, read: "sync" };
      found.push({ ...memory, name: `m${found.length}` });
    }
  }
  return found;
}
