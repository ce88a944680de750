/** Memories of several ports made of block copies: published copy counts, through the packer. */
import { describe, expect, test } from "vitest";
import { findDevice } from "../../src/input/index.js";
import { type Design, memoryRequest, type Plan, type Realisation } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { designOf } from "../support/random-designs.js";

/** A memory that fills one block of the device in its widest simple dual port shape. */
interface OneBlock {
  readonly device: string;
  readonly pool: string;
  readonly depth: number;
  readonly width: number;
  /** What one such block counts. */
  readonly blocks: number;
}

const ECP5: OneBlock = { device: "ecp5-85f", pool: "EBR", depth: 512, width: 36, blocks: 1 };

const DEVICES: readonly OneBlock[] = [
  ECP5,
  { device: "xc7z020", pool: "BRAM36", depth: 512, width: 36, blocks: 0.5 },
  { device: "mpf300t", pool: "LSRAM", depth: 512, width: 40, blocks: 1 },
  { device: "10ax115", pool: "M20K", depth: 512, width: 40, blocks: 1 },
];

function multiPort(one: OneBlock, read: number, write: number, realisation: Realisation): Design {
  const { depth, width, pool } = one;
  const homes = realisation === "registers" ? null : [pool];
  return designOf([
    memoryRequest({ name: "m", depth, width, ports: { read, write, readWrite: 0 }, realisation, homes }),
  ]);
}

async function packed(one: OneBlock, read: number, write: number, realisation: Realisation) {
  const plan = await pack(multiPort(one, read, write, realisation), findDevice(one.device));
  return { plan, memory: plan.memories[0]! };
}

/** Copies that hold a place in some block. */
function copiesPlaced(plan: Plan): number {
  return new Set(plan.blocks.flatMap(({ tenants }) => tenants.map(({ copy }) => copy))).size;
}

describe.each(DEVICES)("on $device, a copy in one block of $depth x $width", (one) => {
  // Live-value table m n: LaForest & Steffan, Efficient multi-ported memories for FPGAs, FPGA 2010. Exclusive-or
  // m (m - 1 + n): LaForest, Liu, Rapati & Steffan, Multi-ported memories for FPGAs via XOR, FPGA 2012. The formulas
  // are from memory; the products were recomputed.
  const table: readonly [number, number, number, number][] = [
    [2, 1, 2, 4],
    [2, 2, 4, 6],
    [2, 4, 8, 10],
    [3, 6, 18, 24],
    [4, 8, 32, 44],
  ];
  test.each(table)(
    "%i writes, %i reads: live-value table %i copies, exclusive-or %i",
    async (m, n, lvt, xor) => {
      for (const [realisation, copies] of [
        ["live-value-table", lvt],
        ["exclusive-or", xor],
      ] as const) {
        const { plan, memory } = await packed(one, n, m, realisation);
        expect(memory).toMatchObject({ realisation, copies, blocks: { [one.pool]: copies * one.blocks } });
        expect(copiesPlaced(plan)).toBe(copies);
        expect(plan.totals.blocks[one.pool]).toBe(copies * one.blocks);
        expect(plan.status).toBe("optimal");
      }
    },
  );

  // One copy for each read port: the same papers; read in a public article, Building Multiport Memories with
  // Block RAMs (after LaForest et al., Composing Multi-Ported Memories on FPGAs, 2014).
  test.each([1, 2, 3, 4, 8])("one write, %i reads: a copy for each read", async (n) => {
    const { plan, memory } = await packed(one, n, 1, n === 1 ? "one-copy" : "replication");
    expect(memory.copies).toBe(n);
    expect(plan.totals.blocks[one.pool]).toBe(n * one.blocks);
  });

  test("with one write there is nothing to tell apart: neither scheme exists", async () => {
    for (const realisation of ["live-value-table", "exclusive-or"] as const) {
      await expect(packed(one, 2, 1, realisation)).rejects.toThrow(`pinned realisation ${realisation}`);
    }
  });
});

describe("properties of the formulas", () => {
  const pairs = [2, 3, 4].flatMap((m) => [1, 2, 3].map((n) => [m, n] as const));

  test.each(pairs)("%i writes, %i reads: exclusive-or takes m(m - 1) blocks more", async (m, n) => {
    const lvt = await packed(ECP5, n, m, "live-value-table");
    const xor = await packed(ECP5, n, m, "exclusive-or");
    expect(xor.plan.totals.blocks.EBR! - lvt.plan.totals.blocks.EBR!).toBe(m * (m - 1));
    expect(xor.plan.totals.waste.replication - lvt.plan.totals.waste.replication).toBe(
      m * (m - 1) * 512 * 36,
    );
  });

  // The table: LaForest & Steffan 2010 (from memory). Exclusive-or has none; its direction of the trade, far less
  // logic and more blocks, was read in the abstract of LaForest et al. 2012.
  test.each(pairs)("%i writes, %i reads: a table of depth x ceil(log2 m) bits", async (m, n) => {
    const lvt = await packed(ECP5, n, m, "live-value-table");
    const xor = await packed(ECP5, n, m, "exclusive-or");
    const tag = [0, 0, 1, 2, 2][m]!;
    expect(lvt.plan.totals.registers).toBe(512 * tag);
    expect(xor.plan.totals.registers).toBeLessThan(lvt.plan.totals.registers);
    expect(xor.plan.totals.luts).toBeLessThan(lvt.plan.totals.luts);
  });
});

// Read in the article named above.
test("a register file of 32 x 32 bits in flip-flops takes 1,024; 4 reads and 2 writes for dual issue", async () => {
  const { plan, memory } = await packed({ ...ECP5, depth: 32, width: 32 }, 4, 2, "registers");
  expect(memory.registers).toBe(1024);
  expect(plan.totals.registers).toBe(1024);
  expect(plan.totals.blocks).toEqual({ EBR: 0 });
});
