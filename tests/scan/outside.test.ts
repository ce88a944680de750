import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { designText, readDesign } from "../../src/index.js";
import { HIERARCHIES } from "./hierarchy-cases.js";
import { arraysByIcarus, arraysByScan, arraysByVerilator } from "./outside.js";
import { randomHierarchy } from "./random-hierarchy.js";
import { scanText } from "./scan-text.js";
import { SHAPES } from "./shape-cases.js";

const sorted = (counts: ReadonlyMap<string, number>) => [...counts].sort();

describe("depth, width and instances agree with Icarus Verilog", () => {
  // Icarus Verilog 11 does not know type parameters.
  it.each(HIERARCHIES.filter(([, source]) => !source.includes("parameter type")))("%s", async (_, source) => {
    const found = arraysByScan(await scanText(source, { top: "top", registersBelow: 0 }));
    expect(sorted(found)).toEqual(sorted(arraysByIcarus(source, "top")));
  });

  it("on random hierarchies of parameters, loops, conditions and functions", async () => {
    let arrays = 0;
    await fc.assert(
      fc.asyncProperty(randomHierarchy, async (source) => {
        const result = await scanText(source, { top: "top", registersBelow: 0 });
        expect(result.questions).toEqual([]);
        expect(result.unread).toEqual([]);
        expect(readDesign({ file: "x.yaml", text: designText(result) }).ok).toBe(true);
        const outside = arraysByIcarus(source, "top");
        expect(sorted(arraysByScan(result))).toEqual(sorted(outside));
        arrays += outside.size;
      }),
      { numRuns: 40, seed: 11 },
    );
    expect(arrays).toBeGreaterThan(80);
  });
});

describe("depth and width agree with Verilator", () => {
  // A bank of several counts as one array there; every scan of these has one instance.
  it.each(SHAPES.filter(([, source]) => !source.includes("x[i][a]")))("%s", async (_, source) => {
    const found = arraysByScan(await scanText(source, { top: "m", registersBelow: 0 }));
    expect(sorted(found)).toEqual(sorted(arraysByVerilator(source, "m")));
  });
});
