import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { compareCosts, metricCost, paretoMarks, readMetrics } from "../../../src/advise/sweep/metric.js";

const NAMES = ["blocks", "capacity", "fits"];

describe("metrics", () => {
  it("say which end is better", () => {
    const read = readMetrics("--pareto", "blocks, capacity:max,fits:min", NAMES);
    expect(read).toEqual([
      { name: "blocks", goal: "min" },
      { name: "capacity", goal: "max" },
      { name: "fits", goal: "min" },
    ]);
    expect(read.map((metric) => metricCost(metric, 5))).toEqual([5, -5, 5]);
    expect(metricCost(read[2]!, true)).toBe(1);
  });

  it("that are not known are worst, whichever end is better", () => {
    expect(metricCost({ name: "blocks", goal: "max" }, null)).toBe(Number.POSITIVE_INFINITY);
  });

  it.each([
    ["blocs", '--sort: "blocs" is no name here; did you mean "blocks"?'],
    ["blocks:most", '--sort: expected NAME, NAME:min or NAME:max, found "blocks:most"'],
    ["blocks:min:max", '--sort: expected NAME, NAME:min or NAME:max, found "blocks:min:max"'],
    ["", '--sort: "" is no name here; names: blocks, capacity, fits'],
  ])("%j is refused", (text, message) => {
    expect(() => readMetrics("--sort", text, NAMES)).toThrow(message);
  });

  it("order rows by the first that differs", () => {
    const rows = [
      [1, 2],
      [1, 1],
      [0, 9],
    ];
    expect(rows.toSorted(compareCosts)).toEqual([
      [0, 9],
      [1, 1],
      [1, 2],
    ]);
  });
});

describe("the Pareto set", () => {
  it("of a small table", () => {
    const rows = [
      [1, 5],
      [2, 4],
      [2, 5],
      [3, 4],
      [1, 5],
      [4, 1],
    ];
    expect(paretoMarks(rows)).toEqual([true, true, false, false, true, true]);
  });

  it("has a row at least as good for every row, and none that another of it beats", () => {
    const row = fc.array(fc.integer({ min: 0, max: 4 }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 20 }), (rows) => {
        const marks = paretoMarks(rows);
        const best = rows.filter((_, i) => marks[i]);
        const covers = (a: readonly number[], b: readonly number[]) => a.every((cost, i) => cost <= b[i]!);
        for (const each of rows) expect(best.some((other) => covers(other, each))).toBe(true);
        for (const each of best) {
          for (const other of best) if (covers(other, each)) expect(other).toEqual(each);
        }
      }),
    );
  });
});
