// Figures that are easily taken wrong, from the project's list of device facts. Sources stand in the device files:
// those of the handbooks that were read are named here, the rest is from memory and says so.
import { describe, expect, test } from "vitest";
import { findDevice } from "../../src/input/find-device.js";
import { type Arrangement, type BlockKind, multiplexer, shapeName } from "../../src/model/index.js";

function kind(device: string, name: string): BlockKind {
  const block = findDevice(device).blocks.find((b) => b.name === name);
  if (block === undefined) throw new Error(`${device} has no ${name}`);
  return block;
}

const shapes = (block: BlockKind, arrangement: Arrangement) => block.shapes[arrangement].map(shapeName);

/** Lanes by word width over all arrangements; widths of one enable are left out. */
function lanes(block: BlockKind): Record<number, readonly number[]> {
  const all = Object.values(block.shapes).flat();
  return Object.fromEntries(all.filter((s) => s.lanes.length > 0).map((s) => [s.width, s.lanes]));
}

describe("AMD", () => {
  // UG473 v1.11, page 11; DS180 v2.5, page 9; UG573 v1.14, Read Width; the UltraScale+ half block is from memory.
  test.each(["xc7s50", "xczu7ev"])(
    "%s: x36 of a half and x72 of a block are simple dual port only",
    (name) => {
      for (const [block, widest] of [
        [kind(name, "BRAM18"), "512x36"],
        [kind(name, "BRAM36"), "512x72"],
      ] as const) {
        expect(shapes(block, "simple-dual")).toContain(widest);
        expect(shapes(block, "single")).not.toContain(widest);
        expect(shapes(block, "true-dual")).not.toContain(widest);
      }
    },
  );

  test("7 series: one side stays at the widest width", () => {
    expect(kind("xc7k325t", "BRAM18").fixedSideWidths).toEqual([36]);
    expect(kind("xc7k325t", "BRAM36").fixedSideWidths).toEqual([72]);
  });

  // UG473 v1.11, page 12 (enables); 9 bits under each from memory.
  test.each(["xc7z020", "xcku5p"])("%s: several lanes only from x18 up", (name) => {
    expect(lanes(kind(name, "BRAM18"))).toEqual({ 18: [9], 36: [9] });
    expect(lanes(kind(name, "BRAM36"))).toEqual({ 18: [9], 36: [9], 72: [9] });
  });

  test("a block is two halves of one pool", () => {
    expect(findDevice("xc7s50").pools).toEqual([{ name: "BRAM36", blocks: 75, unitsPerBlock: 2 }]);
    expect(kind("xc7s50", "BRAM18")).toMatchObject({ pool: "BRAM36", units: 1, bits: 18_432 });
    expect(kind("xc7s50", "BRAM36")).toMatchObject({ pool: "BRAM36", units: 2, bits: 36_864 });
  });

  // UG473 v1.11, page 11.
  test("7 series: two blocks join to 65536x1 without logic, halves do not", () => {
    const joined = [{ shape: { depth: 32_768, width: 1 }, blocks: 2 }];
    expect(kind("xc7k325t", "BRAM36").freeCascade).toEqual(joined);
    expect(kind("xc7k325t", "BRAM18").freeCascade).toEqual([]);
  });

  // UG573 v1.14, Byte Write Enable Function; AMD documentation on UltraRAM.
  test("UltraRAM: one shape, one clock, zero at start, two lane arrangements", () => {
    const block = kind("xczu7ev", "URAM");
    for (const arrangement of ["single", "simple-dual", "true-dual"] as const) {
      expect(shapes(block, arrangement)).toEqual(["4096x72"]);
    }
    expect(lanes(block)).toEqual({ 72: [9, 8] });
    expect(block).toMatchObject({ clocks: 1, initialContents: false, bits: 294_912 });
    expect(block.mixedWidths).toEqual({ "simple-dual": false, "true-dual": false });
  });

  // 9,600: a public design's use report for an XC7S50; the others from memory or estimated.
  test("only some LUTs can be memory: a limit apart from their count", () => {
    expect(findDevice("xc7s50").lutMemory?.count).toBe(9_600);
    expect(findDevice("xc7k325t").lutMemory?.count).toBe(64_000);
    expect(findDevice("xc7z020").lutMemory?.count).toBe(17_400);
    for (const name of ["xcku5p", "xczu7ev"]) {
      const { lutMemory, logic } = findDevice(name);
      expect(lutMemory?.count, name).toBe(logic.count / 4);
    }
  });
});

describe("Intel", () => {
  // Cyclone V Device Handbook 683375, embedded memory: configurations, M10K mixed widths, features.
  test("M10K: the widest shapes are not true dual port", () => {
    const block = kind("5ceba4", "M10K");
    const both = ["8192x1", "4096x2", "2048x4", "2048x5", "1024x8", "1024x10", "512x16", "512x20"];
    expect(shapes(block, "true-dual")).toEqual(both);
    expect(shapes(block, "simple-dual")).toEqual([...both, "256x32", "256x40"]);
    expect(shapes(block, "single")).toEqual([...both, "256x32", "256x40"]);
  });

  // Vendor glossary, M20K memory block.
  test("M20K: the widest shapes are single and simple dual port", () => {
    const block = kind("10ax115", "M20K");
    const both = ["16384x1", "8192x2", "4096x4", "4096x5", "2048x8", "2048x10", "1024x16", "1024x20"];
    expect(shapes(block, "true-dual")).toEqual(both);
    expect(shapes(block, "simple-dual")).toEqual([...both, "512x32", "512x40"]);
    expect(shapes(block, "single")).toEqual([...both, "512x32", "512x40"]);
  });

  test.each([
    ["5ceba4", "M10K"],
    ["10ax115", "M20K"],
  ])("%s: the 5-10-20-40 and the 1-2-4-8-16-32 families do not mix", (device, name) => {
    for (const { width, family } of kind(device, name).shapes["simple-dual"]) {
      expect(family, `x${width}`).toBe(width % 5 === 0 ? "fifth" : "binary");
    }
  });

  test("Cyclone V: a port never shows old data of its own write", () => {
    const { samePort, otherPort } = kind("5cseba6", "M10K").readDuringWrite;
    expect(samePort).toEqual(["new", "undefined"]);
    expect(otherPort).toEqual(["old", "undefined"]);
  });

  // CV-52002-2.0, June 2012: 10 ALMs, each 32x2.
  test("Cyclone V: an MLAB is LUT memory of 10 ALMs and has no second read-write port", () => {
    const { lutMemory } = findDevice("5ceba4");
    expect(lutMemory?.name).toBe("MLAB");
    expect(new Set(lutMemory?.shapes.map((s) => s.luts))).toEqual(new Set([10]));
    expect(Math.max(...(lutMemory?.shapes ?? []).map((s) => s.depth * s.width))).toBe(640);
  });

  test("5CSEBA6 takes the smaller of the two counts recalled", () => {
    expect(findDevice("5cseba6").pools).toEqual([{ name: "M10K", blocks: 553, unitsPerBlock: 1 }]);
  });
});

describe("PolarFire", () => {
  // PolarFire Family Fabric User Guide, 2.1.1.3 and 2.1.2.2.
  test("LSRAM: several lanes only from x16 up, no x9, x18 or x33", () => {
    const block = kind("mpf300t", "LSRAM");
    expect(lanes(block)).toEqual({ 16: [8], 20: [10], 32: [8], 40: [10] });
    const widths = new Set(Object.values(block.shapes).flatMap((list) => list.map((s) => s.width)));
    expect([...widths].sort((a, b) => a - b)).toEqual([1, 2, 4, 5, 8, 10, 16, 20, 32, 40]);
    expect(shapes(block, "true-dual")).not.toContain("512x40");
  });

  // From memory of the same guide.
  test("uSRAM reads asynchronously at 64x12", () => {
    const block = kind("mpf300t", "uSRAM");
    expect(shapes(block, "simple-dual")).toEqual(["64x12"]);
    expect([...block.shapes.single, ...block.shapes["true-dual"]]).toEqual([]);
    expect(block.asynchronousRead).toBe(true);
    expect(kind("mpf300t", "LSRAM").asynchronousRead).toBe(false);
  });
});

describe("Lattice", () => {
  // From memory of TN1264.
  test("ECP5: x36 is simple dual port only, lanes of 9 at x18 and x36", () => {
    const block = kind("ecp5-45f", "EBR");
    expect(shapes(block, "simple-dual")).toContain("512x36");
    expect(shapes(block, "true-dual")).toEqual(["16384x1", "8192x2", "4096x4", "2048x9", "1024x18"]);
    expect(lanes(block)).toEqual({ 18: [9], 36: [9] });
  });

  // A university course page on the ECP5; dual port doubtful.
  test("ECP5: LUT memory of 16x4 counts 6 LUTs, dual port too", () => {
    const cost = findDevice("ecp5-25f").lutMemory?.shapes.map((s) => [s.arrangement, shapeName(s), s.luts]);
    expect(cost).toEqual([
      ["single", "16x4", 6],
      ["simple-dual", "16x4", 6],
    ]);
  });

  // EBR from memory of FPGA-TN-02002; SPRAM: a public port list of the primitive.
  test("iCE40: EBR is simple dual port, SPRAM single port without contents at start, no LUT memory", () => {
    const ebr = kind("up5k", "EBR");
    const spram = kind("up5k", "SPRAM");
    expect(shapes(ebr, "simple-dual")).toEqual(["2048x2", "1024x4", "512x8", "256x16"]);
    expect([...ebr.shapes.single, ...ebr.shapes["true-dual"]]).toEqual([]);
    expect(lanes(ebr)).toEqual({ 16: [1] });
    expect(shapes(spram, "single")).toEqual(["16384x16"]);
    expect([...spram.shapes["simple-dual"], ...spram.shapes["true-dual"]]).toEqual([]);
    expect(lanes(spram)).toEqual({ 16: [4] });
    expect([ebr.initialContents, spram.initialContents]).toEqual([true, false]);
    expect(findDevice("up5k").lutMemory).toBeNull();
  });
});

describe("multiplexers of one bit", () => {
  // UG474 v1.9, Designing Large Multiplexers: 2, 4, 8 and 16 to 1 in 1, 1, 2 and 4 LUTs.
  test("6-input LUTs with slice multiplexers", () => {
    const { logic } = findDevice("xc7k325t");
    expect([2, 4, 8, 16].map((n) => multiplexer(logic, n))).toMatchObject(
      [1, 1, 2, 4].map((luts) => ({ luts, levels: 1 })),
    );
  });

  // Metzgen & Nancekievill, DAC 2005; the two-LUT form from memory, and its 64 input rows checked here.
  test("4-input LUTs: 2:1 in one, 4:1 in two in series", () => {
    const { logic } = findDevice("ecp5-85f");
    expect(multiplexer(logic, 2)).toMatchObject({ luts: 1, levels: 1 });
    expect(multiplexer(logic, 4)).toMatchObject({ luts: 2, levels: 2 });
    for (let row = 0; row < 64; row++) {
      const [s0, s1, ...data] = [0, 1, 2, 3, 4, 5].map((bit) => (row >> bit) & 1) as [number, number];
      const [a, b, c, d] = data as unknown as [number, number, number, number];
      const first = s1 ? s0 : s0 ? b : a; // inputs s1, s0, a, b
      const second = s1 ? (first ? d : c) : first; // inputs s1, first, c, d
      expect(second, `row ${row}`).toBe([a, b, c, d][s1 * 2 + s0]);
    }
  });
});
