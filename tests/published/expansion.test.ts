/** Memories deeper or wider than one block, from published examples, through the packer. */
import { describe, expect, test } from "vitest";
import { findDevice } from "../../src/input/index.js";
import { memoryRequest, type Plan, parsePorts } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { designOf } from "../support/random-designs.js";

async function packed(device: string, depth: number, width: number, ports: string) {
  const request = memoryRequest({ name: "m", depth, width, ports: parsePorts(ports)! });
  const plan = await pack(designOf([request]), findDevice(device));
  return { plan, memory: plan.memories[0]!, layout: plan.memories[0]!.layouts[0]! };
}

/** Tiles as `count x shape`. */
function tiles(plan: Plan): string[] {
  return plan.memories.flatMap(({ layouts }) =>
    layouts.flatMap((layout) => layout.tiles.map(({ count, shape }) => `${count} x ${shape}`)),
  );
}

describe("56 ECP5 blocks", () => {
  // Arithmetic; the same figures stand in a public design note.
  test("hold 126 KiB in nine-bit words, and not a word more", async () => {
    const words = (126 * 1024 * 8) / 9;
    const most = await packed("ecp5-25f", words, 9, "1r1w");
    expect(most.plan).toMatchObject({ status: "optimal", totals: { blocks: { EBR: 56 }, over: {} } });
    expect(most.plan.totals.wastedBits).toBe(0);
    const more = await packed("ecp5-25f", words + 1, 9, "1r1w");
    expect(more.plan).toMatchObject({
      status: "over-budget",
      totals: { blocks: { EBR: 57 }, over: { EBR: 1 } },
    });
  });

  test("hold 112 KiB in bytes, and not a byte more", async () => {
    const most = await packed("ecp5-25f", 112 * 1024, 8, "1r1w");
    expect(most.plan).toMatchObject({ status: "optimal", totals: { blocks: { EBR: 56 }, over: {} } });
    const more = await packed("ecp5-25f", 112 * 1024 + 1, 8, "1r1w");
    expect(more.plan.totals.over).toEqual({ EBR: 1 });
  });
});

// From memory; recomputed by arithmetic.
describe("cascades of an 18 Kbit block", () => {
  test.each(["1rw", "1r1w"])("32768x1 is two 16384x1 (%s)", async (ports) => {
    const { plan, layout } = await packed("ecp5-85f", 32_768, 1, ports);
    expect(tiles(plan)).toEqual(["2 x 16384x1"]);
    expect(layout.cascade).toBe(2);
    expect(plan.totals.blocks).toEqual({ EBR: 2 });
    // A 2:1 multiplexer of one bit in one 4-input LUT.
    expect(plan.totals.luts).toBe(1);
  });

  test("1024x72 is four 1024x18 on one port", async () => {
    const { plan, layout } = await packed("ecp5-85f", 1024, 72, "1rw");
    expect(tiles(plan)).toEqual(["4 x 1024x18"]);
    expect(layout.cascade).toBe(1);
    expect(plan.totals).toMatchObject({ blocks: { EBR: 4 }, luts: 0, wastedBits: 0 });
  });

  test("1024x72 as simple dual port: as many blocks 2 deep x 2 wide of 512x36, so four without multiplexer win", async () => {
    const { plan, layout } = await packed("ecp5-85f", 1024, 72, "1r1w");
    expect(plan.totals).toMatchObject({ blocks: { EBR: 4 }, luts: 0, wastedBits: 0 });
    expect(tiles(plan)).toEqual(["4 x 1024x18"]);
    expect(layout.cascade).toBe(1);
    // With shapes of 36 bits alone it is the other arrangement.
    const device = findDevice("ecp5-85f");
    const wide = {
      ...device,
      blocks: device.blocks.map((kind) => ({
        ...kind,
        shapes: {
          single: [],
          "true-dual": [],
          "simple-dual": kind.shapes["simple-dual"].filter((shape) => shape.width === 36),
        },
      })),
    };
    const request = memoryRequest({ name: "m", depth: 1024, width: 72, ports: parsePorts("1r1w")! });
    const other = await pack(designOf([request]), wide);
    expect(tiles(other)).toEqual(["4 x 512x36"]);
    expect(other.memories[0]!.layouts[0]!.tiles[0]!.deep).toBe(2);
    expect(other.totals).toMatchObject({ blocks: { EBR: 4 }, luts: 72, wastedBits: 0 });
  });
});

describe("blocks that cascade without fabric logic", () => {
  // User guide UG190 v5.0, page 122 (read): two 32K x 1 make one 64K x 1, the only shape to do so.
  test.each(["1rw", "1r1w", "2rw"])("65536x1 is two 32768x1 without LUTs (%s)", async (ports) => {
    const { plan, layout } = await packed("xc7z020", 65_536, 1, ports);
    expect(tiles(plan)).toEqual(["2 x 32768x1"]);
    expect(layout.cascade).toBe(2);
    expect(plan.totals).toMatchObject({ blocks: { BRAM36: 2 }, luts: 0 });
  });

  test("other sizes use fabric logic", async () => {
    const four = await packed("xc7z020", 131_072, 1, "1r1w");
    expect(four.plan.totals).toMatchObject({ blocks: { BRAM36: 4 }, luts: 1 });
    const nine = await packed("xc7z020", 8192, 9, "1r1w");
    expect(nine.plan.totals).toMatchObject({ blocks: { BRAM36: 2 }, luts: 9 });
  });
});

describe("iCE40 single port RAM", () => {
  // iCE40 SPRAM Usage Guide TN1314, page 8, section 4.4.1 (read in a stored copy): two 16K x 16 make 32K x 16, the top
  // address bit selects. Width expansion by the same rule is arithmetic.
  test("32K x 16 is two, one above the other", async () => {
    const { plan, layout } = await packed("up5k", 32_768, 16, "1rw");
    expect(tiles(plan)).toEqual(["2 x 16384x16"]);
    expect(layout.cascade).toBe(2);
    expect(plan.totals).toMatchObject({ blocks: { SPRAM: 2, EBR: 0 }, luts: 16, wastedBits: 0 });
    const rows = plan.blocks.flatMap(({ tenants }) => tenants.map((tenant) => tenant.rows));
    expect(rows).toEqual([
      [0, 16_383],
      [16_384, 32_767],
    ]);
  });

  test("16K x 32 is two side by side", async () => {
    const { plan, layout } = await packed("up5k", 16_384, 32, "1rw");
    expect(tiles(plan)).toEqual(["2 x 16384x16"]);
    expect(layout.cascade).toBe(1);
    expect(plan.totals).toMatchObject({ blocks: { SPRAM: 2, EBR: 0 }, luts: 0, wastedBits: 0 });
  });

  test("32K x 32 takes all four of the part", async () => {
    const { plan, layout } = await packed("up5k", 32_768, 32, "1rw");
    expect(tiles(plan)).toEqual(["4 x 16384x16"]);
    expect(layout.cascade).toBe(2);
    expect(plan).toMatchObject({
      status: "optimal",
      totals: { blocks: { SPRAM: 4, EBR: 0 }, luts: 32, wastedBits: 0 },
    });
  });
});

describe("read multiplexers over cascaded blocks", () => {
  // 7 Series CLB User Guide UG474 v1.9, Designing Large Multiplexers (read): one LUT6 a 4:1, two an 8:1, four a 16:1.
  // All bits of the blocks are in use, so that only nine-bit words serve.
  test.each([
    [2, 1],
    [4, 1],
    [8, 2],
    [16, 4],
  ])("7 series: %i blocks deep cost %i LUT6 a bit", async (deep, luts) => {
    const { plan, layout } = await packed("xc7z020", deep * 4096, 9, "1r1w");
    expect(tiles(plan)).toEqual([`${deep} x 4096x9`]);
    expect(layout.cascade).toBe(deep);
    expect(plan.totals).toMatchObject({ blocks: { BRAM36: deep }, wastedBits: 0, luts: 9 * luts });
  });

  // Metzgen & Nancekievill, Multiplexer restructuring for FPGA implementation cost reduction, DAC 2005: 2:1 in one
  // 4-input LUT, 4:1 in two (the two-LUT form from memory, all 64 input rows recomputed).
  test.each([
    [2, 1],
    [4, 2],
  ])("4-input LUTs: %i blocks deep cost %i LUT4 a bit", async (deep, luts) => {
    const { plan, layout } = await packed("ecp5-85f", deep * 2048, 9, "1r1w");
    expect(tiles(plan)).toEqual([`${deep} x 2048x9`]);
    expect(layout.cascade).toBe(deep);
    expect(plan.totals).toMatchObject({ blocks: { EBR: deep }, wastedBits: 0, luts: 9 * luts });
  });
});
