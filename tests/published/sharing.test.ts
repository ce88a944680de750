/** Blocks that two memories share, one port each: published examples, through the packer. */
import { describe, expect, test } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice, readDevices } from "../../src/input/index.js";
import { type Design, type Device, memoryRequest, type Plan } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { packProgram, stageProgram } from "../../src/program/index.js";
import { solveRelaxation } from "../../src/solve/index.js";
import { designOf } from "../support/random-designs.js";

const SINGLE_PORT = { read: 0, write: 0, readWrite: 1 };

/** Single port memories of the given depths and widths, in blocks. */
function singlePort(...sizes: readonly (readonly [depth: number, width: number])[]): Design {
  return designOf(
    sizes.map(([depth, width], index) =>
      memoryRequest({ name: `m${index}`, depth, width, ports: SINGLE_PORT }),
    ),
    { small: { lutDepth: 0, registerBits: 0 } },
  );
}

function blocksInUse(plan: Plan): number {
  return plan.blocks.reduce((sum, { repeat }) => sum + repeat, 0);
}

/** A device of one block kind, from the text of a user's file. */
function deviceOf(family: string, bits: number, shapes: string): Device {
  const read = readDevices({
    file: "inline",
    text: `
family: ${family}
pools: [{ name: R }]
blocks:
  - name: R
    pool: R
    bits: ${bits}
    shapes: ${shapes}
    mixed_widths: { simple-dual: false, true-dual: true }
logic: { unit: LUT4, inputs: 4, multiplexers: [{ inputs: 2, luts: 1, levels: 1 }] }
parts: [{ name: one, blocks: [{ pool: R, count: 100 }], logic: 1000 }]`,
  });
  if (!read.ok) throw new Error(read.diagnostics.map(({ message }) => message).join("\n"));
  return read.devices[0]!;
}

// The 4,608-bit block of an application note (AN 252, table 1, read); that its true dual port ends at x18 is from memory.
const SMALL = deviceOf(
  "a 4,608-bit block of an application note",
  4608,
  `
      - { shapes: [4096x1, 2048x2, 1024x4, 512x8, 256x16], family: binary, arrangements: [single, true-dual] }
      - { shapes: [512x9, 256x18], family: ninth, arrangements: [single, true-dual] }
      - { shapes: [128x32], family: binary, arrangements: [single] }
      - { shapes: [128x36], family: ninth, arrangements: [single] }`,
);

describe.each([
  { device: SMALL, depth: 256 },
  { device: findDevice("ecp5-85f"), depth: 1024 },
  { device: findDevice("gw2a-18"), depth: 1024 },
])("blocks of $device.name, $device.family: $depth x 18", ({ device, depth }) => {
  const blocks = async (...depths: number[]) =>
    blocksInUse(await pack(singlePort(...depths.map((words) => [words, 18] as const)), device));

  // Handbook of the first family of a vendor's low-cost devices, embedded memory section, figure 2-13, note 1 (read in a
  // stored copy): two single port memories of at most half a block each share one true dual port block.
  test("two halves share a block, one row more does not", async () => {
    expect(await blocks(depth / 2, depth / 2)).toBe(1);
    expect(await blocks(depth / 2 - 7, depth / 4)).toBe(1);
    expect(await blocks(depth / 2 + 1, depth / 2)).toBe(2);
    expect(await blocks(depth / 2 + 1, depth / 2 + 1)).toBe(2);
  });

  // The general case is common practice, no source: the second memory has its address inverted.
  test("any two whose rows fit together share a block", async () => {
    expect(await blocks(depth - 1, 1)).toBe(1);
    expect(await blocks(depth - 100, 100)).toBe(1);
    expect(await blocks(depth - 100, 101)).toBe(2);
  });

  test("the second of the two is inverted and grows from the top", async () => {
    const plan = await pack(singlePort([depth - 100, 18], [100, 18]), device);
    const [low, high] = [...plan.blocks[0]!.tenants].sort((a, b) => a.word - b.word);
    expect(low).toMatchObject({ word: 0, inverted: false });
    expect(high).toMatchObject({ word: depth - 1, inverted: true });
    expect(new Set([...low!.ports, ...high!.ports])).toEqual(new Set(["A", "B"]));
  });

  // Arithmetic: a block has two ports.
  test("a third memory finds no port, however small", async () => {
    expect(await blocks(depth / 2, depth / 2, depth / 2)).toBe(2);
    expect(await blocks(20, 20, 20)).toBe(2);
    expect(await blocks(20, 20, 20, 20)).toBe(2);
  });
});

describe("half blocks of the 7 series", () => {
  test("two memories share an 18 Kbit half", async () => {
    const plan = await pack(singlePort([512, 18], [512, 18]), findDevice("xc7z020"));
    expect(plan.totals.blocks).toEqual({ BRAM36: 0.5 });
    expect(plan.blocks).toMatchObject([{ kind: "BRAM18", arrangement: "true-dual", repeat: 1 }]);
  });

  test("four memories share the two halves of a block", async () => {
    const sizes = [512, 512, 900, 124].map((depth) => [depth, 18] as const);
    const plan = await pack(singlePort(...sizes), findDevice("xc7z020"));
    expect(plan.totals.blocks).toEqual({ BRAM36: 1 });
    expect(plan.totals.wastedBits).toBe(0);
  });

  test("two memories of an x36 each take both halves, since x36 is simple dual port", async () => {
    const plan = await pack(singlePort([256, 36], [256, 36]), findDevice("xc7z020"));
    expect(plan.totals.blocks).toEqual({ BRAM36: 1 });
  });
});

describe("pairs of port shapes", () => {
  // A vendor's description of such a block (read): 29 legal pairs, 25 of x1 x2 x4 x8 x16 and 4 of x9 x18.
  const binary = ["16384x1", "8192x2", "4096x4", "2048x8", "1024x16"];
  const ninth = ["2048x9", "1024x18"];
  const device = deviceOf(
    "an 18,432-bit block",
    18_432,
    `
      - { shapes: [${binary.join(", ")}], family: binary, arrangements: [single, true-dual] }
      - { shapes: [${ninth.join(", ")}], family: ninth, arrangements: [single, true-dual] }`,
  );
  /** Half of a block in the shape, so that it shares in no wider one. */
  const half = (shape: string) => {
    const [depth, width] = shape.split("x").map(Number);
    return [depth! / 2, width!] as const;
  };
  const familyOf = (shape: string) => (ninth.includes(shape) ? "ninth" : "binary");
  const planFor = (a: string, b: string) => pack(singlePort(half(a), half(b)), device);

  test("halves of the 29 pairs share a block", async () => {
    const pairs = [binary, ninth].flatMap((family) =>
      family.flatMap((a) => family.map((b) => [a, b] as const)),
    );
    expect(pairs).toHaveLength(29);
    for (const [a, b] of pairs) expect(blocksInUse(await planFor(a, b)), `${a} and ${b}`).toBe(1);
  });

  test("halves of the 20 others share only where x8 is held as x9 and x16 as x18", async () => {
    const pairs = binary.flatMap((a) => ninth.map((b) => [a, b] as const));
    for (const [a, b] of [...pairs, ...pairs.map(([x, y]) => [y, x] as const)]) {
      const plan = await planFor(a, b);
      const narrow = [a, b].some((shape) => ["16384x1", "8192x2", "4096x4"].includes(shape));
      expect(blocksInUse(plan), `${a} and ${b}`).toBe(narrow ? 2 : 1);
      for (const { tenants } of plan.blocks) {
        expect(new Set(tenants.map(({ shape }) => familyOf(shape))).size).toBe(1);
      }
    }
  });
});

describe("odd numbers of memories that pair", () => {
  // Matchings of an odd cycle, C5: 2 pairs, so 3 blocks; the relaxation is 2.5 (common knowledge of matching theory,
  // from memory). Equal memories all pair with each other, so that the cycle is a part of their graph.
  test.each([3, 5, 7])("%i halves: the relaxation is half-integral, the plan rounds it up", async (n) => {
    const device = findDevice("ecp5-85f");
    const design = singlePort(...Array.from({ length: n }, () => [512, 18] as const));
    const program = packProgram(choicesOf(design, device), design, device);
    const minimise = [{ objective: "blocks", weight: 1 }] as const;
    const stage = {
      minimise,
      settled: [],
      atLeast: null,
      budgets: "none",
      owners: null,
      columns: null,
    } as const;
    const relaxed = await solveRelaxation(stageProgram(program, stage).program, { deadlineMs: 10_000 });
    expect(relaxed.status === "optimal" && relaxed.value).toBeCloseTo(n / 2, 6);
    const plan = await pack(design, device);
    expect(plan.objective).toMatchObject({ value: Math.ceil(n / 2), bound: Math.ceil(n / 2), proven: true });
    expect(blocksInUse(plan)).toBe(Math.ceil(n / 2));
  });
});
