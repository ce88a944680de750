import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { readDevices } from "../../src/input/device.js";
import { findDevice, listDevices } from "../../src/input/find-device.js";

const FOLDER = new URL("../../devices/", import.meta.url);
const FILES = readdirSync(FOLDER);
const read = (file: string) => readFileSync(new URL(file, FOLDER), "utf8");

// Counts of each part, with the mark that the project's list of device facts gives them: (read) in the document that
// the device file names, (memory) of it. Blocks by pool, then logic units.
const PARTS: readonly [name: string, number: string, pools: Record<string, number>, logic: number][] = [
  ["ecp5-25f", "LFE5U-25F", { EBR: 56 }, 24_000], // read, rounded to thousands
  ["ecp5-45f", "LFE5U-45F", { EBR: 108 }, 44_000], // read, rounded to thousands
  ["ecp5-85f", "LFE5U-85F", { EBR: 208 }, 84_000], // blocks read, LUTs memory, rounded to thousands
  ["up5k", "iCE40UP5K", { EBR: 30, SPRAM: 4 }, 5_280], // memory
  ["xc7s50", "XC7S50", { BRAM36: 75 }, 32_600], // blocks memory, LUTs read
  ["xc7k325t", "XC7K325T", { BRAM36: 445 }, 203_800], // memory
  ["xc7z020", "XC7Z020", { BRAM36: 140 }, 53_200], // memory
  ["xcku5p", "XCKU5P", { BRAM36: 480, URAM: 64 }, 216_960], // memory
  ["xczu7ev", "XCZU7EV", { BRAM36: 312, URAM: 96 }, 230_400], // memory
  ["5ceba4", "5CEBA4", { M10K: 308 }, 18_480], // memory
  ["5cseba6", "5CSEBA6", { M10K: 553 }, 41_910], // memory; 557 is recalled as well, the smaller is taken
  ["10ax115", "10AX115", { M20K: 2_713 }, 427_200], // memory
  ["mpf300t", "MPF300T", { LSRAM: 952, uSRAM: 2_772 }, 300_000], // blocks read, LUTs memory
  ["gw2a-18", "GW2A-18", { BSRAM: 46 }, 20_736], // memory
  ["generic-10k", "none (invented)", { RAM10K: 640 }, 100_000], // invented
];

test.each(FILES)("%s loads without a diagnostic", (file) => {
  const result = readDevices({ file, text: read(file) });
  expect(result).toMatchObject({ ok: true });
});

test("the files describe these parts and no others", () => {
  const names = listDevices().map((device) => device.name);
  expect(names.toSorted()).toEqual(PARTS.map(([name]) => name).toSorted());
});

test.each(PARTS)("%s counts its blocks and logic", (name, number, pools, logic) => {
  const device = findDevice(name);
  expect(device.part).toBe(number);
  expect(Object.fromEntries(device.pools.map((pool) => [pool.name, pool.blocks]))).toEqual(pools);
  expect(device.logic.count).toBe(logic);
});

/** Keys whose values name things; every other scalar of a device file is a figure. */
const NAMES = new Set(["name", "family", "pool", "unit", "number"]);

/** Places of figures that stand in a mapping without a `source`. */
function withoutSource(node: unknown, path = ""): string[] {
  if (Array.isArray(node)) return node.flatMap((item, i) => withoutSource(item, `${path}[${i}]`));
  if (typeof node !== "object" || node === null) return [];
  return Object.entries(node).flatMap(([key, value]) => {
    if (key === "source" || NAMES.has(key)) return [];
    const scalars = Array.isArray(value) ? value.filter((v) => typeof v !== "object") : [];
    const figure = scalars.length > 0 || typeof value !== "object" || value === null;
    if (figure) return "source" in node ? [] : [`${path}.${key}`];
    return withoutSource(value, `${path}.${key}`);
  });
}

/** Every key that a `source` names. */
function sourcesUsed(node: unknown): string[] {
  if (typeof node !== "object" || node === null) return [];
  return Object.entries(node).flatMap(([key, value]) =>
    key === "source" ? [value].flat() : sourcesUsed(value),
  );
}

describe("sources", () => {
  test("the walk finds a figure without one", () => {
    const bits = { name: "R", bits: 8, shapes: [{ shapes: ["4x2"], source: "A" }, { shapes: ["8x1"] }] };
    expect(withoutSource({ blocks: [bits] })).toEqual([".blocks[0].bits", ".blocks[0].shapes[1].shapes"]);
  });

  test.each(FILES)("%s gives one for every figure, and uses each that it lists", (file) => {
    const { sources, ...entries } = parse(read(file)) as Record<string, unknown>;
    expect(withoutSource(entries)).toEqual([]);
    expect([...new Set(sourcesUsed(entries))].sort()).toEqual(Object.keys(sources as object).sort());
  });

  test("only the generic device is invented, and it says so", () => {
    for (const file of FILES) {
      const { sources } = parse(read(file)) as { sources: Record<string, { mark: string }> };
      const invented = Object.values(sources).filter(({ mark }) => mark === "invented").length;
      expect(invented, file).toBe(file === "generic-10k.yaml" ? 1 : 0);
    }
    expect(findDevice("generic-10k").family).toContain("invented");
  });

  test("a clock is recalled or invented, never claimed as read", () => {
    for (const file of FILES) {
      const { sources, blocks } = parse(read(file)) as {
        sources: Record<string, { mark: string }>;
        blocks: { max_clock_mhz: { source: string } }[];
      };
      const marks = blocks.map((block) => sources[block.max_clock_mhz.source]?.mark);
      expect(marks, file).toEqual(blocks.map(() => (file === "generic-10k.yaml" ? "invented" : "memory")));
    }
  });
});
