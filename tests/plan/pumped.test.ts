import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { findDevice } from "../../src/input/index.js";
import {
  type Design,
  type MemoryRequest,
  memoryRequest,
  type Plan,
  parsePorts,
} from "../../src/model/index.js";
import { checkPlan } from "../../src/plan/check.js";
import { NothingLegalError } from "../../src/plan/nothing-legal.js";
import { pack } from "../../src/plan/pack.js";
import { mutations } from "./mutations.js";

// Its blocks reach 200 MHz, as the device file says: four times 50 MHz.
const DEVICE = findDevice("ecp5-85f");

function designOf(requests: readonly MemoryRequest[], clockMHz: number | null = 50): Design {
  return {
    name: "pumped",
    device: null,
    clockMHz,
    limits: { blocks: {}, luts: null },
    weights: {},
    small: { lutDepth: 0, registerBits: 0 },
    requests,
    warnings: [],
  };
}

const memory = (
  name: string,
  depth: number,
  width: number,
  ports: string,
  fields: Partial<MemoryRequest> = {},
) => memoryRequest({ name, depth, width, ports: parsePorts(ports)!, ...fields });

const unpumped = (requests: readonly MemoryRequest[]) => requests.map((r) => ({ ...r, pump: null }));
const packed = (requests: readonly MemoryRequest[], clockMHz?: number | null) =>
  pack(designOf(requests, clockMHz), DEVICE);
const turnsIn = (plan: Plan) =>
  plan.blocks.flatMap(({ tenants }) =>
    tenants.map(({ ports, turns }) => `${ports.join("")} ${turns.join("")}`),
  );

describe("a pumped memory", () => {
  it("of two reads and a write takes one block at twice the clock, where it takes two otherwise", async () => {
    const requests = [memory("m", 512, 36, "2r1w", { pump: 2 })];
    const plan = await packed(requests);
    expect(plan.totals.blocks).toEqual({ EBR: 1 });
    expect(plan.memories[0]).toMatchObject({ realisation: "pumped", copies: 1, wastedBits: 0 });
    expect(plan.memories[0]!.layouts[0]!.pump).toBe(2);
    expect(plan.blocks[0]).toMatchObject({ arrangement: "simple-dual", pump: 2 });
    expect(turnsIn(plan)).toEqual(["AB 12"]);
    expect((await packed(unpumped(requests))).totals.blocks).toEqual({ EBR: 2 });
  });

  it("of four reads and two writes takes two copies at twice the clock, one at four times", async () => {
    const blocks = async (pump: number | null) =>
      (await packed([memory("m", 512, 36, "4r2w", { pump })])).totals.blocks.EBR;
    expect(await blocks(2)).toBe(2);
    expect(await blocks(3)).toBe(2);
    expect(await blocks(4)).toBe(1);
    // A live-value table makes 2 x 4 copies.
    expect(await blocks(null)).toBe(8);
    const plan = await packed([memory("m", 512, 36, "4r2w", { pump: 2 })]);
    expect(turnsIn(plan)).toEqual(["AB 22", "AB 22"]);
  });

  it("is charged multiplexers and registers", async () => {
    const plan = await packed([memory("m", 512, 36, "2r1w", { pump: 2 })]);
    expect(plan.totals.luts).toBeGreaterThan(0);
    // Two read words wait for the end of the slow cycle.
    expect(plan.totals.registers).toBeGreaterThanOrEqual(72);
  });

  it("is not pumped where a multiple of the clock is above the fastest, or is not known", async () => {
    const requests = [memory("m", 512, 36, "2r1w", { pump: 2 })];
    expect((await packed(requests, 100)).totals.blocks).toEqual({ EBR: 1 });
    expect((await packed(requests, 100.5)).totals.blocks).toEqual({ EBR: 2 });
    expect((await packed(requests, null)).totals.blocks).toEqual({ EBR: 2 });
    const pinned = requests.map((request) => ({ ...request, realisation: "pumped" as const }));
    await expect(packed(pinned, 100.5)).rejects.toThrow(NothingLegalError);
  });

  it("is not pumped on two clocks or for an asynchronous read", async () => {
    const two = memory("m", 512, 36, "2r1w", { pump: 2, clocks: 2 });
    expect((await packed([two])).totals.blocks).toEqual({ EBR: 2 });
    const async = memory("m", 64, 36, "2r1w", { pump: 2, read: "async", realisation: "pumped" });
    await expect(packed([async])).rejects.toThrow(NothingLegalError);
  });

  it("keeps to one copy's turns in every one of its tiles", async () => {
    const plan = await packed([memory("m", 3000, 40, "2r1w", { pump: 2, realisation: "pumped" })]);
    expect(plan.blocks.length).toBeGreaterThan(2);
    expect(new Set(turnsIn(plan)).size).toBe(1);
  });
});

describe("memories that take turns at one block", () => {
  const four = ["a", "b", "c", "d"].map((name) => memory(name, 256, 18, "1rw", { pump: 2 }));

  it("four of one port share a true dual port block", async () => {
    const plan = await packed(four);
    expect(plan.status).toBe("optimal");
    expect(plan.blocks).toHaveLength(1);
    expect(plan.blocks[0]).toMatchObject({ arrangement: "true-dual", pump: 2 });
    expect(turnsIn(plan).sort()).toEqual(["A 1", "A 1", "B 1", "B 1"]);
    expect(plan.totals.wastedBits).toBe(0);
    expect((await packed(unpumped(four))).totals.blocks).toEqual({ EBR: 2 });
  });

  it("instances of one memory do as well", async () => {
    const plan = await packed([memory("m", 256, 18, "1rw", { pump: 2, instances: 9 })]);
    expect(plan.totals.blocks).toEqual({ EBR: 3 });
  });

  it("two queues share a simple dual port block", async () => {
    const queues = ["p", "q"].map((name) => memory(name, 200, 36, "1r1w", { pump: 2 }));
    const plan = await packed(queues);
    expect(plan.blocks).toHaveLength(1);
    expect(plan.blocks[0]!.arrangement).toBe("simple-dual");
    expect(turnsIn(plan)).toEqual(["AB 11", "AB 11"]);
    expect((await packed(unpumped(queues))).totals.blocks).toEqual({ EBR: 2 });
  });

  it("those without leave stay apart", async () => {
    const plan = await packed(four.map((request, index) => ({ ...request, pump: index < 2 ? 2 : null })));
    for (const block of plan.blocks.filter(({ pump }) => pump > 1)) {
      for (const { memory: name } of block.tenants) expect(["a", "b"]).toContain(name);
    }
    expect(plan.totals.blocks).toEqual({ EBR: 2 });
  });

  it("a plan is refused by the checker at a faster clock than it was made for", async () => {
    const plan = await packed(four);
    expect(checkPlan(plan, four, DEVICE, 50)).toEqual([]);
    expect(checkPlan(plan, four, DEVICE, 101).map(({ code }) => code)).toEqual(["fastest-clock"]);
    expect(checkPlan(plan, four, DEVICE).map(({ code }) => code)).toEqual(["fastest-clock"]);
  });
});

describe("every corruption of a packed plan is found", () => {
  it.each([
    ["copies", [memory("m", 600, 40, "4r2w", { pump: 2 })]],
    [
      "turns at true dual port blocks",
      ["a", "b", "c"].map((name) => memory(name, 256, 18, "1rw", { pump: 2 })),
    ],
    [
      "turns at simple dual port blocks",
      ["p", "q"].map((name) => memory(name, 200, 36, "1r1w", { pump: 2 })),
    ],
    ["lanes", ["p", "q"].map((name) => memory(name, 200, 32, "1r1w", { pump: 2, lane: 8 }))],
  ] as const)("%s", async (_, requests) => {
    const plan = await packed(requests);
    expect(plan.blocks.some(({ pump }) => pump > 1)).toBe(true);
    for (const mutation of mutations(plan, requests, DEVICE, 50)) {
      const codes = checkPlan(mutation.plan, mutation.requests, DEVICE, mutation.clockMHz).map(
        ({ code }) => code,
      );
      expect(
        mutation.codes.filter((code) => codes.includes(code)),
        mutation.name,
      ).not.toEqual([]);
    }
  });
});

describe("random designs", () => {
  const request = fc.record({
    depth: fc.oneof(fc.integer({ min: 1, max: 600 }), fc.integer({ min: 1, max: 3000 })),
    width: fc.integer({ min: 1, max: 48 }),
    ports: fc.constantFrom("1rw", "1rw", "1r1w", "1r1w", "1r", "2r1w", "2rw", "3r", "4r2w", "2r1rw", "1r3w"),
    instances: fc.integer({ min: 1, max: 5 }),
    lane: fc.constantFrom(null, null, 8, 9),
    pump: fc.constantFrom(null, 2, 2, 3, 4),
    clocks: fc.constantFrom(1, 1, 1, 2),
  });

  it("are served legally, and with no more blocks than without pumping", async () => {
    let fewer = 0;
    let shared = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.array(request, { minLength: 1, maxLength: 5 }),
        fc.constantFrom(50, 60, 100),
        async (fields, clockMHz) => {
          const requests = fields.map(({ depth, width, ports, lane, clocks, ...rest }, index) =>
            memory(`m${index}`, depth, width, ports, {
              ...rest,
              lane: lane !== null && lane <= width && /w/.test(ports) ? lane : null,
              clocks: /^1rw?$/.test(ports) ? 1 : (clocks as 1 | 2),
            }),
          );
          // `pack` throws where the checker finds fault.
          const plan = await pack(designOf(requests, clockMHz), DEVICE);
          const without = await pack(designOf(unpumped(requests), clockMHz), DEVICE);
          expect(checkPlan(plan, requests, DEVICE, clockMHz)).toEqual([]);
          if (plan.status === "optimal" && without.status !== "over-budget") {
            expect(plan.objective.value).toBeLessThanOrEqual(without.objective.value);
          }
          if (plan.objective.value < without.objective.value) fewer += 1;
          if (plan.blocks.some(({ pump, tenants }) => pump > 1 && tenants.length > 1)) shared += 1;
        },
      ),
      { numRuns: 100, seed: 21 },
    );
    // The sample has to contain designs that pumping helps, and blocks in turns, or the test shows little.
    expect(fewer).toBeGreaterThan(20);
    expect(shared).toBeGreaterThan(20);
  });
});
