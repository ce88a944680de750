import { describe, expect, it } from "vitest";
import { comparePlans } from "../../src/advise/compare/index.js";
import { compareJson, compareMarkdown, compareTable } from "../../src/report/index.js";
import { BYTES, LOG, memory, plan, REGISTER_FILE, TAGS } from "./plans.js";

const BEFORE = plan({
  memories: [LOG, TAGS, REGISTER_FILE],
  totals: { blocks: { BLK: 6 }, wastedBits: 44688 },
});
const AFTER = plan({
  memories: [{ ...LOG, depth: 3100, luts: 40 }, TAGS, BYTES],
  status: "feasible",
  objective: { value: 5, bound: 4, proven: false, nothingFits: false, lutsBound: null },
  totals: { blocks: { BLK: 5 }, luts: 40, wastedBits: 9000 },
});

describe("a comparison as text", () => {
  it("keeps within the width, with and without colours", () => {
    const comparison = comparePlans(BEFORE, AFTER);
    const bare = compareTable(comparison);
    for (const line of bare.split("\n")) expect(line.length, line).toBeLessThanOrEqual(100);
    expect(compareTable(comparison, { color: true })).toContain("\u001b[32m");
    expect(bare).not.toContain("\u001b");
  });

  it("says where a difference may be due to the time that packing was given", () => {
    expect(compareTable(comparePlans(BEFORE, AFTER))).toContain("Not proven optimal: the new one.");
    expect(compareTable(comparePlans(BEFORE, BEFORE))).not.toContain("Not proven");
    const elsewhere = { ...BEFORE, device: "invented-36k" };
    expect(compareTable(comparePlans(BEFORE, elsewhere))).toContain("The devices differ");
  });

  it("is the same each time", () => {
    for (const write of [compareTable, compareJson, compareMarkdown]) {
      const once = write(comparePlans(BEFORE, AFTER));
      expect(write(comparePlans(structuredClone(BEFORE), structuredClone(AFTER)))).toBe(once);
    }
  });
});

describe("a comparison as Markdown", () => {
  it("marks nothing up that a name holds", () => {
    const name = "a|b`c*d_e<script>[x](y)\n# h";
    const text = compareMarkdown(comparePlans(BEFORE, { ...AFTER, memories: [memory({ name })] }));
    const row = text.split("\n").find((line) => line.includes("script"))!;
    // A mark that stands alone has a backslash before it.
    expect(row.replace(/\\[^a-z0-9\s]/g, "").replaceAll("<br>", "")).not.toMatch(/[`*_<>[\]#]/);
    expect(row).toContain("\\<script\\>");
    expect(row.replace(/\\\|/g, "").split("|")).toHaveLength(7);
  });
});

describe("a comparison as JSON", () => {
  it("has both sides, the figures and the memories that changed", () => {
    const data = JSON.parse(compareJson(comparePlans(BEFORE, AFTER, { named: { BLK: 0 } })));
    expect(data).toMatchObject({
      format: "ramtailor-compare/1",
      passed: true,
      old: { status: "optimal", fits: true, memories: 3 },
      new: { status: "feasible", proven: false },
      budgets: [
        { name: "BLK", unit: "blocks", old: 6, new: 5, change: -1, allowed: 0, past: 0 },
        { name: "LUT", unit: "logic", old: 0, new: 40, change: 40, allowed: null, past: 0 },
        { name: "registers" },
      ],
      unchanged: 1,
    });
    expect(
      data.memories.map(({ name, change }: { name: string; change: string }) => `${name} ${change}`),
    ).toEqual(["event_log changed", "mailbox added", "xregs removed"]);
  });
});
