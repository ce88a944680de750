import { describe, expect, it } from "vitest";
import { allBits, build, part, shapeOf, type Written } from "../structures/build.js";

const KIBIT = 1024;
const predictor = (fields: Record<string, unknown>): Written => ({ kind: "direction-predictor", ...fields });

describe("tournament predictor: hardware reference manual of a 64-bit core of 1999, pages 2-4 and 2-5", () => {
  it("local history 1K x 10, local counters 1K x 3, global 4K x 2, choice 4K x 2: 29 Kbit", () => {
    const local = build(predictor({ scheme: "local", entries: 1024, history: 10, counter: 3 }));
    const global = build(predictor({ scheme: "global-history", history: 12 }));
    const choice = build(predictor({ scheme: "global-history", history: 12 }));
    expect(shapeOf(part(local, "histories"))).toBe("1 of 1024x10");
    expect(shapeOf(part(local, "counters"))).toBe("1 of 1024x3");
    expect(shapeOf(part(global, "counters"))).toBe("1 of 4096x2");
    expect(allBits([local, global, choice].flatMap((d) => d.requests))).toBe((10 + 3 + 8 + 8) * KIBIT);
  });
});

describe("correlating predictors: Hennessy & Patterson, Computer Architecture, 5th edition, section 3.3 (from memory)", () => {
  it("a (0,2) predictor of 4K entries and a (2,2) predictor of 1K entries both take 8 Kbit", () => {
    const none = build(predictor({ scheme: "correlating", history: 0, counter: 2, entries: 4096 }));
    const two = build(predictor({ scheme: "correlating", history: 2, counter: 2, entries: 1024 }));
    expect(allBits(none.requests)).toBe(8 * KIBIT);
    expect(allBits(two.requests)).toBe(8 * KIBIT);
  });

  // Documentation of an open out-of-order core, Branch Prediction Configurations.
  it.each([2, 8, 14])("%i bits of global history go with 2^n two-bit counters", (history) => {
    expect(shapeOf(part(build(predictor({ scheme: "global-history", history })), "counters"))).toBe(
      `1 of ${2 ** history}x2`,
    );
  });
});

describe("Seznec, A 256 Kbits L-TAGE branch predictor, 2007 (table of sizes read at second hand)", () => {
  const depths = [1024, 1024, 2048, 2048, 2048, 2048, 1024, 1024, 1024, 1024, 512, 512];
  const tags = [7, 7, 8, 8, 9, 10, 11, 12, 12, 13, 14, 15];
  const histories = [4, 6, 10, 16, 25, 40, 64, 101, 160, 254, 403, 640];
  const derived = build(
    predictor({
      scheme: "tagged",
      base: { entries: 16_384, hysteresis: 4096 },
      tables: depths.map((entries, i) => ({ entries, tag: tags[i], history: histories[i] })),
      counter: 3,
      useful: 2,
    }),
  );

  it("takes 247,296 bits, 241.5 Kbit", () => {
    expect(allBits(derived.requests)).toBe(247_296);
    expect(allBits(derived.requests) / KIBIT).toBe(241.5);
  });

  it("has 16,384 prediction bits, 4,096 shared hysteresis bits and twelve tagged tables", () => {
    expect(shapeOf(part(derived, "base"))).toBe("1 of 16384x1");
    expect(shapeOf(part(derived, "hysteresis"))).toBe("1 of 4096x1");
    const tagged = derived.requests.filter((r) => r.name.includes("tagged"));
    expect(tagged.reduce((sum, r) => sum + r.instances, 0)).toBe(12);
    expect(shapeOf(part(derived, "tagged_1024x12"))).toBe("2 of 1024x12");
  });

  it("the published histories are a geometric series from 4 to 640", () => {
    const series = build(
      predictor({
        scheme: "tagged",
        tables: { count: 12, entries: 1024, tag: 8, min_history: 4, max_history: 640 },
      }),
    );
    expect(part(series, "tagged_1024x13").formula?.depth).toContain(`over ${histories.join(", ")} bits`);
  });
});

describe("Seznec, TAGE-SC-L, fifth branch prediction championship (read at second hand; loop predictor apart)", () => {
  it.each([
    {
      name: "64 KB",
      groups: [
        [20, 1024, 12],
        [10, 1024, 8],
      ],
      base: 8192,
      tagged: [327_680, 122_880],
      baseBits: 10_240,
    },
    {
      name: "8 KB",
      groups: [
        [17, 128, 13],
        [9, 128, 9],
      ],
      base: 4096,
      tagged: [36_992, 14_976],
      baseBits: 5120,
    },
  ])("$name", ({ groups, base, tagged, baseBits }) => {
    const tables = groups.flatMap(([count, entries, tag]) =>
      Array.from({ length: count! }, () => ({ entries, tag })),
    );
    const derived = build(
      predictor({
        scheme: "tagged",
        base: { entries: base, hysteresis: base / 4 },
        tables,
        counter: 3,
        useful: 1,
      }),
    );
    const sums = derived.requests.filter((r) => r.name.includes("tagged")).map((r) => allBits([r]));
    expect(sums).toEqual(tagged);
    expect(allBits([part(derived, "base"), part(derived, "hysteresis")])).toBe(baseBits);
  });
});

describe("six tagged tables of an open out-of-order core (read in a public re-implementation; origin from memory)", () => {
  it("tags take 8,192 bits", () => {
    const depths = [128, 128, 256, 256, 128, 128];
    const tags = [7, 7, 8, 8, 9, 9];
    const tables = depths.map((entries, i) => ({ entries, tag: tags[i], history: 2 ** (i + 1) }));
    const of = (counter: number, useful: number) =>
      build(predictor({ scheme: "tagged", tables, counter, useful }));
    const entries = depths.reduce((a, b) => a + b, 0);
    expect(allBits(of(3, 2).requests) - entries * (3 + 2)).toBe(8192);
    expect(of(3, 2).requests.map(shapeOf)).toEqual(["2 of 128x12", "2 of 256x13", "2 of 128x14"]);
  });
});

describe("settings of open cores", () => {
  // Default Sv39 configuration file of an open 64-bit application core.
  it("return stack 2, branch targets 32, branch history 128", () => {
    const returns = build({ kind: "return-stack", entries: 2, width: 64 });
    const targets = build({ kind: "branch-target-buffer", entries: 32, address: 64 });
    const history = build(predictor({ scheme: "bimodal", entries: 128 }));
    expect(returns.requests.map(shapeOf)).toEqual(["1 of 2x64"]);
    // Address 64 - index 5 - alignment 1, valid, target 63.
    expect(targets.requests.map(shapeOf)).toEqual(["1 of 32x122"]);
    expect(history.requests.map(shapeOf)).toEqual(["1 of 128x2"]);
  });

  // Source of the branch target buffer of an open in-order core generator: 28 entries, fully associative, of
  // which 14 bits are matched; 512 one-bit counters; return stack of 6. The width of a target is invented.
  it("28 fully associative targets of 14 match bits, 512 one-bit counters", () => {
    const targets = build({
      kind: "branch-target-buffer",
      entries: 28,
      ways: "full",
      address: 39,
      tag: 14,
      target: 13,
    });
    expect(targets.requests.map(shapeOf)).toEqual([`1 of 28x${14 + 1 + 13}`]);
    expect(targets.requests[0]?.realisation).toBe("registers");
    const counters = build(predictor({ scheme: "bimodal", entries: 512, counter: 1 }));
    expect(allBits(counters.requests)).toBe(512);
  });
});
