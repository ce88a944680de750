import { describe, expect, test } from "vitest";
import { readDevices } from "../../src/input/device.js";
import { findDevice, listDevices } from "../../src/input/find-device.js";
import { type Arrangement, type BlockKind, shapeBits, shapeName } from "../../src/model/index.js";

const ARRANGEMENTS: readonly Arrangement[] = ["single", "simple-dual", "true-dual"];

function kind(device: string, name: string): BlockKind {
  const block = findDevice(device).blocks.find((b) => b.name === name);
  if (block === undefined) throw new Error(`${device} has no ${name}`);
  return block;
}

const shapes = (block: BlockKind, arrangement: Arrangement) => block.shapes[arrangement].map(shapeName);

/** Blocks in depth and in width when a memory is cut into one shape that the block must have. */
function grid(block: BlockKind, arrangement: Arrangement, shape: string, depth: number, width: number) {
  const tile = block.shapes[arrangement].find((s) => shapeName(s) === shape);
  if (tile === undefined) throw new Error(`${block.name} has no ${arrangement} ${shape}`);
  return { deep: Math.ceil(depth / tile.depth), wide: Math.ceil(width / tile.width) };
}

/** Pairs (port A, port B) of true dual port shapes that one family allows. */
function legalPairs(block: BlockKind): number {
  const all = block.shapes["true-dual"];
  return all.flatMap((a) => all.filter((b) => a.family === b.family)).length;
}

function only(text: string): BlockKind {
  const read = readDevices({ file: "inline", text });
  if (!read.ok) throw new Error(read.diagnostics.map((d) => d.message).join("\n"));
  const block = read.devices[0]?.blocks[0];
  if (block === undefined) throw new Error("no block");
  return block;
}

// Source: the handbook tables named in devices/*.yaml; the rule itself is arithmetic.
describe("no shape holds more than its block", () => {
  const kinds = listDevices().flatMap((d) => d.blocks.map((b) => [`${d.name} ${b.name}`, b] as const));

  test.each(kinds)("%s", (_, block) => {
    const bits = ARRANGEMENTS.flatMap((a) => block.shapes[a].map(shapeBits));
    expect(Math.max(...bits)).toBeLessThanOrEqual(block.bits);
    expect(Math.max(...bits)).toBeGreaterThan(0);
  });

  // Ninth-bit shapes reach all 18,432 bits of a block, the others 16,384; twice that on a 36 Kbit block.
  const nineBit = kinds.filter(([, block]) => block.bits === 18_432 || block.bits === 36_864);

  test("the families with ninth bits are all looked at", () => {
    const names = new Set(nineBit.map(([, block]) => block.name));
    expect(names).toEqual(new Set(["BRAM18", "BRAM36", "BSRAM", "EBR"]));
  });

  test.each(nineBit)("%s: ninth-bit shapes reach every bit, the others eight in nine", (_, block) => {
    for (const arrangement of ARRANGEMENTS) {
      for (const shape of block.shapes[arrangement]) {
        const reached = shape.width % 9 === 0 ? block.bits : (block.bits / 9) * 8;
        expect(shapeBits(shape), `${arrangement} ${shapeName(shape)}`).toBe(reached);
        expect(shape.family).toBe(shape.width % 9 === 0 ? "ninth" : "binary");
      }
    }
  });
});

// Arithmetic; the same figures stand in a public design note.
test("56 ECP5 blocks hold 126 KiB at nine-bit shapes and 112 KiB at power-of-two widths", () => {
  const device = findDevice("ecp5-25f");
  const reach = (family: string) => {
    const all = kind("ecp5-25f", "EBR").shapes["simple-dual"].filter((s) => s.family === family);
    return (Math.max(...all.map(shapeBits)) * (device.pools[0]?.blocks ?? 0)) / 8 / 1024;
  };
  expect(reach("ninth")).toBe(126);
  expect(reach("binary")).toBe(112);
});

// From memory; recomputed by arithmetic.
test.each([
  ["ecp5-85f", "EBR"],
  ["xc7s50", "BRAM18"],
])("cascades of an 18 Kbit block of %s", (device, name) => {
  const block = kind(device, name);
  expect(grid(block, "single", "16384x1", 32_768, 1)).toEqual({ deep: 2, wide: 1 });
  expect(grid(block, "single", "1024x18", 1024, 72)).toEqual({ deep: 1, wide: 4 });
  expect(grid(block, "simple-dual", "512x36", 1024, 72)).toEqual({ deep: 2, wide: 2 });
});

const LOGIC = `
logic: { unit: LUT4, inputs: 4, multiplexers: [{ inputs: 2, luts: 1, levels: 1 }] }
parts: [{ name: one, blocks: [{ pool: R, count: 1 }], logic: 1000 }]`;

// A 4,608-bit block of an application note (AN 252, table 1, read). Which shapes are true dual port is not taken
// from it, so only simple dual port is written here.
test("a user's file describes a 4,608-bit block", () => {
  const block = only(`
family: a 4,608-bit block of an application note
pools: [{ name: R }]
blocks:
  - name: R
    pool: R
    bits: 4608
    shapes:
      - { shapes: [4096x1, 2048x2, 1024x4, 512x8, 256x16, 128x32], family: binary, arrangements: [simple-dual] }
      - { shapes: [512x9, 256x18, 128x36], family: ninth, arrangements: [simple-dual] }
    mixed_widths: { simple-dual: true, true-dual: false }${LOGIC}`);
  expect(shapes(block, "simple-dual")).toEqual([
    "4096x1",
    "2048x2",
    "1024x4",
    "512x8",
    "512x9",
    "256x16",
    "256x18",
    "128x32",
    "128x36",
  ]);
  const left = block.shapes["simple-dual"].map((shape) => block.bits - shapeBits(shape));
  expect(left).toEqual([512, 512, 512, 512, 0, 512, 0, 512, 0]);
  expect(block.mixedWidths["simple-dual"]).toBe(true);
});

describe("legal pairs of port shapes", () => {
  // A vendor's description of such a block (read): 25 pairs of x1 x2 x4 x8 x16 and 4 of x9 x18.
  test("an 18,432-bit block with true dual port up to x18 has 29", () => {
    const block = only(`
family: an 18,432-bit block
pools: [{ name: R }]
blocks:
  - name: R
    pool: R
    bits: 18432
    shapes:
      - shapes: [16384x1, 8192x2, 4096x4, 2048x8, 1024x16]
        family: binary
        arrangements: [true-dual]
      - { shapes: [2048x9, 1024x18], family: ninth, arrangements: [true-dual] }
    mixed_widths: { simple-dual: false, true-dual: true }${LOGIC}`);
    expect(legalPairs(block)).toBe(29);
  });

  // The shipped family that has the same true dual port shapes (its device file gives the source).
  test("so has the block of the GW2A-18", () => {
    expect(legalPairs(kind("gw2a-18", "BSRAM"))).toBe(29);
  });
});

// A block RAM user guide of 2009 (UG190 v5.0), tables 4-6 and 4-7, page 126 (read): the 18 Kbit and 36 Kbit blocks
// kept these shapes.
describe.each(["xc7s50", "xc7k325t", "xc7z020", "xcku5p", "xczu7ev"])("port shapes of %s", (device) => {
  const half = ["16384x1", "8192x2", "4096x4", "2048x9", "1024x18"];
  const whole = ["32768x1", "16384x2", "8192x4", "4096x9", "2048x18", "1024x36"];

  test("18 Kbit", () => {
    expect(shapes(kind(device, "BRAM18"), "true-dual")).toEqual(half);
    expect(shapes(kind(device, "BRAM18"), "single")).toEqual(half);
    expect(shapes(kind(device, "BRAM18"), "simple-dual")).toEqual([...half, "512x36"]);
  });

  test("36 Kbit", () => {
    expect(shapes(kind(device, "BRAM36"), "true-dual")).toEqual(whole);
    expect(shapes(kind(device, "BRAM36"), "single")).toEqual(whole);
    expect(shapes(kind(device, "BRAM36"), "simple-dual")).toEqual([...whole, "512x72"]);
  });
});
