import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { blockMap, findDevice, loadDesign, pack } from "../../src/index.js";

const shippedDesign = (name: string) => fileURLToPath(new URL(`../../designs/${name}.yaml`, import.meta.url));

describe("the map of blocks in a terminal", () => {
  it.each([100, 140])("has every block in %i columns, in characters that any terminal has", async (width) => {
    const { design } = loadDesign(shippedDesign("dish-controller"));
    const device = findDevice("ecp5-85f");
    const plan = await pack(design, device);
    const map = blockMap(plan, device, { width });
    for (const line of map.split("\n")) expect(line.length).toBeLessThanOrEqual(width);
    expect(map).toMatch(/^[\x20-\x7e\n]+$/);
    const counts = [...map.matchAll(/\bx([\d,]+)/g)].map(([, count]) => Number(count!.replace(",", "")));
    expect(counts.reduce((sum, count) => sum + count, 0)).toBe(plan.totals.blocks.EBR);
  });

  it("draws empty words as - and empty bits of words as :", async () => {
    const { design } = loadDesign(shippedDesign("weather-mast"));
    const device = findDevice("up5k");
    const map = blockMap(await pack(design, device), device);
    expect(map).toContain("SPRAM: 4 blocks");
    expect(map).toMatch(/\|-+\|/);
  });
});
