import type { Layout, Plan, PlanBlock, PlanMemory, Tenant } from "../../src/model/index.js";

/** Plans made by hand for report tests; the designs and the device are invented. */

const NO_WASTE = { replication: 0, widthPadding: 0, depthPadding: 0, unreachable: 0 };

export function layout(fields: Partial<Layout>): Layout {
  return {
    instances: [0, 0],
    realisation: "one-copy",
    home: "BLK",
    copies: 1,
    pump: 1,
    stored: { depth: 1024, width: 18 },
    tiles: [{ kind: "BLK", shape: "1024x18", count: 1, deep: 1 }],
    cascade: 1,
    luts: 0,
    lutMemory: 0,
    registers: 0,
    ...fields,
  };
}

export function memory(fields: Partial<PlanMemory>): PlanMemory {
  return {
    name: "store",
    structure: null,
    depth: 1024,
    width: 18,
    ports: { read: 1, write: 1, readWrite: 0 },
    lane: null,
    instances: 1,
    copies: 1,
    realisation: "one-copy",
    blocks: { BLK: 1 },
    requestedBits: 18432,
    wastedBits: 0,
    waste: NO_WASTE,
    cascade: 1,
    luts: 0,
    registers: 0,
    layouts: [layout({})],
    ...fields,
  };
}

export function tenant(fields: Partial<Tenant>): Tenant {
  return {
    memory: "store",
    instance: 0,
    copy: 0,
    rows: [0, 1023],
    bits: [0, 17],
    ports: ["A", "B"],
    turns: [1, 1],
    shape: "1024x18",
    lane: null,
    inverted: false,
    word: 0,
    runs: [{ bits: [0, 17], at: 0 }],
    ...fields,
  };
}

export function block(tenants: readonly Tenant[]): PlanBlock {
  return { id: "BLK.0", kind: "BLK", arrangement: "simple-dual", pump: 1, repeat: 1, tenants };
}

export function plan(
  fields: Omit<Partial<Plan>, "totals"> & { readonly totals?: Partial<Plan["totals"]> },
): Plan {
  return {
    format: "ramtailor-plan/1",
    design: "test-bench",
    device: "invented-18k",
    status: "optimal",
    objective: { value: 1, bound: 1, proven: true, nothingFits: false, lutsBound: null },
    memories: [memory({})],
    blocks: [block([tenant({})])],
    warnings: [],
    solver: { engine: "highs", milliseconds: 3 },
    ...fields,
    totals: {
      blocks: { BLK: 1 },
      available: { BLK: 10 },
      over: {},
      requestedBits: 18432,
      blockBits: 18432,
      wastedBits: 0,
      waste: NO_WASTE,
      efficiency: 1,
      floorBlocks: { BLK: 1 },
      logicBits: 0,
      luts: 0,
      lutsAvailable: 1000,
      lutMemory: 0,
      lutMemoryAvailable: null,
      registers: 0,
      ...fields.totals,
    },
  };
}

/** 32 words of 36 bits, read twice: two copies in blocks of 512x36. */
export const REGISTER_FILE: PlanMemory = memory({
  name: "xregs",
  structure: "register-file",
  depth: 32,
  width: 36,
  ports: { read: 2, write: 1, readWrite: 0 },
  copies: 2,
  realisation: "replication",
  blocks: { BLK: 2 },
  requestedBits: 1152,
  wastedBits: 35712,
  waste: { replication: 1152, widthPadding: 0, depthPadding: 34560, unreachable: 0 },
  layouts: [
    layout({
      realisation: "replication",
      copies: 2,
      stored: { depth: 32, width: 36 },
      tiles: [{ kind: "BLK", shape: "512x36", count: 2, deep: 1 }],
    }),
  ],
});

/** 512 words of 21 bits in one block of 512x36. */
export const TAGS: PlanMemory = memory({
  name: "l1d.tag",
  depth: 512,
  width: 21,
  requestedBits: 10752,
  wastedBits: 7680,
  waste: { replication: 0, widthPadding: 7680, depthPadding: 0, unreachable: 0 },
  layouts: [
    layout({
      stored: { depth: 512, width: 21 },
      tiles: [{ kind: "BLK", shape: "512x36", count: 1, deep: 1 }],
    }),
  ],
});

/** 3000 words of 18 bits in three blocks of 1024x18, one above the other. */
export const LOG: PlanMemory = memory({
  name: "event_log",
  depth: 3000,
  blocks: { BLK: 3 },
  requestedBits: 54000,
  wastedBits: 1296,
  waste: { replication: 0, widthPadding: 0, depthPadding: 1296, unreachable: 0 },
  cascade: 3,
  luts: 36,
  layouts: [
    layout({
      stored: { depth: 3000, width: 18 },
      tiles: [{ kind: "BLK", shape: "1024x18", count: 3, deep: 3 }],
      cascade: 3,
      luts: 36,
    }),
  ],
});

/** 1024 words of 16 bits written by bytes, in a block of 1024x18 with lanes of 9. */
export const BYTES: PlanMemory = memory({
  name: "mailbox",
  width: 16,
  lane: 8,
  requestedBits: 16384,
  wastedBits: 2048,
  waste: { replication: 0, widthPadding: 2048, depthPadding: 0, unreachable: 0 },
  layouts: [layout({ stored: { depth: 1024, width: 16 } })],
});
