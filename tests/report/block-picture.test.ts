import { fileURLToPath } from "node:url";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type BlockKind,
  type Device,
  findDevice,
  loadDesign,
  NothingLegalError,
  type Plan,
  type PlanBlock,
  pack,
} from "../../src/index.js";
import { blockCount, blockPictures, type Filling, patchesOf } from "../../src/report/block-picture.js";
import { anyCase, boundless } from "../support/random-designs.js";

const shippedDesign = (name: string) => fileURLToPath(new URL(`../../designs/${name}.yaml`, import.meta.url));

const designs = ["dish-controller", "correlator-array", "weather-mast"];

async function packed(design: string): Promise<Plan> {
  const { design: read } = loadDesign(shippedDesign(design));
  return pack(read, findDevice(read.device!));
}

/** Holds that the areas of all patches are the plan's account, in bits. */
function expectAccount(plan: Plan, device: Device): void {
  const pictures = blockPictures(plan, device);
  const bits: Record<Filling, number> = {
    held: 0,
    replication: 0,
    widthPadding: 0,
    depthPadding: 0,
    unreachable: 0,
  };
  for (const { count, bits: all, patches } of pictures) {
    for (const { filling, width, height } of patches) bits[filling] += count * all * width * height;
  }
  const { requestedBits, waste, blockBits } = plan.totals;
  expect(bits.held).toBeCloseTo(requestedBits, 3);
  for (const cause of ["replication", "widthPadding", "depthPadding", "unreachable"] as const) {
    expect(bits[cause], cause).toBeCloseTo(waste[cause], 3);
  }
  expect(Object.values(bits).reduce((sum, part) => sum + part, 0)).toBeCloseTo(blockBits, 3);
}

it("the pictures of random designs have the bits of the plan's account", async () => {
  let compared = 0;
  await fc.assert(
    fc.asyncProperty(anyCase(), async ({ design, device }) => {
      const wide = boundless(device);
      const plan = await pack(design, wide, { deadlineMs: 2000 }).catch((error: unknown) => {
        if (error instanceof NothingLegalError) return null;
        throw error;
      });
      if (plan === null) return;
      expectAccount(plan, wide);
      compared += 1;
    }),
    { numRuns: 30 },
  );
  expect(compared).toBeGreaterThan(15);
});

describe.each(designs)("the pictures of %s", (design) => {
  it("have the bits of the plan's account", async () => {
    const plan = await packed(design);
    expectAccount(plan, findDevice(plan.device));
  });

  it("stand for every block of the plan once", async () => {
    const plan = await packed(design);
    const pictures = blockPictures(plan, findDevice(plan.device));
    expect(pictures.flatMap(({ ids }) => ids).sort()).toEqual(plan.blocks.map(({ id }) => id).sort());
    const used = Object.values(plan.totals.blocks).reduce((sum, blocks) => sum + blocks, 0);
    expect(blockCount(pictures)).toBe(used);
  });
});

describe("a picture", () => {
  const kind = { name: "B", bits: 1024 } as BlockKind;
  const block = (rows: number, bits: number, inverted: boolean): PlanBlock => ({
    id: "b1",
    kind: "B",
    arrangement: "single",
    pump: 1,
    repeat: 1,
    tenants: [
      {
        memory: "m",
        instance: 0,
        copy: 0,
        rows: [0, rows - 1],
        bits: [0, bits - 1],
        ports: ["A"],
        turns: [1],
        shape: "64x16",
        lane: null,
        inverted,
        word: inverted ? 63 : 0,
        runs: [{ bits: [0, bits - 1], at: 0 }],
      },
    ],
  });

  it("has patches that do not overlap and fill the block, the held one where the rows are", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 64 }),
        fc.integer({ min: 1, max: 16 }),
        fc.boolean(),
        (rows, bits, inverted) => {
          const patches = patchesOf(block(rows, bits, inverted), kind);
          expect(patches.reduce((sum, { width, height }) => sum + width * height, 0)).toBeCloseTo(1);
          const held = patches.find(({ filling }) => filling === "held")!;
          expect(held.width).toBeCloseTo(bits / 16);
          expect(held.height).toBeCloseTo(rows / 64);
          expect(held.y).toBeCloseTo(inverted ? 1 - rows / 64 : 0);
          for (const [i, a] of patches.entries()) {
            for (const b of patches.slice(i + 1)) {
              const across = Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x);
              const down = Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y);
              expect(Math.min(across, down)).toBeLessThan(1e-9);
            }
          }
        },
      ),
    );
  });
});
