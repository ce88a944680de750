import { describe, expect, it } from "vitest";
import { brokenLimits, limitsJson, limitsText } from "../../src/report/index.js";
import * as made from "./plans.js";

const OVER = made.plan({
  status: "over-budget",
  totals: { blocks: { BLK: 12 }, over: { BLK: 2 }, luts: 1200, blockBits: 1000, wastedBits: 450 },
});

describe("limits", () => {
  it("are all kept by a plan that fits", () => {
    const plan = made.plan({ totals: { blockBits: 1000, wastedBits: 400 } });
    expect(brokenLimits(plan, 0.4)).toEqual([]);
    expect(limitsText(plan, [])).toBe(
      "test-bench on invented-18k fits (proven optimal): 1 of 10 BLK, 0 of 1,000 LUTs, " +
        "40% of the block bits wasted\n",
    );
  });

  it("are told one a line where they are broken", () => {
    const broken = brokenLimits(OVER, 0.4);
    expect(limitsText(OVER, broken).split("\n")).toEqual([
      "test-bench on invented-18k breaks 3 limits (proven optimal)",
      "BLK: 12 blocks used, 10 allowed, 2 over",
      "LUTs: 1,200 used, 1,000 allowed, 200 over",
      "waste: 45% of the block bits, 40% allowed",
      "",
    ]);
  });

  it("stand in the JSON with their figures", () => {
    const read = JSON.parse(limitsJson(OVER, brokenLimits(OVER, 0.4)));
    expect(read.passed).toBe(false);
    expect(read.broken).toEqual([
      { limit: "blocks", name: "BLK", used: 12, allowed: 10 },
      { limit: "luts", name: "LUTs", used: 1200, allowed: 1000 },
      { limit: "waste", name: "waste", used: 0.45, allowed: 0.4 },
    ]);
    expect(read.totals).toEqual(OVER.totals);
  });

  it("of waste are kept where no block is in use", () => {
    expect(brokenLimits(made.plan({ totals: { blockBits: 0, wastedBits: 0 } }), 0)).toEqual([]);
  });
});
