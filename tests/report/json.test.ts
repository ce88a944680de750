import { describe, expect, it } from "vitest";
import { planJson } from "../../src/report/index.js";
import * as made from "./plans.js";

const PLAN = made.plan({
  memories: [made.REGISTER_FILE, made.LOG],
  blocks: [made.block([made.tenant({ lane: 9 })])],
  warnings: [{ subject: "xregs", message: 'says [\n 1,\n 2\n] and "quotes"' }],
  totals: { blocks: { B: 1, A: 2 }, over: { B: 1 } },
});

/** The same value with the keys of every object in the opposite order. */
function reversed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(reversed);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([key, inner]) => [key, reversed(inner)]),
  );
}

describe("the JSON of a plan", () => {
  it("holds the whole plan and nothing else", () => {
    expect(JSON.parse(planJson(PLAN))).toEqual(PLAN);
  });

  it("does not depend on the order of keys", () => {
    expect(planJson(reversed(PLAN) as typeof PLAN)).toBe(planJson(PLAN));
  });

  it("has its format first, intervals in one line, a line end last", () => {
    const text = planJson(PLAN);
    expect(text.startsWith('{\n  "format": "ramtailor-plan/1",\n')).toBe(true);
    expect(text).toContain('"rows": [0, 1023],');
    expect(text.endsWith("}\n")).toBe(true);
  });
});
