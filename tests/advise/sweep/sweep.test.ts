import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { usageOf } from "../../../src/advise/sweep/usage.js";
import {
  editDesign,
  findDevice,
  OptionError,
  pack,
  readAxis,
  type SweepOptions,
  type SweepOutcome,
  simulateTrace,
  sweep,
} from "../../../src/index.js";
import { designOf, ECP5, SOURCE } from "./designs.js";

const folder = mkdtempSync(join(tmpdir(), "ramtailor-sweep-"));
afterAll(() => rmSync(folder, { recursive: true }));

/** A sweep of the test design on one device, in one thread unless told otherwise. */
function run(axes: readonly string[], options: Partial<SweepOptions> = {}) {
  return sweep({ source: SOURCE, axes: axes.map(readAxis), devices: [ECP5], jobs: 1, ...options });
}

describe("a sweep", () => {
  it("gives the figures that packing each changed design gives, in order", async () => {
    const { rows, problems, total } = await run(["l1d.ways=1,2,3,4", "l1d.size=4 KiB..16 KiB*2"], {
      jobs: 2,
    });
    expect(total).toBe(12);
    expect(rows.map(({ values }) => Object.values(values))).toEqual(
      [1, 2, 4].flatMap((ways) => ["4 KiB", "8 KiB", "16 KiB"].map((size) => [ways, size])),
    );
    for (const { values, status, usage, fits, efficiency, capacity } of rows) {
      const edits = Object.entries(values).map(([path, value]) => ({ path, value }));
      const edited = editDesign(SOURCE.text, edits);
      if (!edited.ok) throw new Error(edited.problem);
      const plan = await pack(designOf(edited.text), ECP5);
      expect({ status, usage }).toEqual({ status: plan.status, usage: usageOf(plan) });
      expect(fits).toBe(true);
      expect(efficiency).toBe(plan.totals.efficiency);
      expect(capacity).toBe(plan.totals.requestedBits + plan.totals.logicBits);
    }
    // Three ways leave no power of two of sets, in any size.
    expect(problems.map(({ values, device }) => [values["l1d.ways"], device])).toEqual(
      [1, 2, 3].map(() => [3, null]),
    );
    expect(problems[0]!.problem).toMatch(/^line 6: structures\[0\]\.size: expected a power of two of sets/);
  });

  it("packs only what conditions on inputs leave, and keeps only what conditions on results leave", async () => {
    const outcomes: SweepOutcome[] = [];
    const axes = ["l1d.ways=1,2,4", "l1d.size=4 KiB..16 KiB*2"];
    const all = await run(axes);
    const some = await run(axes, {
      where: ["l1d.size / l1d.ways <= 4 KiB && blocks < 10", "l1d.line == 32 B"],
      onOutcome: (outcome) => outcomes.push(outcome),
    });
    const small = all.rows.filter(({ warnings }) => warnings.length === 0);
    // The page limit of the virtual index is the same condition.
    expect(outcomes.map(({ index }) => index).sort((a, b) => a - b)).toEqual(small.map(({ index }) => index));
    const kept = small.filter(({ usage }) => usage.blocks.EBR! < 10);
    expect(kept.length).toBeGreaterThan(0);
    expect(kept.length).toBeLessThan(small.length);
    expect(some.rows).toEqual(kept);
    expect(some.leftOut).toBe(9 - kept.length);
  });

  it("marks the Pareto set among rows that fit, and sorts", async () => {
    const { rows } = await run(["samples.instances=1,2,60", "samples.width=18,36"], {
      pareto: "blocks,capacity:max",
      sort: "samples.width:max,samples.instances",
    });
    const instances = [1, 2, 60];
    expect(rows.map(({ values }) => Object.values(values))).toEqual(
      [36, 18].flatMap((width) => instances.map((count) => [count, width])),
    );
    const fitting = rows.filter(({ fits }) => fits);
    expect(fitting.length).toBe(4);
    const beaten = rows.filter((row) =>
      fitting.some(
        (other) =>
          other.usage.blocks.EBR! <= row.usage.blocks.EBR! &&
          other.capacity >= row.capacity &&
          (other.usage.blocks.EBR! < row.usage.blocks.EBR! || other.capacity > row.capacity),
      ),
    );
    const best = rows.filter((row) => row.fits && !beaten.includes(row));
    expect(rows.filter(({ pareto }) => pareto)).toEqual(best);
    expect(best.length).toBeLessThan(fitting.length);
  });

  it("compares devices and tells the smallest that fits", async () => {
    const devices = ["ecp5-85f", "ecp5-25f", "ecp5-45f"].map((name) => findDevice(name));
    const { rows, problems } = await run(["samples.instances=1,60"], {
      devices,
      where: ["device != 'none'"],
    });
    expect(
      rows.map(({ values, device, fits, smallestDevice }) => [
        values["samples.instances"],
        device,
        fits,
        smallestDevice,
      ]),
    ).toEqual([
      [1, "ecp5-85f", true, false],
      [1, "ecp5-25f", true, true],
      [1, "ecp5-45f", true, false],
      [60, "ecp5-85f", true, false],
      [60, "ecp5-25f", false, false],
      [60, "ecp5-45f", true, true],
    ]);
    expect(problems).toEqual([]);
  });

  it("tells what a device has no home for, and goes on", async () => {
    const source = { ...SOURCE, text: SOURCE.text.replace("ports: 1rw }\n", "ports: 1rw, in: SPRAM }\n") };
    const { rows, problems } = await run([], { source, devices: [ECP5, findDevice("up5k")] });
    expect(rows.map(({ device }) => device)).toEqual(["up5k"]);
    expect(problems).toMatchObject([
      { device: "ecp5-25f", problem: expect.stringContaining('ecp5-25f has no "SPRAM"') },
    ]);
    const rom = {
      ...SOURCE,
      text: `${SOURCE.text}  - { name: boot, depth: 64, width: 8, ports: 1r, in: SPRAM }\n`,
    };
    await expect(run(["boot.width=8,16"], { source: rom, devices: [findDevice("up5k")] })).rejects.toThrow(
      /^no combination can be packed: boot\.width = 8: boot: no block kind on up5k/,
    );
  });

  it("refuses paths, axes and names that do not exist", async () => {
    const refused = async (axes: readonly string[], message: string, options: Partial<SweepOptions> = {}) => {
      const error: unknown = await run(axes, options).catch((each: unknown) => each);
      expect(error).toBeInstanceOf(OptionError);
      expect((error as OptionError).message).toContain(message);
    };
    await refused(["l1d.wayz=1"], 'did you mean "ways"?');
    await refused(["l1dd.ways=1"], 'did you mean "l1d"?');
    await refused(["l1d.ways=1", "l1d.ways=2"], '"l1d.ways" is given twice');
    await refused(
      ["l1d.ways=1..10000", "l1d.size=1 KiB..200 KiB+1"],
      "expected at most 1,000,000 combinations",
    );
    await refused(["l1d.ways=1"], '"block" is no name here; did you mean "blocks"?', { pareto: "block" });
    await refused(["l1d.ways=1"], '"l1d.hit_rate" is no name here', { sort: "l1d.hit_rate" });
    await refused(["l1d.ways=1"], "is no number, so it orders nothing", { sort: "l1d.kind" });
    await refused(["l1d.ways=3,5"], "no combination can be packed: l1d.ways = 3: line 6:");
  });

  it("ends at a signal with what is done, and goes on from there", async () => {
    const axes = ["l1d.ways=1,2,4", "samples.depth=256..1024*2", "log.depth=100..400+100"];
    const stop = new AbortController();
    const outcomes: SweepOutcome[] = [];
    const seen: number[] = [];
    const first = await run(axes, {
      jobs: 2,
      signal: stop.signal,
      onOutcome(outcome) {
        outcomes.push(outcome);
        if (outcomes.length === 5) stop.abort();
      },
      onProgress: ({ done }) => seen.push(done),
    });
    expect(first.interrupted).toBe(true);
    expect(first.rows.length).toBe(outcomes.length);
    expect(first.rows.length).toBeLessThan(36);
    expect(seen).toEqual(seen.map((_, i) => i + 1));
    const whole = await run(axes);
    const rest = await run(axes, { done: outcomes, onOutcome: (outcome) => outcomes.push(outcome) });
    expect({ ...rest, partsPacked: 0 }).toEqual({ ...whole, partsPacked: 0 });
    expect(new Set(outcomes.map(({ index }) => index)).size).toBe(36);
    expect(outcomes).toHaveLength(36);
    // Each value of an axis is one distinct part, and the memories that share are packed together.
    expect(whole.partsPacked).toBeLessThan(25);
    const none = await run(axes, { done: outcomes });
    expect(none.partsPacked).toBe(0);
    expect(none.rows).toEqual(whole.rows);
  });
});

describe("caches in a sweep", () => {
  it("have the hit rates of the trace, one for each geometry", async () => {
    const path = join(folder, "trace.csv");
    const lines = Array.from({ length: 5000 }, (_, i) => {
      const address = ((i * 2_654_435_761) >>> 7) % 12_288;
      return `${["fetch", "read", "write"][i % 3]},${address}`;
    });
    writeFileSync(path, lines.join("\n"));
    const trace = { path, file: "trace.csv", sees: new Map([["l1d", ["read", "write"] as const]]) };
    const axes = ["l1d.size=4 KiB,8 KiB", "l1d.ways=1,2", "l1d.replacement=lru,none"];
    const swept = await run(axes, {
      trace,
      pareto: "blocks,l1d.misses",
      where: ["l1d.hit_rate == null || l1d.hit_rate < 1"],
    });
    expect(swept.trace).toEqual({
      file: "trace.csv",
      accesses: { fetch: 1667, read: 1667, write: 1666 },
      behind: {},
    });
    expect(swept.varyingCaches).toEqual(["l1d"]);
    for (const { values, caches } of swept.rows) {
      const ways = values["l1d.ways"] as number;
      const bytes = values["l1d.size"] === "4 KiB" ? 4096 : 8192;
      const figures = caches.l1d!;
      expect(figures.bytes).toBe(bytes);
      expect(figures.rules).toBeNull();
      if (values["l1d.replacement"] === "none" && ways > 1) {
        expect([figures.counts, figures.hitRate]).toEqual([null, null]);
        continue;
      }
      const geometry = {
        sets: bytes / 32 / ways,
        ways,
        lineBytes: 32,
        replacement: "lru" as const,
        writeAllocate: true,
        sees: ["read", "write"] as const,
      };
      const alone = await simulateTrace(path, path, [{ geometry }]);
      expect(figures.counts).toEqual(alone.caches[0]);
      expect(figures.hitRate).toBe(alone.caches[0]!.hits / 3333);
    }
  });

  it("are simulated behind others, once for each geometry before them", async () => {
    const path = join(folder, "levels.csv");
    const lines = Array.from(
      { length: 4000 },
      (_, i) => `${["read", "write"][i % 2]},${(i * 40_503) % 9000}`,
    );
    writeFileSync(path, lines.join("\n"));
    const l2 = "  - { kind: cache, name: l2, size: 8 KiB, line: 64 B, address: 32, replacement: lru }\n";
    const source = { ...SOURCE, text: SOURCE.text.replace("memories:\n", `${l2}memories:\n`) };
    const trace = { path, file: "levels.csv", behind: new Map([["l2", ["l1d"]]]) };
    const { rows, varyingCaches } = await run(["l1d.ways=1,2"], { source, trace });
    expect(varyingCaches).toEqual(["l1d", "l2"]);
    for (const { values, caches } of rows) {
      const common = { replacement: "lru", writeAllocate: true, sees: ["fetch", "read", "write"] } as const;
      const ways = values["l1d.ways"] as number;
      const chain = await simulateTrace(path, path, [
        { geometry: { ...common, sets: 128 / ways, ways, lineBytes: 32 } },
        { geometry: { ...common, sets: 128, ways: 1, lineBytes: 64 }, behind: [0] },
      ]);
      expect([caches.l1d!.counts, caches.l2!.counts]).toEqual(chain.caches);
      expect(caches.l2!.counts!.accesses).toBe(caches.l1d!.counts!.misses + caches.l1d!.counts!.writeBacks);
    }
    const circle = new Map([
      ["l2", ["l1d"]],
      ["l1d", ["l2"]],
    ]);
    await expect(run(["l1d.ways=1"], { source, trace: { ...trace, behind: circle } })).rejects.toThrow(
      '--behind: "l2" is behind itself',
    );
    const unknown = new Map([["l2", ["l1i"]]]);
    await expect(run(["l1d.ways=1"], { source, trace: { ...trace, behind: unknown } })).rejects.toThrow(
      '--behind: "l1i" is no name here',
    );
  });

  it("have rules of thumb without a trace", async () => {
    const { rows } = await run(["l1d.size=4 KiB,8 KiB,64 KiB", "l1d.ways=1,2,4"], {
      sort: "l1d.square_root_rule",
    });
    const rules = rows.map(({ values, caches }) => [
      values["l1d.size"],
      values["l1d.ways"],
      Math.round(1000 * caches.l1d!.rules!.missesBySquareRoot),
      caches.l1d!.rules!.directMappedBytes,
    ]);
    expect(rules).toEqual([
      ["64 KiB", 1, 250, 65_536],
      // 128 KiB direct-mapped: the rule is stated below that.
      ["64 KiB", 2, 250, null],
      ["64 KiB", 4, 250, null],
      ["8 KiB", 1, 707, 8192],
      ["8 KiB", 2, 707, 16_384],
      ["8 KiB", 4, 707, null],
      ["4 KiB", 1, 1000, 4096],
      ["4 KiB", 2, 1000, 8192],
      ["4 KiB", 4, 1000, null],
    ]);
  });

  it("refuses kinds for a cache that is not there", async () => {
    const trace = { path: "none", file: "none", sees: new Map([["l2", ["read"] as const]]) };
    await expect(run(["l1d.ways=1"], { trace })).rejects.toThrow('--sees: "l2" is no name here');
  });
});
