/**
 * Hand-built devices and plans for the tests of the checker. All data here is invented; every figure of waste is
 * worked out by hand in the comment beside it, never by the code under test.
 */
import {
  type BlockKind,
  type BlockShape,
  type Device,
  type Layout,
  type MemoryRequest,
  memoryRequest,
  type Plan,
  type PlanBlock,
  type Tenant,
  type Waste,
} from "../../src/model/index.js";

/** A legal plan with what it serves and what it is for. */
export interface Case {
  readonly name: string;
  readonly device: Device;
  readonly requests: readonly MemoryRequest[];
  readonly plan: Plan;
  /** Of the design; left out where it is not known. */
  readonly clockMHz?: number;
}

const shape = (depth: number, width: number, family: string, lanes: readonly number[] = []): BlockShape => ({
  depth,
  width,
  family,
  lanes,
});

const common: Omit<BlockKind, "name" | "bits" | "shapes" | "pool" | "units"> = {
  mixedWidths: { "simple-dual": true, "true-dual": true },
  fixedSideWidths: [],
  asynchronousRead: false,
  initialContents: true,
  clocks: 2,
  outputRegister: "optional",
  readDuringWrite: { samePort: ["old"], otherPort: ["undefined"] },
  maxClockMHz: null,
  freeCascade: [],
};

function ramKind(name: string, scale: 1 | 2): BlockKind {
  const narrow = [
    shape(16384 * scale, 1, "even"),
    shape(8192 * scale, 2, "even"),
    shape(4096 * scale, 4, "even"),
    shape(2048 * scale, 9, "nine"),
    shape(1024 * scale, 18, "nine", [9]),
    ...(scale === 2 ? [shape(1024, 36, "nine", [9])] : []),
  ];
  return {
    ...common,
    name,
    bits: 18432 * scale,
    shapes: {
      single: narrow,
      "simple-dual": [...narrow, shape(512, 36 * scale, "nine", [9])],
      "true-dual": narrow,
    },
    pool: "RAM",
    units: scale,
  };
}

/** Invented: RAM blocks that split in halves, BIG blocks of one shape, small blocks that read asynchronously. */
export const device: Device = {
  name: "test-part",
  family: "test",
  part: "T1",
  blocks: [
    ramKind("half", 1),
    ramKind("whole", 2),
    {
      ...common,
      name: "big",
      bits: 294912,
      shapes: {
        single: [shape(4096, 72, "nine", [9])],
        "simple-dual": [],
        "true-dual": [shape(4096, 72, "nine", [9])],
      },
      mixedWidths: { "simple-dual": false, "true-dual": false },
      initialContents: false,
      clocks: 1,
      pool: "BIG",
      units: 1,
    },
    {
      ...common,
      name: "quick",
      bits: 768,
      shapes: { single: [], "simple-dual": [shape(64, 12, "twelve")], "true-dual": [] },
      asynchronousRead: true,
      pool: "QUICK",
      units: 1,
    },
  ],
  pools: [
    { name: "RAM", blocks: 10, unitsPerBlock: 2 },
    { name: "BIG", blocks: 4, unitsPerBlock: 1 },
    { name: "QUICK", blocks: 20, unitsPerBlock: 1 },
  ],
  lutMemory: {
    name: "LUT memory",
    shapes: [{ depth: 64, width: 1, arrangement: "simple-dual", luts: 2 }],
    count: 100,
  },
  logic: { unit: "LUT6", inputs: 6, count: 1000, multiplexers: [{ inputs: 4, luts: 1, levels: 1 }] },
};

/** A tenant at word 0, bit 0 of its block, instance 0, copy 0, without lane or inversion, unless said otherwise. */
export function tenant(
  fields: Pick<Tenant, "memory" | "rows" | "bits" | "ports" | "shape"> & Partial<Tenant>,
): Tenant {
  return {
    instance: 0,
    copy: 0,
    turns: fields.ports.map(() => 1),
    lane: null,
    inverted: false,
    word: 0,
    runs: [{ bits: fields.bits, at: 0 }],
    ...fields,
  };
}

/** A layout of all instances in RAM, one copy, the request's own words, no logic, unless said otherwise. */
export function layout(request: MemoryRequest, fields: Partial<Layout> & Pick<Layout, "tiles">): Layout {
  return {
    instances: [0, request.instances - 1],
    realisation: "one-copy",
    home: "RAM",
    copies: 1,
    pump: 1,
    stored: { depth: request.depth, width: request.width },
    cascade: 1,
    luts: 0,
    lutMemory: 0,
    registers: 0,
    ...fields,
  };
}

/** What {@link planOf} needs to know of one memory; the figures are worked out by hand. */
export interface MemoryParts {
  readonly request: MemoryRequest;
  readonly layouts: readonly Layout[];
  readonly blocks: Readonly<Record<string, number>>;
  readonly requestedBits: number;
  readonly waste?: Partial<Waste>;
  readonly luts?: number;
  readonly registers?: number;
}

/** A plan block; not pumped unless said otherwise. */
type BlockParts = Omit<PlanBlock, "pump"> & Partial<Pick<PlanBlock, "pump">>;

const sum = <T>(list: readonly T[], value: (item: T) => number) =>
  list.reduce((s, item) => s + value(item), 0);

/** A plan from its parts; only sums over the memories are worked out here. */
export function planOf(parts: {
  readonly memories: readonly MemoryParts[];
  readonly blocks: readonly BlockParts[];
  readonly used: Readonly<Record<string, number>>;
  readonly blockBits: number;
  readonly floor: Readonly<Record<string, number>>;
  readonly available?: Readonly<Record<string, number>>;
  readonly over?: Readonly<Record<string, number>>;
  readonly logicBits?: number;
  readonly lutMemory?: number;
}): Plan {
  const wasteOf = (waste: Partial<Waste> = {}): Waste => ({
    replication: 0,
    widthPadding: 0,
    depthPadding: 0,
    unreachable: 0,
    ...waste,
  });
  const bits = (waste: Waste) =>
    waste.replication + waste.widthPadding + waste.depthPadding + waste.unreachable;
  const memories = parts.memories.map(
    ({ request, layouts, blocks, requestedBits, waste, luts, registers }) => ({
      name: request.name,
      structure: request.structure,
      depth: request.depth,
      width: request.width,
      ports: request.ports,
      lane: request.lane,
      instances: request.instances,
      copies: Math.max(...layouts.map(({ copies }) => copies)),
      realisation: layouts[0]!.realisation,
      blocks,
      requestedBits,
      wastedBits: bits(wasteOf(waste)),
      waste: wasteOf(waste),
      cascade: Math.max(...layouts.map(({ cascade }) => cascade)),
      luts: luts ?? 0,
      registers: registers ?? 0,
      layouts,
    }),
  );
  const requestedBits = sum(memories, (memory) => memory.requestedBits);
  const over = parts.over ?? {};
  return {
    format: "ramtailor-plan/1",
    design: "test",
    device: device.name,
    status: Object.keys(over).length > 0 ? "over-budget" : "optimal",
    totals: {
      blocks: parts.used,
      available: parts.available ?? { RAM: 10, BIG: 4, QUICK: 20 },
      over,
      requestedBits,
      blockBits: parts.blockBits,
      wastedBits: sum(memories, (memory) => memory.wastedBits),
      waste: {
        replication: sum(memories, ({ waste }) => waste.replication),
        widthPadding: sum(memories, ({ waste }) => waste.widthPadding),
        depthPadding: sum(memories, ({ waste }) => waste.depthPadding),
        unreachable: sum(memories, ({ waste }) => waste.unreachable),
      },
      efficiency: parts.blockBits === 0 ? 1 : requestedBits / parts.blockBits,
      floorBlocks: parts.floor,
      logicBits: parts.logicBits ?? 0,
      luts: sum(memories, ({ luts }) => luts),
      lutsAvailable: 1000,
      lutMemory: parts.lutMemory ?? 0,
      lutMemoryAvailable: 100,
      registers: sum(memories, ({ registers }) => registers),
    },
    objective: { value: 7, bound: 7, proven: true, nothingFits: false, lutsBound: null },
    memories,
    blocks: parts.blocks.map((block) => ({ pump: 1, ...block })),
    warnings: [],
    solver: { engine: "by hand", milliseconds: 0 },
  };
}

const ports = (read: number, write: number, readWrite: number) => ({ read, write, readWrite });
const HALF_18 = { kind: "half", shape: "1024x18" };

/** One tile that fills its block: no waste. */
export function oneTile(): Case {
  const request = memoryRequest({ name: "m", depth: 1024, width: 18, ports: ports(1, 1, 0) });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [layout(request, { tiles: [{ ...HALF_18, count: 1, deep: 1 }] })],
        blocks: { RAM: 0.5 },
        requestedBits: 18432,
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "simple-dual",
        repeat: 1,
        tenants: [
          tenant({ memory: "m", rows: [0, 1023], bits: [0, 17], ports: ["A", "B"], shape: "1024x18" }),
        ],
      },
    ],
    used: { RAM: 0.5 },
    blockBits: 18432,
    floor: { RAM: 1 },
  });
  return { name: "one tile", device, requests: [request], plan };
}

/** Two columns, 8-bit lanes in 9-bit hardware lanes. */
export function lanes(): Case {
  const request = memoryRequest({ name: "m", depth: 1000, width: 32, ports: ports(0, 0, 1), lane: 8 });
  const column = (id: string, first: number): BlockParts => ({
    id,
    kind: "half",
    arrangement: "single",
    repeat: 1,
    tenants: [
      tenant({
        memory: "m",
        rows: [0, 999],
        bits: [first, first + 15],
        ports: ["A"],
        shape: "1024x18",
        lane: 9,
        runs: [
          { bits: [first, first + 7], at: 0 },
          { bits: [first + 8, first + 15], at: 9 },
        ],
      }),
    ],
  });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [layout(request, { tiles: [{ ...HALF_18, count: 2, deep: 1 }] })],
        blocks: { RAM: 1 },
        requestedBits: 32000,
        // Width: 2 columns x 1000 rows x 2 bits. Depth: 2 columns x 24 words x 18 bits.
        waste: { widthPadding: 4000, depthPadding: 864 },
      },
    ],
    blocks: [column("b1", 0), column("b2", 16)],
    used: { RAM: 1 },
    blockBits: 36864,
    floor: { RAM: 1 },
  });
  return { name: "columns with lanes", device, requests: [request], plan };
}

/** Two depth slabs of different shapes. */
export function slabs(): Case {
  const request = memoryRequest({ name: "m", depth: 3000, width: 9, ports: ports(0, 0, 1) });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [
          layout(request, {
            tiles: [
              { kind: "half", shape: "2048x9", count: 1, deep: 1 },
              { ...HALF_18, count: 1, deep: 1 },
            ],
            cascade: 2,
            luts: 5,
          }),
        ],
        blocks: { RAM: 1 },
        requestedBits: 27000,
        // The second slab holds 952 rows: width 952 x 9, depth 72 x 18.
        waste: { widthPadding: 8568, depthPadding: 1296 },
        luts: 5,
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "single",
        repeat: 1,
        tenants: [tenant({ memory: "m", rows: [0, 2047], bits: [0, 8], ports: ["A"], shape: "2048x9" })],
      },
      {
        id: "b2",
        kind: "half",
        arrangement: "true-dual",
        repeat: 1,
        tenants: [tenant({ memory: "m", rows: [2048, 2999], bits: [0, 8], ports: ["B"], shape: "1024x18" })],
      },
    ],
    used: { RAM: 1 },
    blockBits: 36864,
    floor: { RAM: 1 },
  });
  return { name: "slabs of two shapes", device, requests: [request], plan };
}

/** Two memories behind the two ports of one block, at unequal widths, the second from the top down. */
export function sharedBlock(): Case {
  const p = memoryRequest({ name: "p", depth: 600, width: 18, ports: ports(0, 0, 1) });
  const q = memoryRequest({ name: "q", depth: 800, width: 9, ports: ports(1, 0, 0) });
  const plan = planOf({
    memories: [
      {
        request: p,
        layouts: [layout(p, { tiles: [{ ...HALF_18, count: 1, deep: 1 }] })],
        blocks: { RAM: 0.3 },
        requestedBits: 10800,
        // 18432 - 10800 - 7200 = 432 cells, shared 10800 : 7200 = 259.2 : 172.8.
        waste: { depthPadding: 259 },
      },
      {
        request: q,
        layouts: [layout(q, { tiles: [{ kind: "half", shape: "2048x9", count: 1, deep: 1 }] })],
        blocks: { RAM: 0.2 },
        requestedBits: 7200,
        waste: { depthPadding: 173 },
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "true-dual",
        repeat: 1,
        tenants: [
          tenant({ memory: "p", rows: [0, 599], bits: [0, 17], ports: ["A"], shape: "1024x18" }),
          tenant({
            memory: "q",
            rows: [0, 799],
            bits: [0, 8],
            ports: ["B"],
            shape: "2048x9",
            inverted: true,
            word: 2047,
          }),
        ],
      },
    ],
    used: { RAM: 0.5 },
    blockBits: 18432,
    floor: { RAM: 1 },
  });
  return { name: "shared block", device, requests: [p, q], plan };
}

/** A block for each copy of a memory that fills it. */
function copiesOf(
  request: MemoryRequest,
  realisation: Layout["realisation"],
  shapeText: string,
  portsOfCopy: readonly Tenant["ports"][],
  arrangement: PlanBlock["arrangement"],
): Plan {
  const copies = portsOfCopy.length;
  return planOf({
    memories: [
      {
        request,
        layouts: [
          layout(request, {
            realisation,
            copies,
            tiles: [{ kind: "half", shape: shapeText, count: copies, deep: 1 }],
          }),
        ],
        blocks: { RAM: copies / 2 },
        requestedBits: 18432,
        waste: { replication: (copies - 1) * 18432 },
      },
    ],
    blocks: portsOfCopy.map((used, copy) => ({
      id: `b${copy}`,
      kind: "half",
      arrangement,
      repeat: 1,
      tenants: [
        tenant({
          memory: request.name,
          copy,
          rows: [0, request.depth - 1],
          bits: [0, request.width - 1],
          ports: used,
          shape: shapeText,
        }),
      ],
    })),
    used: { RAM: copies / 2 },
    blockBits: copies * 18432,
    floor: { RAM: 1 },
  });
}

/** A ROM of three reads: one copy serves two, the other one. */
export function romReads(): Case {
  const request = memoryRequest({ name: "m", depth: 1024, width: 18, ports: ports(3, 0, 0) });
  const plan = copiesOf(request, "replication", "1024x18", [["A", "B"], ["A"]], "true-dual");
  return { name: "ROM of three reads", device, requests: [request], plan };
}

/** Two reads, one write: two copies. */
export function replication(): Case {
  const request = memoryRequest({ name: "m", depth: 512, width: 36, ports: ports(2, 1, 0) });
  const both: Tenant["ports"] = ["A", "B"];
  const plan = copiesOf(request, "replication", "512x36", [both, both], "simple-dual");
  return { name: "replication", device, requests: [request], plan };
}

/** A read-write port and two reads: two true dual port copies. */
export function dualPortReplication(): Case {
  const request = memoryRequest({ name: "m", depth: 1024, width: 18, ports: ports(2, 0, 1) });
  const both: Tenant["ports"] = ["A", "B"];
  const plan = copiesOf(request, "dual-port-replication", "1024x18", [both, both], "true-dual");
  return { name: "dual port replication", device, requests: [request], plan };
}

/** Two reads, two writes by a live-value table: four copies. */
export function liveValueTable(): Case {
  const request = memoryRequest({ name: "m", depth: 512, width: 36, ports: ports(2, 2, 0) });
  const both: Tenant["ports"] = ["A", "B"];
  const plan = copiesOf(request, "live-value-table", "512x36", [both, both, both, both], "simple-dual");
  return { name: "live-value table", device, requests: [request], plan };
}

/** Two reads, two writes by exclusive-or: 2 x 1 + 2 x 2 copies. */
export function exclusiveOr(): Case {
  const request = memoryRequest({ name: "m", depth: 512, width: 36, ports: ports(2, 2, 0) });
  const both: Tenant["ports"] = ["A", "B"];
  const plan = copiesOf(
    request,
    "exclusive-or",
    "512x36",
    [both, both, both, both, both, both],
    "simple-dual",
  );
  return { name: "exclusive-or", device, requests: [request], plan };
}

/** Two lockstep members side by side, written apart: each has its own hardware lanes. Two group copies, folded. */
export function lockstep(): Case {
  const group = { group: "ways", members: 1, together: false };
  const tag = memoryRequest({
    name: "tag",
    depth: 500,
    width: 12,
    ports: ports(0, 0, 1),
    instances: 2,
    lockstep: group,
  });
  const valid = memoryRequest({ ...tag, name: "valid", width: 4 });
  const tiles = [{ kind: "half", shape: "512x36", count: 1, deep: 1 }];
  const plan = planOf({
    memories: [
      {
        request: tag,
        layouts: [layout(tag, { tiles })],
        // Extents 500 x 18 and 500 x 9 of two half blocks.
        blocks: { RAM: 0.667 },
        requestedBits: 12000,
        // A block: own width 500 x (18 - 12); free 500 x 9, of which 3000; depth 12 x 36 = 432, of which 288.
        waste: { widthPadding: 12000, depthPadding: 576 },
      },
      {
        request: valid,
        layouts: [layout(valid, { tiles })],
        blocks: { RAM: 0.333 },
        requestedBits: 4000,
        // A block: own width 500 x (9 - 4); free 1500; depth 144.
        waste: { widthPadding: 8000, depthPadding: 288 },
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "simple-dual",
        repeat: 2,
        tenants: [
          tenant({
            memory: "tag",
            rows: [0, 499],
            bits: [0, 11],
            ports: ["A", "B"],
            shape: "512x36",
            lane: 9,
          }),
          tenant({
            memory: "valid",
            rows: [0, 499],
            bits: [0, 3],
            ports: ["A", "B"],
            shape: "512x36",
            lane: 9,
            runs: [{ bits: [0, 3], at: 18 }],
          }),
        ],
      },
    ],
    used: { RAM: 1 },
    blockBits: 36864,
    floor: { RAM: 1 },
  });
  return { name: "lockstep", device, requests: [tag, valid], plan };
}

/** Two exclusive members stacked behind one port. Two group copies, folded. */
export function exclusive(): Case {
  const group = { group: "phase", members: 1 };
  const a = memoryRequest({
    name: "a",
    depth: 300,
    width: 18,
    ports: ports(0, 0, 1),
    instances: 2,
    exclusive: group,
  });
  const b = memoryRequest({ ...a, name: "b", depth: 400 });
  const tiles = [{ ...HALF_18, count: 1, deep: 1 }];
  const plan = planOf({
    memories: [
      {
        request: a,
        layouts: [layout(a, { tiles })],
        // Extents 5400 and 7200 of two half blocks.
        blocks: { RAM: 0.429 },
        requestedBits: 10800,
        // A block: 18432 - 12600 = 5832, shared 3 : 4 = 2499.4 : 3332.6.
        waste: { depthPadding: 4998 },
        luts: 10,
      },
      {
        request: b,
        layouts: [layout(b, { tiles })],
        blocks: { RAM: 0.571 },
        requestedBits: 14400,
        waste: { depthPadding: 6666 },
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "single",
        repeat: 2,
        tenants: [
          tenant({ memory: "a", rows: [0, 299], bits: [0, 17], ports: ["A"], shape: "1024x18" }),
          tenant({ memory: "b", rows: [0, 399], bits: [0, 17], ports: ["A"], shape: "1024x18", word: 300 }),
        ],
      },
    ],
    used: { RAM: 1 },
    blockBits: 36864,
    floor: { RAM: 1 },
  });
  return { name: "exclusive", device, requests: [a, b], plan };
}

/** A write side four words wide: once by the block's own unequal ports. */
export function mixedPorts(): Case {
  const request = memoryRequest({
    name: "m",
    depth: 2048,
    width: 9,
    ports: ports(1, 1, 0),
    clocks: 2,
    wordsPerAccess: { read: 1, write: 4 },
  });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [layout(request, { tiles: [{ kind: "half", shape: "2048x9", count: 1, deep: 1 }] })],
        blocks: { RAM: 0.5 },
        requestedBits: 18432,
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "simple-dual",
        repeat: 1,
        tenants: [tenant({ memory: "m", rows: [0, 2047], bits: [0, 8], ports: ["A", "B"], shape: "2048x9" })],
      },
    ],
    used: { RAM: 0.5 },
    blockBits: 18432,
    floor: { RAM: 1 },
  });
  return { name: "mixed ports", device, requests: [request], plan };
}

/** A read side four words wide, stored as wide words; each narrow write has its own hardware lane. */
export function wideWord(): Case {
  const request = memoryRequest({
    name: "m",
    depth: 2048,
    width: 8,
    ports: ports(1, 1, 0),
    wordsPerAccess: { read: 4, write: 1 },
  });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [
          layout(request, {
            stored: { depth: 512, width: 32 },
            tiles: [{ kind: "half", shape: "512x36", count: 1, deep: 1 }],
          }),
        ],
        blocks: { RAM: 0.5 },
        requestedBits: 16384,
        // 512 rows x 4 bits.
        waste: { widthPadding: 2048 },
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "simple-dual",
        repeat: 1,
        tenants: [
          tenant({
            memory: "m",
            rows: [0, 511],
            bits: [0, 31],
            ports: ["A", "B"],
            shape: "512x36",
            lane: 9,
            runs: [0, 1, 2, 3].map((word) => ({ bits: [word * 8, word * 8 + 7] as const, at: word * 9 })),
          }),
        ],
      },
    ],
    used: { RAM: 0.5 },
    blockBits: 18432,
    floor: { RAM: 1 },
  });
  return { name: "wide word", device, requests: [request], plan };
}

/** A million instances in two layouts, each one folded block, and more blocks than the part has. */
export function million(): Case {
  const request = memoryRequest({
    name: "m",
    depth: 4096,
    width: 4,
    ports: ports(0, 0, 1),
    instances: 1_000_000,
  });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [
          layout(request, {
            instances: [0, 399_999],
            tiles: [{ kind: "half", shape: "4096x4", count: 1, deep: 1 }],
          }),
          layout(request, {
            instances: [400_000, 999_999],
            home: "BIG",
            tiles: [{ kind: "big", shape: "4096x72", count: 1, deep: 1 }],
          }),
        ],
        blocks: { RAM: 200_000, BIG: 600_000 },
        requestedBits: 16_384_000_000,
        // A half block: 18432 - 16384 = 2048 unreachable. A big one: 4096 x 68 = 278528 width.
        waste: { unreachable: 2048 * 400_000, widthPadding: 278_528 * 600_000 },
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "single",
        repeat: 400_000,
        tenants: [tenant({ memory: "m", rows: [0, 4095], bits: [0, 3], ports: ["A"], shape: "4096x4" })],
      },
      {
        id: "b2",
        kind: "big",
        arrangement: "true-dual",
        repeat: 600_000,
        tenants: [
          tenant({
            memory: "m",
            instance: 400_000,
            rows: [0, 4095],
            bits: [0, 3],
            ports: ["A"],
            shape: "4096x72",
          }),
        ],
      },
    ],
    used: { RAM: 200_000, BIG: 600_000 },
    blockBits: 18432 * 400_000 + 294_912 * 600_000,
    // 16384 x 400000 over 36864, rounded up; 16384 x 600000 over 294912, rounded up.
    floor: { RAM: 177_778, BIG: 33_334 },
    over: { RAM: 199_990, BIG: 599_996 },
  });
  return { name: "a million instances", device, requests: [request], plan };
}

/** One memory in LUT memory, one in registers, and one that reads asynchronously in a block. */
export function outsideBlocks(): Case {
  const lut = memoryRequest({ name: "lut", depth: 64, width: 8, ports: ports(1, 1, 0), read: "async" });
  const registers = memoryRequest({
    name: "registers",
    depth: 4,
    width: 4,
    ports: ports(4, 2, 0),
    instances: 3,
  });
  const quick = memoryRequest({ name: "quick", depth: 64, width: 12, ports: ports(1, 1, 0), read: "async" });
  const logic = { tiles: [], cascade: 0 };
  const plan = planOf({
    memories: [
      {
        request: lut,
        layouts: [layout(lut, { ...logic, realisation: "lut-memory", home: "LUT", luts: 18, lutMemory: 16 })],
        blocks: {},
        requestedBits: 0,
        luts: 18,
      },
      {
        request: registers,
        layouts: [
          layout(registers, {
            ...logic,
            realisation: "registers",
            home: "registers",
            luts: 20,
            registers: 16,
          }),
        ],
        blocks: {},
        requestedBits: 0,
        luts: 60,
        registers: 48,
      },
      {
        request: quick,
        layouts: [
          layout(quick, { home: "QUICK", tiles: [{ kind: "quick", shape: "64x12", count: 1, deep: 1 }] }),
        ],
        blocks: { QUICK: 1 },
        requestedBits: 768,
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "quick",
        arrangement: "simple-dual",
        repeat: 1,
        tenants: [
          tenant({ memory: "quick", rows: [0, 63], bits: [0, 11], ports: ["A", "B"], shape: "64x12" }),
        ],
      },
    ],
    used: { QUICK: 1 },
    blockBits: 768,
    floor: { QUICK: 1 },
    logicBits: 64 * 8 + 4 * 4 * 3,
    lutMemory: 16,
  });
  return { name: "outside blocks", device, requests: [lut, registers, quick], plan };
}

/** The device with blocks of at most 200 MHz. */
const clocked: Device = {
  ...device,
  blocks: device.blocks.map((kind) => ({ ...kind, maxClockMHz: 200 })),
};

/** Four reads, two writes from two copies at twice the clock: each copy takes both writes and two reads. */
export function pumpedCopies(): Case {
  const request = memoryRequest({ name: "m", depth: 512, width: 36, ports: ports(4, 2, 0), pump: 2 });
  const plan = planOf({
    memories: [
      {
        request,
        layouts: [
          layout(request, {
            realisation: "pumped",
            copies: 2,
            pump: 2,
            tiles: [{ kind: "half", shape: "512x36", count: 2, deep: 1 }],
            luts: 11,
            registers: 146,
          }),
        ],
        blocks: { RAM: 1 },
        requestedBits: 18432,
        waste: { replication: 18432 },
        luts: 11,
        registers: 146,
      },
    ],
    blocks: [0, 1].map((copy) => ({
      id: `b${copy}`,
      kind: "half",
      arrangement: "simple-dual",
      pump: 2,
      repeat: 1,
      tenants: [
        tenant({
          memory: "m",
          copy,
          rows: [0, 511],
          bits: [0, 35],
          ports: ["A", "B"],
          turns: [2, 2],
          shape: "512x36",
        }),
      ],
    })),
    used: { RAM: 1 },
    blockBits: 36864,
    floor: { RAM: 1 },
  });
  return { name: "pumped copies", device: clocked, requests: [request], plan, clockMHz: 100 };
}

/** Three memories take turns at the ports of one block, one of them at both of its ports. */
export function pumpedTurns(): Case {
  const both = memoryRequest({ name: "both", depth: 500, width: 18, ports: ports(0, 0, 2), pump: 4 });
  const one = memoryRequest({ name: "one", depth: 250, width: 18, ports: ports(0, 0, 1), pump: 2 });
  const rom = memoryRequest({
    ...one,
    name: "rom",
    depth: 255,
    ports: ports(1, 0, 0),
    initialContents: true,
  });
  const tiles = [{ ...HALF_18, count: 1, deep: 1 }];
  const pumped = { realisation: "pumped", pump: 2, tiles } as const;
  // Extents 9000, 4500, 4590; 18432 - 18090 = 342 cells, shared as 170.1, 85.1, 86.8.
  const plan = planOf({
    memories: [
      {
        request: both,
        layouts: [layout(both, pumped)],
        blocks: { RAM: 0.249 },
        requestedBits: 9000,
        waste: { depthPadding: 170 },
      },
      {
        request: one,
        layouts: [layout(one, pumped)],
        blocks: { RAM: 0.124 },
        requestedBits: 4500,
        waste: { depthPadding: 85 },
      },
      {
        request: rom,
        layouts: [layout(rom, pumped)],
        blocks: { RAM: 0.127 },
        requestedBits: 4590,
        waste: { depthPadding: 87 },
      },
    ],
    blocks: [
      {
        id: "b1",
        kind: "half",
        arrangement: "true-dual",
        pump: 2,
        repeat: 1,
        tenants: [
          tenant({
            memory: "both",
            rows: [0, 499],
            bits: [0, 17],
            ports: ["A", "B"],
            turns: [1, 1],
            shape: "1024x18",
          }),
          tenant({
            memory: "one",
            rows: [0, 249],
            bits: [0, 17],
            ports: ["A"],
            shape: "1024x18",
            word: 512,
          }),
          tenant({
            memory: "rom",
            rows: [0, 254],
            bits: [0, 17],
            ports: ["B"],
            shape: "1024x18",
            word: 768,
          }),
        ],
      },
    ],
    used: { RAM: 0.5 },
    blockBits: 18432,
    floor: { RAM: 1 },
  });
  return { name: "turns at one block", device: clocked, requests: [both, one, rom], plan, clockMHz: 100 };
}

/** Every legal plan above. */
export const cases: readonly Case[] = [
  oneTile(),
  lanes(),
  slabs(),
  sharedBlock(),
  romReads(),
  replication(),
  dualPortReplication(),
  liveValueTable(),
  exclusiveOr(),
  lockstep(),
  exclusive(),
  mixedPorts(),
  wideWord(),
  million(),
  outsideBlocks(),
  pumpedCopies(),
  pumpedTurns(),
];
