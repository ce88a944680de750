import { describe, expect, it } from "vitest";
import { type Sweep, type SweepRow, sweepCsv, sweepJson, sweepTable } from "../../src/index.js";

const COUNTS = {
  accesses: 400,
  hits: 300,
  misses: 100,
  missesOf: { fetch: 0, read: 60, write: 40 },
  writeBacks: 7,
};

/** A row of figures invented for these tests. */
function row(index: number, fields: Partial<SweepRow> = {}): SweepRow {
  return {
    index,
    values: { "l1d.ways": 2 ** index },
    device: "ecp5-25f",
    status: "optimal",
    usage: {
      blocks: { EBR: 10 + index },
      available: { EBR: 56 },
      blockBits: 100_000,
      requestedBits: 80_000,
      logicBits: 1024,
      luts: 1234,
      lutsAvailable: 24_000,
      lutMemory: 100,
      lutMemoryAvailable: 18_000,
      registers: 56,
      cascade: 2,
      proven: true,
    },
    warnings: [],
    fits: true,
    efficiency: 0.8,
    capacity: 81_024,
    caches: {},
    pareto: null,
    smallestDevice: null,
    ...fields,
  };
}

function swept(fields: Partial<Sweep> = {}): Sweep {
  return {
    format: "ramtailor-sweep/1",
    design: "mast",
    axes: [{ path: "l1d.ways", values: [1, 2] }],
    devices: [{ name: "ecp5-25f", blockBits: 1_032_192 }],
    total: 2,
    rows: [row(0), row(1)],
    leftOut: 0,
    problems: [],
    pareto: null,
    varyingCaches: [],
    trace: null,
    partsPacked: 5,
    interrupted: false,
    ...fields,
  };
}

/** A table without its colours' absence and line breaks in prose. */
const flat = (text: string) => text.replace(/\s+/g, " ");

describe("the table of a sweep", () => {
  it("has a row for each combination and the caution of every plan", () => {
    const text = sweepTable(swept());
    expect(text).toMatch(/^mast on ecp5-25f: 2 combinations$/m);
    expect(text).toMatch(/^ +2 +11 +80% +1,234 +56 +2 +79\.1K +optimal$/m);
    expect(text).toContain("2 of 2 rows fit.");
    expect(flat(text)).toContain("These figures are estimates before place-and-route");
    expect(text).not.toContain("Marked");
  });

  it("explains its marks", () => {
    const text = sweepTable(
      swept({
        pareto: [
          { name: "blocks", goal: "min" },
          { name: "capacity", goal: "max" },
        ],
        rows: [row(0, { pareto: true }), row(1, { pareto: false, warnings: ["l1d: aliases", "l1d: more"] })],
      }),
    );
    expect(text).toMatch(/^\* +1 +10 /m);
    expect(text).toMatch(/^! +2 +11 /m);
    expect(flat(text)).toContain("better in one of least blocks and most capacity and as good in the others");
    expect(flat(text)).toContain("Marked !: has a warning of its own. l1d: aliases; and 1 more");
  });

  it("names the smallest part that fits", () => {
    const devices = [
      { name: "ecp5-45f", blockBits: 1_990_656 },
      { name: "ecp5-25f", blockBits: 1_032_192 },
    ];
    const rows = [
      row(0, { device: "ecp5-45f", smallestDevice: false }),
      row(1, { smallestDevice: true, values: { "l1d.ways": 1 } }),
      row(2, { device: "ecp5-45f", smallestDevice: true }),
      row(3, { smallestDevice: false, fits: false, status: "over-budget", values: { "l1d.ways": 4 } }),
    ];
    const text = sweepTable(swept({ devices, rows, total: 4 }));
    expect(text).toMatch(/ecp5-25f < /);
    expect(flat(text)).toContain("ecp5-25f (1,032,192 bits) for 1 and ecp5-45f (1,990,656 bits) for 1.");
    const none = rows.map((each) => ({ ...each, fits: false, smallestDevice: false }));
    expect(sweepTable(swept({ devices, rows: none }))).toContain("No part fits.");
  });

  it("writes blocks with their pools where there are several", () => {
    const usage = { ...row(0).usage, blocks: { EBR: 12, SPRAM: 1.5, DSP: 0 } };
    const text = sweepTable(swept({ rows: [row(0, { usage })] }));
    expect(text).toMatch(/ 12 EBR /);
    expect(text).toMatch(/ 1\.5 SPRAM/);
    expect(text).not.toContain("DSP");
  });

  it("has hit rates with a trace and rules of thumb without", () => {
    const rules = { missesBySquareRoot: Math.SQRT2, directMappedBytes: 8192 };
    const caches = { l1d: { bytes: 4096, counts: COUNTS, hitRate: 0.75, rules: null } };
    const trace = { file: "steer.csv", accesses: { fetch: 1, read: 2, write: 0 }, behind: {} };
    const traced = sweepTable(swept({ rows: [row(0, { caches })], trace, varyingCaches: ["l1d"] }));
    expect(traced).toMatch(/optimal +75%$/m);
    expect(flat(traced)).toContain(
      "Hits: steer.csv, 1 fetch, 2 reads, 0 writes. Each cache starts empty and sees",
    );
    const behind = sweepTable(swept({ trace: { ...trace, behind: { l2: ["l1i", "l1d"] } } }));
    expect(flat(behind)).toContain(
      "empty; every other sees the whole trace of its kinds as if it were alone. l2 sees what l1i and l1d pass on.",
    );
    const untraced = { l1d: { bytes: 4096, counts: null, hitRate: null, rules } };
    const ruled = sweepTable(swept({ rows: [row(0, { caches: untraced })], varyingCaches: ["l1d"] }));
    expect(ruled).toMatch(/optimal +x1\.41 +8 KiB$/m);
    expect(flat(ruled)).toContain("Rules of thumb, no measurement");
  });

  it("lists what could not be packed, and counts what is more than a screen", () => {
    const problems = Array.from({ length: 25 }, (_, index) => ({
      index,
      values: { "l1d.ways": 3 },
      device: index === 0 ? null : "up5k",
      problem: `line 6: wrong ${index}\u001b`,
    }));
    const text = sweepTable(swept({ problems }));
    expect(text).toContain("25 combinations cannot be packed\n- l1d.ways = 3: line 6: wrong 0?\n");
    expect(text).toContain("- l1d.ways = 3, on up5k: line 6: wrong 19?\n- and 5 more (--json has all)\n");
    expect(text).not.toContain("\u001b");
  });

  it("says how far an interrupted sweep came", () => {
    const text = sweepTable(swept({ rows: [], total: 2000, leftOut: 999, interrupted: true }));
    expect(text).toContain("Interrupted: 999 of 2,000 are done.");
    expect(text).toContain("No row is left: all 999 left out by --where.");
  });

  it("keeps the width with many columns", () => {
    const axes = ["l1d.ways", "l1d.size", "l1d.replacement"].map((path) => ({ path, values: [1] }));
    const values = { "l1d.ways": 1024, "l1d.size": "1024 KiB", "l1d.replacement": "lru-matrix" };
    const caches = { l1d: { bytes: 4096, counts: COUNTS, hitRate: 0.98765, rules: null } };
    const devices = [
      { name: "ecp5-25f", blockBits: 1 },
      { name: "xcku5p", blockBits: 2 },
    ];
    const text = sweepTable(
      swept({
        axes,
        devices,
        pareto: [{ name: "blocks", goal: "min" }],
        varyingCaches: ["l1d"],
        trace: { file: "t.csv", accesses: { fetch: 0, read: 0, write: 0 }, behind: {} },
        rows: [row(0, { values, caches, smallestDevice: true, status: "over-budget", fits: false })],
      }),
    );
    for (const line of text.split("\n")) expect(line.length, line).toBeLessThanOrEqual(100);
    expect(flat(text)).toContain("the table leaves out registers; --csv and --json have all.");
    expect(text).not.toContain("regi-");
  });
});

describe("the files of a sweep", () => {
  it("are JSON as the type says", () => {
    const all = swept({ trace: { file: "t.csv", accesses: { fetch: 0, read: 0, write: 0 }, behind: {} } });
    expect(JSON.parse(sweepJson(all))).toEqual(all);
  });

  it("are CSV with one line a row, in which no text is a formula", () => {
    const rows = [
      row(0, {
        values: { "l1d.ways": 'say "1, 2"' },
        caches: { l1d: { bytes: 4096, counts: COUNTS, hitRate: 0.75, rules: null } },
        pareto: true,
      }),
      row(1, { values: { "l1d.ways": "=1+2" } }),
    ];
    const trace = { file: "t.csv", accesses: { fetch: 0, read: 0, write: 0 }, behind: {} };
    const csv = sweepCsv(swept({ rows, trace, pareto: [{ name: "blocks", goal: "min" }] }));
    expect(csv.split("\n")).toEqual([
      "l1d.ways,device,status,fits,blocks.EBR,block_bits,efficiency,capacity,luts,registers,cascade,l1d.hit_rate,l1d.misses,l1d.write_backs,pareto",
      '"say ""1, 2""",ecp5-25f,optimal,true,10,100000,0.8,81024,1234,56,2,0.75,100,7,true',
      "'=1+2,ecp5-25f,optimal,true,11,100000,0.8,81024,1234,56,2,,,,",
      "",
    ]);
  });
});
