import { describe, expect, it } from "vitest";
import type { Device, MemoryRequest, Plan, PlanBlock, Tenant } from "../../src/model/index.js";
import { checkPlan, VIOLATION_LIMIT, type ViolationCode } from "../../src/plan/check.js";
import { mutations } from "./mutations.js";
import {
  type Case,
  cases,
  exclusive,
  lanes,
  lockstep,
  million,
  mixedPorts,
  oneTile,
  pumpedCopies,
  pumpedTurns,
  replication,
  romReads,
  sharedBlock,
  slabs,
  wideWord,
} from "./plan-fixtures.js";

/** The distinct codes, in alphabetical order. */
function codesOf(
  plan: Plan,
  requests: readonly MemoryRequest[],
  device: Device,
  clockMHz: number | null = null,
): readonly ViolationCode[] {
  return [...new Set(checkPlan(plan, requests, device, clockMHz).map(({ code }) => code))].sort();
}

/** The case with its first block changed. */
function withBlock(base: Case, change: Partial<PlanBlock>): Plan {
  const [first, ...rest] = base.plan.blocks;
  return { ...base.plan, blocks: [{ ...first!, ...change }, ...rest] };
}

/** The case with one tenant of its first block changed. */
function withTenant(base: Case, index: number, change: Partial<Tenant>): Plan {
  const { tenants } = base.plan.blocks[0]!;
  return withBlock(base, { tenants: tenants.map((t, i) => (i === index ? { ...t, ...change } : t)) });
}

/** The device with the mixed widths of every kind switched off. */
function withoutMixedWidths(device: Device): Device {
  const mixedWidths = { "simple-dual": false, "true-dual": false };
  return { ...device, blocks: device.blocks.map((kind) => ({ ...kind, mixedWidths })) };
}

describe("legal plans built by hand", () => {
  it.each(cases)("$name has no violation", ({ plan, requests, device, clockMHz }) => {
    expect(checkPlan(plan, requests, device, clockMHz)).toEqual([]);
  });
});

describe("widths and families", () => {
  it("unequal widths need a kind that has them", () => {
    const { plan, requests, device } = sharedBlock();
    expect(codesOf(plan, requests, withoutMixedWidths(device))).toEqual(["mixed-widths"]);
  });

  it("two parity families do not meet in a block", () => {
    const { requests, device, ...base } = sharedBlock();
    const plan = withTenant({ requests, device, ...base }, 1, {
      shape: "4096x4",
      bits: [0, 3],
      runs: [{ bits: [0, 3], at: 0 }],
      word: 4095,
    });
    expect(codesOf(plan, requests, device)).toContain("mixed-widths");
  });

  it("ports of unequal width need a kind that has them", () => {
    const { plan, requests, device } = mixedPorts();
    expect(codesOf(plan, requests, withoutMixedWidths(device))).toEqual(["mixed-widths"]);
  });

  it("ports of unequal width need a legal shape on the wide side", () => {
    const { plan, requests, device } = mixedPorts();
    // 9 x 8 = 72 bits: no such shape of the half block.
    const wider = requests.map((request) => ({ ...request, wordsPerAccess: { read: 1, write: 8 } }));
    expect(codesOf(plan, wider, device)).toEqual(["mixed-widths"]);
  });
});

describe("overlap", () => {
  it("one cell in common at unequal widths is found", () => {
    const base = sharedBlock();
    // p holds cells 0 to 10799; q's words are 9 cells each.
    const low = 10800 / 9;
    const legal = withTenant(base, 1, { inverted: false, word: low });
    const illegal = withTenant(base, 1, { inverted: false, word: low - 1 });
    expect(codesOf(legal, base.requests, base.device)).toEqual([]);
    expect(codesOf(illegal, base.requests, base.device)).toEqual(["overlap"]);
  });

  it("one word in common at equal widths is found", () => {
    const base = exclusive();
    const illegal = withTenant(base, 1, { word: 299 });
    expect(codesOf(illegal, base.requests, base.device)).toEqual(["overlap", "port-shared"]);
  });
});

describe("ports", () => {
  it("a one-port memory may not use both ports of a true dual block", () => {
    const base = slabs();
    const plan = withBlock(base, {
      arrangement: "true-dual",
      tenants: base.plan.blocks[0]!.tenants.map((t) => ({
        ...t,
        ports: ["A", "B"] as const,
        turns: [1, 1],
      })),
    });
    expect(codesOf(plan, base.requests, base.device)).toEqual(["ports"]);
  });

  it("a ROM of three reads is not served by two copies of one read", () => {
    const base = romReads();
    const plan = withTenant(base, 0, { ports: ["A"], turns: [1] });
    expect(codesOf(plan, base.requests, base.device)).toEqual(["copies"]);
  });

  it("two rectangles of one copy behind one port are addressed at once", () => {
    const base = slabs();
    const [one] = base.plan.blocks;
    const [whole] = one!.tenants;
    const plan = withBlock(base, {
      tenants: [
        { ...whole!, rows: [0, 1023] },
        { ...whole!, rows: [1024, 2047], word: 1024 },
      ],
    });
    expect(codesOf(plan, base.requests, base.device)).toContain("port-shared");
  });

  it("copies of one memory do not lie side by side: their addresses differ", () => {
    const base = replication();
    const [first] = base.plan.blocks[0]!.tenants;
    const narrow: MemoryRequest = { ...base.requests[0]!, width: 18 };
    const plan = withBlock(base, {
      tenants: [0, 1].map((copy) => ({
        ...first!,
        copy,
        bits: [0, 17] as const,
        runs: [{ bits: [0, 17] as const, at: 18 * copy }],
      })),
    });
    expect(codesOf(plan, [narrow], base.device)).toContain("port-shared");
  });
});

describe("write lanes", () => {
  it("members that are written apart may not share a hardware lane", () => {
    const base = lockstep();
    const plan = withTenant(base, 1, { runs: [{ bits: [0, 3], at: 12 }] });
    expect(codesOf(plan, base.requests, base.device)).toEqual(["lanes"]);
  });

  it("members that are written together need no lanes", () => {
    const base = lockstep();
    const together = base.requests.map((request) => ({
      ...request,
      lockstep: { group: "ways", members: 1, together: true },
    }));
    const { tenants } = base.plan.blocks[0]!;
    const plan = withBlock(base, {
      tenants: [
        { ...tenants[0]!, lane: null },
        { ...tenants[1]!, lane: null, runs: [{ bits: [0, 3], at: 12 }] },
      ],
    });
    expect(codesOf(plan, base.requests, base.device)).toContain("lanes");
    expect(codesOf(plan, together, base.device)).not.toContain("lanes");
  });

  it("narrow writes into a wide word need a lane each", () => {
    const base = wideWord();
    expect(codesOf(withTenant(base, 0, { lane: null }), base.requests, base.device)).toEqual(["lanes"]);
    const dense = withTenant(base, 0, { runs: [{ bits: [0, 31], at: 0 }] });
    expect(codesOf(dense, base.requests, base.device)).toEqual(["lanes"]);
  });

  it("stacked members set one lane", () => {
    const base = lanes();
    const kinds = base.device.blocks.map((kind) => ({
      ...kind,
      shapes: {
        ...kind.shapes,
        single: kind.shapes.single.map((s) => (s.width === 18 ? { ...s, lanes: [6, 9] } : s)),
      },
    }));
    const { requests, plan } = exclusive();
    const [a, b] = plan.blocks[0]!.tenants;
    const tenants = [
      { ...a!, lane: 9 },
      { ...b!, lane: 6 },
    ];
    const two = { ...plan, blocks: [{ ...plan.blocks[0]!, tenants }] };
    expect(codesOf(two, requests, { ...base.device, blocks: kinds })).toEqual(["lanes"]);
  });

  it("a wide write side takes its lanes from the wide shape", () => {
    const base = mixedPorts();
    const lane9 = base.requests.map((request) => ({ ...request, lane: 9 }));
    const plan: Plan = { ...base.plan, memories: base.plan.memories.map((m) => ({ ...m, lane: 9 })) };
    expect(codesOf(plan, lane9, base.device)).toEqual(["lanes"]);
    const tenants = plan.blocks[0]!.tenants.map((t) => ({ ...t, lane: 9 }));
    const withLane = { ...plan, blocks: [{ ...plan.blocks[0]!, tenants }] };
    expect(codesOf(withLane, lane9, base.device)).toEqual([]);
  });
});

describe("pumping", () => {
  const codesAt = ({ requests, device, clockMHz }: Case, plan: Plan) =>
    codesOf(plan, requests, device, clockMHz);

  it("every copy takes all writes; the reads of all copies add up", () => {
    const base = pumpedCopies();
    expect(codesAt(base, withTenant(base, 0, { turns: [1, 2] }))).toEqual(["turns"]);
    expect(codesAt(base, withTenant(base, 0, { turns: [2, 1] }))).toEqual(["turns"]);
    const fewer = base.requests.map((request) => ({
      ...request,
      ports: { read: 3, write: 2, readWrite: 0 },
    }));
    const plan = withTenant(base, 0, { turns: [2, 1] });
    const memories = plan.memories.map((m) => ({ ...m, ports: { read: 3, write: 2, readWrite: 0 } }));
    expect(codesAt({ ...base, requests: fewer }, { ...plan, memories })).toEqual([]);
  });

  it("a true dual port block serves any access at either port", () => {
    const base = pumpedTurns();
    const moved = (index: number, ports: Tenant["ports"], turns: readonly number[]) =>
      withTenant(base, index, { ports, turns });
    const swapped = moved(1, ["B"], [1]).blocks[0]!.tenants.map((tenant, index) =>
      index === 2 ? { ...tenant, ports: ["A"] as const } : tenant,
    );
    expect(codesAt(base, withBlock(base, { tenants: swapped }))).toEqual([]);
    // Port B would give three turns, of two.
    expect(codesAt(base, moved(1, ["B"], [1]))).toEqual(["turns"]);
    expect(codesAt(base, moved(0, ["A"], [1]))).toEqual(["turns"]);
  });

  it("a write port is left out of a simple dual port block where nothing writes", () => {
    const base = pumpedCopies();
    const rom = base.requests.map((request) => ({ ...request, ports: { read: 4, write: 0, readWrite: 0 } }));
    const memories = base.plan.memories.map((m) => ({ ...m, ports: { read: 4, write: 0, readWrite: 0 } }));
    const plan = { ...base.plan, memories };
    expect(codesAt({ ...base, requests: rom }, plan)).toEqual(["ports"]);
    const reading = plan.blocks.map((block) => ({
      ...block,
      tenants: block.tenants.map((t) => ({ ...t, ports: ["B"] as const, turns: [2] })),
    }));
    expect(codesAt({ ...base, requests: rom }, { ...plan, blocks: reading })).toEqual([]);
  });

  it("the tiles of one copy are accessed alike", () => {
    const base = pumpedCopies();
    const [block] = base.plan.blocks;
    const [tile] = block!.tenants;
    const half = (first: number, turns: readonly number[]) => ({
      ...block!,
      id: `half-${first}`,
      tenants: [
        {
          ...tile!,
          bits: [first, first + 17] as const,
          runs: [{ bits: [first, first + 17] as const, at: 0 }],
          turns,
        },
      ],
    });
    const cut = (turns: readonly number[]) => ({
      ...base.plan,
      blocks: [half(0, [2, 2]), half(18, turns), ...base.plan.blocks.slice(1)],
    });
    expect(codesAt(base, cut([2, 2]))).not.toContain("turns");
    expect(codesAt(base, cut([2, 1]))).toContain("turns");
  });

  it("the clock is exactly the fastest at most, pumped or not", () => {
    const { plan, requests, device } = pumpedCopies();
    expect(codesOf(plan, requests, device, 100)).toEqual([]);
    expect(codesOf(plan, requests, device, 100.1)).toEqual(["fastest-clock"]);
    const single = oneTile();
    expect(codesOf(single.plan, single.requests, device, 200)).toEqual([]);
    expect(codesOf(single.plan, single.requests, device, 200.1)).toEqual(["fastest-clock"]);
  });

  it("needs a kind whose fastest clock is known", () => {
    const { plan, requests } = pumpedCopies();
    expect(codesOf(plan, requests, oneTile().device, 100)).toEqual(["fastest-clock"]);
  });
});

describe("cascade", () => {
  it("two slabs are two deep", () => {
    const { plan, requests, device } = slabs();
    const limited = (most: number) => requests.map((request) => ({ ...request, maxCascade: most }));
    expect(codesOf(plan, limited(2), device)).toEqual([]);
    expect(codesOf(plan, limited(1), device)).toEqual(["cascade"]);
  });
});

describe("folded blocks", () => {
  it("a million instances take no more steps than the plan has blocks", () => {
    const { plan, requests, device } = million();
    const short = plan.blocks.map((b, i) => (i === 0 ? { ...b, repeat: b.repeat - 1 } : b));
    const violations = checkPlan({ ...plan, blocks: short }, requests, device);
    expect(violations.find(({ code }) => code === "uncovered")?.where).toBe(
      "memory m, instances 399999 to 399999, copy 0",
    );
  });

  it("a folded block is legal where it runs on into another layout", () => {
    const base = exclusive();
    const split: Plan = {
      ...base.plan,
      memories: base.plan.memories.map((memory) => ({
        ...memory,
        layouts: [0, 1].map((i) => ({ ...memory.layouts[0]!, instances: [i, i] as const })),
      })),
    };
    expect(codesOf(split, base.requests, base.device)).toEqual([]);
  });
});

describe("the report", () => {
  it("gathers violations of several kinds", () => {
    const base = oneTile();
    const plan = { ...withTenant(base, 0, { lane: 5, rows: [0, 1022] }), device: "other" };
    const expected = ["device", "lanes", "uncovered", "waste"];
    expect(codesOf(plan, base.requests, base.device)).toEqual(expected);
  });

  it(`stops at ${VIOLATION_LIMIT}`, () => {
    const base = oneTile();
    const [block] = base.plan.blocks;
    const many = Array.from({ length: 500 }, (_, i) => ({ ...block!, id: `x${i}`, kind: "no such kind" }));
    const violations = checkPlan({ ...base.plan, blocks: many }, base.requests, base.device);
    expect(violations).toHaveLength(VIOLATION_LIMIT);
  });

  it("every code is raised by some corruption", () => {
    const known: Readonly<Record<ViolationCode, true>> = {
      malformed: true,
      device: true,
      "memory-list": true,
      "memory-fields": true,
      instances: true,
      realisation: true,
      copies: true,
      home: true,
      "stored-geometry": true,
      "unknown-memory": true,
      "unknown-instance": true,
      "unknown-copy": true,
      "logic-tenant": true,
      uncovered: true,
      "covered-twice": true,
      "outside-memory": true,
      "unknown-kind": true,
      arrangement: true,
      shape: true,
      words: true,
      runs: true,
      overlap: true,
      "mixed-widths": true,
      ports: true,
      "port-shared": true,
      pump: true,
      "fastest-clock": true,
      turns: true,
      "asynchronous-read": true,
      "initial-contents": true,
      clocks: true,
      tiles: true,
      cascade: true,
      lanes: true,
      "block-totals": true,
      available: true,
      over: true,
      status: true,
      objective: true,
      bits: true,
      waste: true,
      efficiency: true,
      "block-share": true,
      floor: true,
      "logic-totals": true,
    };
    const raised = new Set<string>();
    for (const { plan, requests, device, clockMHz } of cases) {
      for (const mutation of mutations(plan, requests, device, clockMHz)) {
        for (const code of codesOf(mutation.plan, mutation.requests, device, mutation.clockMHz)) {
          raised.add(code);
        }
      }
    }
    expect(Object.keys(known).filter((code) => !raised.has(code))).toEqual([]);
  });
});
