import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { placeStack } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import {
  type Design,
  type Device,
  type MemoryRequest,
  memoryRequest,
  parsePorts,
} from "../../src/model/index.js";
import { checkPlan } from "../../src/plan/check.js";
import { pack } from "../../src/plan/pack.js";
import { tinyDevice, tinyKind } from "../support/tiny-device.js";
import { mutations } from "./mutations.js";

/** The device with so many blocks that none runs out. */
const ample = (device: Device): Device => ({
  ...device,
  pools: device.pools.map((pool) => ({ ...pool, blocks: 100_000 })),
});
const DEVICE = ample(findDevice("ecp5-85f"));

function designOf(requests: readonly MemoryRequest[]): Design {
  return {
    name: "exclusive",
    device: null,
    clockMHz: null,
    limits: { blocks: {}, luts: null },
    weights: {},
    small: { lutDepth: 0, registerBits: 0 },
    requests,
    warnings: [],
  };
}

interface Part {
  readonly depth: number;
  readonly width: number;
  readonly members?: number;
  readonly lane?: number | null;
}

/** One exclusive group of the given parts, so many copies of it. */
function group(ports: string, copies: number, parts: readonly Part[]): MemoryRequest[] {
  return parts.map(({ depth, width, members = 1, lane = null }, index) =>
    memoryRequest({
      name: `m${index}`,
      depth,
      width,
      ports: parsePorts(ports)!,
      lane,
      instances: members * copies,
      exclusive: { group: "phase", members },
    }),
  );
}

const alone = (requests: readonly MemoryRequest[]) => requests.map((r) => ({ ...r, exclusive: null }));
const same = (members: number, depth: number, width: number): Part[] => [{ members, depth, width }];

describe("an exclusive group of more than six members", () => {
  it("of which a block holds all takes one block a copy", async () => {
    const plan = await pack(designOf(group("1rw", 64, same(7, 128, 18))), DEVICE);
    expect(plan.totals.blocks).toEqual({ EBR: 64 });
    expect(plan.status).toBe("optimal");
    expect(plan.blocks.map(({ tenants }) => tenants.length)).toEqual(plan.blocks.map(() => 7));
  });

  it("of twenty members that fill blocks exactly wastes nothing", async () => {
    // 20 x 256 words = 5 x 1024.
    const plan = await pack(designOf(group("1r1w", 1, same(20, 256, 18))), DEVICE);
    expect(plan.totals.blocks).toEqual({ EBR: 5 });
    expect(plan.totals.wastedBits).toBe(0);
  });

  it("holds tenants of one copy of the group behind one port, each of a member of its own", async () => {
    const requests = group("1rw", 3, [...same(4, 100, 20), ...same(3, 300, 12), ...same(2, 40, 36)]);
    const plan = await pack(designOf(requests), DEVICE);
    const shared = plan.blocks.filter(({ tenants }) => tenants.length > 2);
    expect(shared.length).toBeGreaterThan(0);
    for (const { tenants } of shared) {
      expect(new Set(tenants.map(({ ports }) => ports.join())).size).toBe(1);
      expect(new Set(tenants.map(({ instance }) => instance % 3)).size).toBe(1);
      expect(new Set(tenants.map(({ memory, instance }) => `${memory} ${instance}`)).size).toBe(
        tenants.length,
      );
    }
  });

  it("states the multiplexers of shared blocks with its memories", async () => {
    const plan = await pack(designOf(group("1rw", 1, [...same(4, 128, 18), ...same(3, 100, 9)])), DEVICE);
    const held = plan.memories.reduce((sum, { luts }) => sum + luts, 0);
    expect(plan.totals.blocks).toEqual({ EBR: 1 });
    expect(held).toBe(plan.totals.luts);
    // Seven words behind one address of 10 bits and one write word of 18: 28 seven-to-one multiplexers.
    expect(plan.totals.luts % 28).toBe(0);
    expect(plan.memories.every(({ luts }) => luts > 0)).toBe(true);
  });

  it("of which some are never stacked stands beside other memories", async () => {
    const requests = [
      ...group("1rw", 2, same(8, 60, 9)),
      memoryRequest({ name: "other", depth: 700, width: 18, ports: parsePorts("1rw")!, instances: 3 }),
    ];
    const plan = await pack(designOf(requests), DEVICE);
    expect(plan.totals.blocks.EBR).toBeLessThanOrEqual(5);
  });

  it("whose ports one block does not serve has nothing to stack", async () => {
    const plan = await pack(designOf(group("2r1w", 2, same(7, 512, 36))), DEVICE);
    expect(plan.totals.blocks).toEqual({ EBR: 28 });
    // Three reads: a copy of two and half a block, for each of 14 members.
    const roms = await pack(designOf(group("3r", 2, same(7, 100, 9))), DEVICE);
    expect(roms.totals.blocks).toEqual({ EBR: 21 });
  });

  it("makes plans of which every corruption is found", async () => {
    const requests = group("1rw", 3, [...same(4, 100, 20), ...same(3, 300, 12), ...same(2, 40, 36)]);
    const plan = await pack(designOf(requests), DEVICE);
    const found = mutations(plan, requests, DEVICE);
    expect(found.length).toBeGreaterThan(50);
    for (const mutation of found) {
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

/** Fewest stacks that fit `depth` words, over all partitions: tries every stack for every member in turn. */
function fewestStacks(rows: readonly number[], depth: number): number {
  let fewest = rows.length;
  const put = (index: number, stacks: readonly (readonly number[])[]) => {
    if (stacks.length >= fewest) return;
    const next = rows[index];
    if (next === undefined) {
      fewest = stacks.length;
      return;
    }
    stacks.forEach((stack, at) => {
      const higher = [...stack, next];
      if (placeStack(higher, depth) === null) return;
      put(
        index + 1,
        stacks.map((other, place) => (place === at ? higher : other)),
      );
    });
    put(index + 1, [...stacks, [next]]);
  };
  put(0, []);
  return fewest;
}

describe("groups of seven and eight members, each of one tile", () => {
  const kind = tinyKind("T", 128, [[32, 4, "binary"]], ["single", "simple-dual"]);
  const tiny = tinyDevice([kind], [9999]);

  it("take as few stacks as the best of all partitions", async () => {
    let between = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.array(
          fc.record({ depth: fc.integer({ min: 1, max: 32 }), width: fc.integer({ min: 1, max: 4 }) }),
          {
            minLength: 7,
            maxLength: 8,
          },
        ),
        fc.constantFrom("1r1w", "1rw"),
        fc.constantFrom(1, 64),
        async (parts, ports, copies) => {
          const plan = await pack(designOf(group(ports, copies, parts)), tiny);
          const rows = parts.map(({ depth }) => depth);
          const best = fewestStacks(rows, 32);
          expect(plan.totals.blocks.T).toBe(best * copies);
          expect(plan.objective.bound).toBeLessThanOrEqual(plan.objective.value);
          if (best > Math.ceil(rows.reduce((a, b) => a + b, 0) / 32)) between += 1;
        },
      ),
      { numRuns: 60, seed: 3 },
    );
    // Some have to need more stacks than their words fill, or a count of words would do as well.
    expect(between).toBeGreaterThan(5);
  });
});

describe("random groups of seven to twenty members", () => {
  const part = fc.record({
    depth: fc.oneof(fc.integer({ min: 1, max: 300 }), fc.integer({ min: 1, max: 1500 })),
    width: fc.integer({ min: 1, max: 40 }),
    members: fc.constantFrom(1, 1, 2, 3),
    lane: fc.constantFrom(null, null, null, 8, 9),
  });
  const parts = fc
    .array(part, { minLength: 4, maxLength: 12 })
    .map((list) =>
      list.map((each) => ({ ...each, lane: (each.lane ?? 99) <= each.width ? each.lane : null })),
    )
    .filter((list) => {
      const total = list.reduce((sum, { members }) => sum + members, 0);
      return total >= 7 && total <= 20;
    });

  it("are served legally, and proven plans take no more blocks than their members alone", async () => {
    let fewer = 0;
    await fc.assert(
      fc.asyncProperty(
        parts,
        fc.constantFrom("1rw", "1r1w"),
        fc.constantFrom(1, 1, 64),
        async (list, ports, copies) => {
          const requests = group(ports, copies, list);
          // `pack` throws where the checker finds fault.
          const plan = await pack(designOf(requests), DEVICE, { deadlineMs: 3000 });
          const apart = await pack(designOf(alone(requests)), DEVICE, { deadlineMs: 3000 });
          expect(plan.objective.bound).toBeLessThanOrEqual(apart.objective.value);
          if (plan.objective.proven) {
            expect(plan.objective.value).toBeLessThanOrEqual(apart.objective.value);
          }
          if (plan.objective.value < apart.objective.value) fewer += 1;
        },
      ),
      { numRuns: 30, seed: 8 },
    );
    expect(fewer).toBeGreaterThan(20);
  });
});
