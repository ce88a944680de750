import { describe, expect, it } from "vitest";
import { comparePlans } from "../../../src/advise/compare/index.js";
import { findDevice, readDesign } from "../../../src/input/index.js";
import type { Plan } from "../../../src/model/index.js";
import { pack } from "../../../src/plan/pack.js";

const device = findDevice("ecp5-25f");

/** Packs memories, one a line. */
async function planOf(...memories: string[]): Promise<Plan> {
  const lines = memories.map((line) => `  - { ${line} }`);
  const read = readDesign({ file: "d.yaml", text: `design: d\nmemories:\n${lines.join("\n")}\n` });
  if (!read.ok) throw new Error("the design has errors");
  return pack(read.design, device);
}

const LOG = "name: log, depth: 2000, width: 18, ports: 1r1w";
const TAGS = "name: tags, depth: 512, width: 21, ports: 1r1w, instances: 4";

describe("two plans", () => {
  it("of one design have no difference", async () => {
    const { passed, memories, unchanged, budgets } = comparePlans(
      await planOf(LOG, TAGS),
      await planOf(LOG, TAGS),
    );
    expect({ passed, memories, unchanged }).toEqual({ passed: true, memories: [], unchanged: 2 });
    expect(budgets.map(({ name, change }) => [name, change])).toEqual([
      ["EBR", 0],
      ["LUT", 0],
      ["registers", 0],
    ]);
  });

  it("differ by what was added, removed and changed, with all sums", async () => {
    const before = await planOf(LOG, TAGS);
    const after = await planOf(
      LOG.replace("2000", "2100"),
      "name: queue, depth: 1024, width: 18, ports: 1r1w",
    );
    const { memories, unchanged, budgets, bits } = comparePlans(before, after);
    expect(memories.map(({ name, change }) => [name, change])).toEqual([
      ["log", "changed"],
      ["queue", "added"],
      ["tags", "removed"],
    ]);
    expect(unchanged).toBe(0);
    const gained = memories.reduce((sum, { blocks }) => sum + (blocks.EBR ?? 0), 0);
    expect(gained).toBeCloseTo(budgets[0]!.change, 2);
    expect(budgets[0]).toMatchObject({ old: before.totals.blocks.EBR, new: after.totals.blocks.EBR });
    const { waste, wasted } = bits;
    const parts = Object.values(waste).reduce((sum, { change }) => sum + change, 0);
    expect(parts).toBe(wasted.change);
    expect(wasted.change).toBe(after.totals.wastedBits - before.totals.wastedBits);
  });

  it.each([
    ["a width", "width: 21", "width: 22", ["geometry", "waste"]],
    ["ports", "ports: 1r1w", "ports: 2r1w", ["geometry", "realisation", "shapes", "blocks", "waste"]],
    ["a lane that fits", "ports: 1r1w", "ports: 1r1w, lane: 9", ["geometry"]],
    ["instances", "instances: 4", "instances: 5", ["instances", "blocks", "waste"]],
    [
      "the home",
      "instances: 4",
      "instances: 4, in: LUT",
      ["realisation", "shapes", "blocks", "waste", "logic"],
    ],
  ])("tell %s apart", async (_, from, to, aspects) => {
    const { memories } = comparePlans(await planOf(TAGS), await planOf(TAGS.replace(from, to)));
    expect(memories.map((each) => each.aspects)).toEqual([aspects]);
  });

  it("tell shares of a block to 1/1000", async () => {
    const left = "name: left, depth: 200, width: 18, ports: 1rw";
    const right = "name: right, depth: 100, width: 18, ports: 1rw";
    const { budgets, memories } = comparePlans(await planOf(left), await planOf(left, right));
    expect(budgets[0]!.change).toBe(0);
    expect(memories.map(({ name, aspects, blocks }) => ({ name, aspects, blocks }))).toEqual([
      { name: "left", aspects: ["blocks", "waste"], blocks: { EBR: -0.333 } },
      { name: "right", aspects: [], blocks: { EBR: 0.333 } },
    ]);
  });
});

describe("an allowance", () => {
  const plans = async () =>
    [await planOf(TAGS), await planOf(TAGS.replace("instances: 4", "instances: 7"))] as const;

  it.each([
    ["no block where nothing is said", {}, false, 3],
    ["blocks of every pool", { blocks: 3 }, true, 0],
    ["one block too few", { blocks: 2 }, false, 1],
    ["a pool by name over the general one", { blocks: 9, named: { EBR: 1 } }, false, 2],
    ["a pool by name alone", { named: { EBR: 3 } }, true, 0],
  ])("is %s", async (_, allowance, passed, past) => {
    const comparison = comparePlans(...(await plans()), allowance);
    expect(comparison.passed).toBe(passed);
    expect(comparison.budgets[0]).toMatchObject({ name: "EBR", change: 3, past });
  });

  it("judges logic only where it names it", async () => {
    const old = await planOf(TAGS);
    const after = await planOf(TAGS.replace("instances: 4", "instances: 4, in: LUT"));
    expect(comparePlans(old, after).passed).toBe(true);
    const gained = after.totals.luts - old.totals.luts;
    expect(gained).toBeGreaterThan(1);
    expect(comparePlans(old, after, { named: { LUT: gained } }).passed).toBe(true);
    const { passed, budgets } = comparePlans(old, after, { named: { LUT: gained - 1 } });
    expect([passed, budgets.find(({ name }) => name === "LUT")!.past]).toEqual([false, 1]);
  });

  it("does not help a design that does not fit", async () => {
    const after = await planOf(TAGS.replace("instances: 4", "instances: 57"));
    expect(after.status).toBe("over-budget");
    expect(comparePlans(await planOf(TAGS), after, { blocks: 1000 })).toMatchObject({ passed: false });
  });
});
