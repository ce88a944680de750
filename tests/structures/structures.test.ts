import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { STRUCTURES } from "../../src/structures/index.js";
import { allBits, build, part, problems, shapeOf, type Written } from "./build.js";

describe("the list of structures", () => {
  it("has each kind once", () => {
    const kinds = STRUCTURES.map((s) => s.kind);
    expect(new Set(kinds).size).toBe(kinds.length);
  });

  it.each(STRUCTURES.map((s) => s.kind))("%s refuses a mapping with its kind alone", (kind) => {
    const schema = STRUCTURES.find((s) => s.kind === kind)!.schema;
    expect(schema.safeParse({ kind }).success).toBe(false);
  });
});

describe("register file", () => {
  const base: Written = { kind: "register-file", entries: 32, width: 64, reads: 2, writes: 2 };

  it("has its ports, and carries the common fields over", () => {
    const [request] = build({ ...base, instances: 3, realisation: "exclusive-or", read: "async" }).requests;
    expect(request).toMatchObject({
      name: "x",
      structure: "x",
      depth: 32,
      width: 64,
      ports: { read: 2, write: 2, readWrite: 0 },
      instances: 3,
      realisation: "exclusive-or",
      read: "async",
    });
  });

  it("refuses a realisation that is none", () => {
    expect(problems({ ...base, realisation: "copies" })[0]).toContain(
      "realisation: expected one of one-copy",
    );
  });
});

describe("direction predictor", () => {
  const tagged: Written = {
    kind: "direction-predictor",
    scheme: "tagged",
    tables: { count: 4, entries: 64, tag: 7, min_history: 8, max_history: 64 },
  };

  it("gives equal tagged tables as instances of one memory outside any group", () => {
    const [tables] = build({ ...tagged, instances: 3 }).requests;
    expect(shapeOf(tables!)).toBe("12 of 64x12");
    expect(tables?.lockstep).toBeNull();
    expect(tables?.formula).toEqual({
      depth: "entries 64, 4 tables, over 8, 16, 32, 64 bits of history",
      width: "tag 7 + counter 3 + useful 2 = 12",
    });
  });

  it("takes tables one by one for what the same series takes", () => {
    const listed = [8, 16, 32, 64].map((history) => ({ entries: 64, tag: 7, history }));
    expect(build({ ...tagged, tables: listed })).toEqual(build(tagged));
  });

  it.each([
    [{ ...tagged, tables: [] }, "tables"],
    [
      { ...tagged, tables: { ...(tagged.tables as object), max_history: 4 } },
      "tables.max_history: expected at least",
    ],
    [{ ...tagged, base: { entries: 1024, hysteresis: 1000 } }, "base.hysteresis: expected a divisor"],
    [{ ...tagged, base: { entries: 1024, counter: 1, hysteresis: 256 } }, "base.counter: expected 2 bits"],
    [{ kind: "direction-predictor", scheme: "global-history", history: 40 }, "history: expected at most 24"],
    [{ kind: "direction-predictor", scheme: "perceptron" }, "scheme: expected a scheme"],
    [{ kind: "direction-predictor", scheme: "bimodal", entries: 64, history: 4 }, "history"],
  ] as [Written, string][])("refuses %j", (written, message) => {
    expect(problems(written)).toHaveLength(1);
    expect(problems(written)[0]).toContain(message);
  });
});

describe("branch target buffer", () => {
  const base: Written = { kind: "branch-target-buffer", entries: 512, address: 39 };

  it("holds the tag bits that index and alignment leave", () => {
    const entries = part(build({ ...base, ways: 4, extra: 2, replacement: "fifo" }), "entries");
    expect(shapeOf(entries)).toBe("4 of 128x72");
    expect(entries.formula?.width).toBe(
      "address 39 - index 7 - alignment 1 + valid 1 + target 38 + extra 2 = 72",
    );
    expect(entries.lockstep).toEqual({ group: "x.ways", members: 4, together: false });
  });

  it("can keep a shorter tag and target", () => {
    const [entries] = build({ ...base, tag: 12, target: 21, extra: 2 }).requests;
    expect(shapeOf(entries!)).toBe("1 of 512x36");
    expect(entries?.lockstep).toBeNull();
  });

  it.each([
    [{ ways: 3 }, "entries: expected 3 (ways) times a power of two"],
    [{ tag: 30 }, "tag: expected at most the 29 bits"],
    [{ address: 10 }, "address: expected more than 10 bits"],
    [{ ways: "all" }, "ways: expected a number of ways"],
    [{ ways: "full", in: ["EBR"] }, "in: expected registers"],
    [{ ways: "full", realisation: "replication" }, "realisation: expected registers"],
  ])("refuses %j", (fields, message) => {
    expect(problems({ ...base, ...fields })).toHaveLength(1);
    expect(problems({ ...base, ...fields })[0]).toContain(message);
  });
});

describe("TLB", () => {
  const base: Written = { kind: "tlb", entries: 1024, ways: 4, mode: "sv39", address: 38, asid: 8 };

  it("in sets gives tags, data and replacement state in one group", () => {
    const tlb = build({ ...base, instances: 2 });
    expect(tlb.requests.map((r) => `${r.name} ${shapeOf(r)}`)).toEqual([
      "x.tag 8 of 256x28",
      "x.data 8 of 256x33",
      "x.replacement 2 of 256x3",
    ]);
    expect(new Set(tlb.requests.map((r) => r.lockstep?.group))).toEqual(new Set(["x.ways"]));
    expect(tlb.requests.map((r) => r.instances / r.lockstep!.members)).toEqual([2, 2, 2]);
    expect(tlb.warnings).toEqual([]);
  });

  it.each([
    [{ mode: "sv57" }, "mode: expected one of sv32, sv39, sv48"],
    [{ asid: 17 }, "asid: expected at most the 16 bits"],
    [{ mode: "sv32", asid: 10, address: 34 }, "asid: expected at most the 9 bits"],
    [{ address: 57 }, "address: expected 13 to 56 bits"],
    [{ entries: 1000 }, "entries: expected 4 (ways) times a power of two"],
    [{ page_sizes: 4 }, "page_sizes: expected at most the 3"],
  ])("refuses %j", (fields, message) => {
    expect(problems({ ...base, ...fields })).toHaveLength(1);
    expect(problems({ ...base, ...fields })[0]).toContain(message);
  });
});

describe("FIFO", () => {
  it("may run between two clocks", () => {
    const [request] = build({ kind: "fifo", depth: 512, width: 36, clocks: 2 }).requests;
    expect(request).toMatchObject({
      depth: 512,
      width: 36,
      clocks: 2,
      ports: { read: 1, write: 1, readWrite: 0 },
    });
    expect(problems({ kind: "fifo", depth: 512, width: 36, clocks: 3 })[0]).toContain(
      "expected 1 or 2 clocks",
    );
  });
});

describe("line buffer", () => {
  const base: Written = { kind: "line-buffer", pixels: 640, width: 12 };

  it("holds a line less than it has taps, all written together", () => {
    const [request] = build({ ...base, taps: 5, instances: 2 }).requests;
    expect(shapeOf(request!)).toBe("8 of 640x12");
    expect(request?.lockstep).toEqual({ group: "x.lines", members: 4, together: true });
    expect(build({ ...base, lines: 4, instances: 2 }).requests).toEqual([request]);
    expect(build({ ...base, lines: 1 }).requests[0]?.lockstep).toBeNull();
  });

  it.each([
    [{}, "lines: missing"],
    [{ taps: 1 }, "taps: expected at least 2"],
    [{ taps: 3, lines: 3 }, "taps: expected 4"],
  ])("refuses %j", (fields, message) => {
    expect(problems({ ...base, ...fields })[0]).toContain(message);
  });
});

describe("scratchpad", () => {
  it("holds as many data bits as its size, over its banks", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 64 }),
        fc.integer({ min: 1, max: 500 }),
        fc.integer({ min: 1, max: 9 }),
        (bytes, depth, banks) => {
          const derived = build({
            kind: "scratchpad",
            size: `${bytes * depth * banks} B`,
            width: 8 * bytes,
            lane: 8,
            banks,
          });
          expect(allBits(derived.requests)).toBe(8 * bytes * depth * banks);
          expect(derived.requests[0]?.instances).toBe(banks);
        },
      ),
    );
  });

  const base: Written = { kind: "scratchpad", size: "2 MiB", width: 64 };

  it("adds check bits and takes ports in the short form", () => {
    const [request] = build({ ...base, banks: 8, error_bits: 8, lane: 8, ports: "2rw" }).requests;
    expect(shapeOf(request!)).toBe("8 of 32768x72");
    expect(request?.lane).toBe(9);
    expect(request?.ports).toEqual({ read: 0, write: 0, readWrite: 2 });
  });

  it.each([
    [{ size: "100 B" }, "size: expected a whole number of 64-bit words"],
    [{ ports: "1w" }, "ports: expected counts of r, w and rw"],
    [{ ports: "1r", lane: 8 }, "lane: expected no lane where nothing is written"],
    [{ lane: 12 }, "lane: expected a lane that divides"],
  ])("refuses %j", (fields, message) => {
    expect(problems({ ...base, ...fields })).toHaveLength(1);
    expect(problems({ ...base, ...fields })[0]).toContain(message);
  });
});

describe("ROM", () => {
  it("takes a size or a depth, and has contents at start", () => {
    const [bySize] = build({ kind: "rom", size: "4 KiB", width: 32, reads: 2 }).requests;
    expect(bySize).toMatchObject({
      depth: 1024,
      width: 32,
      initialContents: true,
      ports: { read: 2, write: 0, readWrite: 0 },
    });
    const [byDepth] = build({ kind: "rom", depth: 1024, width: 32, reads: 2 }).requests;
    expect({ ...byDepth, formula: null }).toEqual({ ...bySize, formula: null });
  });

  it.each([
    [{}, "depth: missing"],
    [{ depth: 4, size: "16 B" }, "size: expected one of size and depth"],
    [{ size: "10 B" }, "size: expected a whole number of 32-bit words"],
  ])("refuses %j", (fields, message) => {
    expect(problems({ kind: "rom", width: 32, ...fields })[0]).toContain(message);
  });
});
