import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import {
  type Design,
  type Device,
  memoryRequest,
  type Plan,
  parsePorts,
  requestBits,
} from "../../src/model/index.js";
import { NothingLegalError } from "../../src/plan/nothing-legal.js";
import { pack } from "../../src/plan/pack.js";
import { packProgram } from "../../src/program/index.js";
import { type PackSolution, solvePack } from "../../src/solve/pack-solver.js";
import { anyCase, anyDesign, anyMemory, boundless, caseText, designOf } from "../support/random-designs.js";

/** Properties walk many designs: room for a busy machine, in milliseconds. */
const PATIENCE = 300_000;

/** Enough for most of the designs here; the properties hold for what is not proven by then as well. */
const deadlineMs = 100;

/** Enough for both engines to prove most of them on a busy machine. */
const provingMs = 1000;

/** The checked plan; null where some memory has no legal home. Anything else that is thrown is a fault. */
async function planOf(design: Design, device: Device): Promise<Plan | null> {
  try {
    return await pack(design, device, { deadlineMs });
  } catch (error) {
    if (error instanceof NothingLegalError) return null;
    throw error;
  }
}

const sum = (parts: readonly number[]) => parts.reduce((a, b) => a + b, 0);

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}

/** Blocks weighed by their bits, from the blocks of the plan; the unit is that of the objective. */
function weightedBlocks(plan: Plan, device: Device): number {
  const kinds = new Map(device.blocks.map((kind) => [kind.name, kind]));
  const bits = sum(plan.blocks.map(({ kind, repeat }) => repeat * kinds.get(kind)!.bits));
  return bits / device.blocks.map((kind) => kind.bits / kind.units).reduce(commonDivisor);
}

/** What every plan owes, recomputed here from the plan and the design. */
function expectSound(plan: Plan, design: Design, device: Device): void {
  const { totals, objective } = plan;
  expect(objective.value).toBe(weightedBlocks(plan, device));
  expect(objective.bound).toBeLessThanOrEqual(objective.value);
  expect(objective.bound).toBeGreaterThanOrEqual(0);
  if (objective.proven) expect(objective.bound).toBe(objective.value);

  const lutsOver = totals.luts > totals.lutsAvailable;
  const memoryOver = totals.lutMemoryAvailable !== null && totals.lutMemory > totals.lutMemoryAvailable;
  const over = Object.keys(totals.over).length > 0 || lutsOver || memoryOver;
  expect(plan.status).toBe(over ? "over-budget" : objective.proven ? "optimal" : "feasible");
  for (const { name, blocks } of device.pools) {
    const available = Math.min(blocks, design.limits.blocks[name] ?? blocks);
    expect(totals.available[name]).toBe(available);
    expect(totals.over[name] ?? 0).toBe(Math.max(0, totals.blocks[name]! - available));
    // A half block counts 0.5, the floor counts whole ones.
    expect(Math.ceil(totals.blocks[name]!)).toBeGreaterThanOrEqual(totals.floorBlocks[name]!);
  }

  for (const waste of [totals, ...plan.memories]) {
    const { replication, widthPadding, depthPadding, unreachable } = waste.waste;
    expect(replication + widthPadding + depthPadding + unreachable).toBe(waste.wastedBits);
    expect(Math.min(replication, widthPadding, depthPadding, unreachable)).toBeGreaterThanOrEqual(0);
  }
  expect(sum(plan.memories.map(({ wastedBits }) => wastedBits))).toBe(totals.wastedBits);
  const asked = sum(design.requests.map((request) => requestBits(request) * request.instances));
  expect(totals.requestedBits + totals.logicBits).toBe(asked);
  expect(totals.blockBits - totals.requestedBits).toBe(totals.wastedBits);
}

describe("random designs on all devices", () => {
  it(
    "a design gets a plan that passes the check, or a memory that no block serves is named",
    async () => {
      const outcomes = new Map<string, number>();
      await fc.assert(
        fc.asyncProperty(anyCase(), async ({ design, device }) => {
          let outcome = "nothing legal";
          try {
            const plan = await pack(design, device, { deadlineMs });
            expectSound(plan, design, device);
            outcome = plan.status;
          } catch (error) {
            if (!(error instanceof NothingLegalError)) throw error;
            // Every device has a pool with two clocks and contents at start, and registers serve asynchronous reads.
            for (const { request, reason } of error.homeless) {
              expect(request.maxCascade, reason).not.toBeNull();
            }
          }
          outcomes.set(outcome, (outcomes.get(outcome) ?? 0) + 1);
        }),
        { numRuns: 200 },
      );
      for (const outcome of ["optimal", "over-budget"]) {
        expect(outcomes.get(outcome) ?? 0, outcome).toBeGreaterThan(0);
      }
    },
    PATIENCE,
  );

  // Without limits, so that "fewest blocks" is the whole of the value.
  const free = { limits: false, most: 3, deepest: 1000 };

  it(
    "twice the instances cost no less than before, and at most double",
    async () => {
      await fc.assert(
        fc.asyncProperty(anyCase(free), async ({ design, device }) => {
          const wide = boundless(device);
          const twice = design.requests.map((request) => ({ ...request, instances: 2 * request.instances }));
          const one = await planOf(design, wide);
          const two = await planOf({ ...design, requests: twice }, wide);
          expect(two === null).toBe(one === null);
          if (one === null || two === null) return;
          // Each side holds whenever its dearer plan or its cheaper one is proven.
          if (one.objective.proven) expect(two.objective.value).toBeGreaterThanOrEqual(one.objective.value);
          if (two.objective.proven) expect(two.objective.value).toBeLessThanOrEqual(2 * one.objective.value);
          expect(two.objective.value).toBeGreaterThanOrEqual(one.objective.bound);
          expect(two.objective.bound).toBeLessThanOrEqual(2 * one.objective.value);
        }),
        { numRuns: 200 },
      );
    },
    PATIENCE,
  );

  it(
    "one memory more never lowers the value",
    async () => {
      const more = anyCase(free).chain(({ design, device }) =>
        anyMemory({ deepest: free.deepest }).map((memory) => ({
          design,
          device,
          memory: { ...memory, name: "more" },
          [fc.toStringMethod]: () =>
            caseText({
              design: { ...design, requests: [...design.requests, { ...memory, name: "more" }] },
              device,
            }),
        })),
      );
      await fc.assert(
        fc.asyncProperty(more, async ({ design, device, memory }) => {
          const wide = boundless(device);
          const before = await planOf(design, wide);
          const after = await planOf({ ...design, requests: [...design.requests, memory] }, wide);
          if (before === null) expect(after).toBeNull();
          if (before === null || after === null) return;
          if (before.objective.proven) {
            expect(after.objective.value).toBeGreaterThanOrEqual(before.objective.value);
          }
          expect(after.objective.value).toBeGreaterThanOrEqual(before.objective.bound);
        }),
        { numRuns: 200 },
      );
    },
    PATIENCE,
  );
});

// Designs that these properties once found, at their smallest.
describe("designs that were packed wrongly before", () => {
  const ports = (text: string) => ({ ports: parsePorts(text)! });
  const inGroup = (members: number, together: boolean) => ({ lockstep: { group: "g", members, together } });
  const WIDE_WRITE = { wordsPerAccess: { read: 1, write: 8 } };
  const stacked = (members: number) => ({ exclusive: { group: "g", members } });
  const cases: readonly {
    readonly what: string;
    readonly device: string;
    readonly memories: readonly Parameters<typeof memoryRequest>[0][];
  }[] = [
    {
      what: "a single port memory of many tiles, all of which may share",
      device: "ecp5-85f",
      memories: [{ name: "a", depth: 3000, width: 32, ...ports("1rw") }],
    },
    {
      what: "tiles of one shape over each other that start at different bits",
      device: "10ax115",
      memories: [{ name: "a", depth: 2458, width: 50, ...ports("1rw"), instances: 4 }],
    },
    {
      what: "stacked members of which one is deeper than a block",
      device: "ecp5-45f",
      memories: [
        { name: "a", depth: 842, width: 28, ...ports("1rw"), ...stacked(1) },
        { name: "b", depth: 2049, width: 32, ...ports("1rw"), ...stacked(1) },
        { name: "c", depth: 1, width: 1, ...ports("1rw"), instances: 2, ...stacked(2) },
      ],
    },
    {
      what: "copies of a ROM on two clocks, each read on one of them",
      device: "5ceba4",
      memories: [{ name: "a", depth: 256, width: 40, ...ports("3r"), clocks: 2 }],
    },
    {
      what: "two members in one hardware lane beside a third that is written apart",
      device: "ecp5-85f",
      memories: [
        { name: "a", depth: 500, width: 1, ...ports("1r1w"), ...inGroup(1, false) },
        { name: "b", depth: 500, width: 4, ...ports("1r1w"), instances: 2, ...inGroup(2, true) },
      ],
    },
    {
      what: "members of which only the second has write lanes, and a wide write side",
      device: "5ceba4",
      memories: [
        { name: "a", depth: 656, width: 32, ...ports("1r1w"), ...inGroup(1, false), ...WIDE_WRITE },
        { name: "b", depth: 656, width: 8, lane: 8, ...ports("1r1w"), ...inGroup(1, false), ...WIDE_WRITE },
      ],
    },
    {
      what: "members of which only the second has contents at start",
      device: "up5k",
      memories: [
        { name: "a", depth: 16_384, width: 8, ...ports("1rw"), ...inGroup(1, false) },
        { name: "b", depth: 16_384, width: 8, initialContents: true, ...ports("1rw"), ...inGroup(1, false) },
      ],
    },
  ];

  it.each(cases)("$what", async ({ device: name, memories }) => {
    const device = findDevice(name);
    const design = designOf(memories.map((memory) => memoryRequest(memory)));
    expectSound(await pack(design, device), design, device);
  });
});

describe("the engines agree", () => {
  const TWO_POOLS = ["xczu7ev", "up5k", "mpf300t"].map((name) => findDevice(name));

  /** A design that may have only a share of the blocks of one pool that it would take without limits. */
  const tight = fc.constantFrom(...TWO_POOLS).chain((device) =>
    fc
      .record({
        device: fc.constant(device),
        design: anyDesign(device, { limits: false, groups: false, most: 4, deepest: 700 }),
        poolIndex: fc.integer({ min: 0, max: 1 }),
        share: fc.constantFrom(0, 0.3, 0.6, 0.9),
      })
      .map((tight) => ({
        ...tight,
        [fc.toStringMethod]: () => `${tight.share} of pool ${tight.poolIndex}: ${caseText(tight)}`,
      })),
  );

  const worth = ({ spending }: PackSolution) => [
    spending.overrun,
    spending.objectives.blocks,
    spending.objectives.luts,
    spending.objectives.cascade,
  ];

  it(
    "on overrun, weighted blocks, LUTs and cascade where both have proven them",
    async () => {
      let compared = 0;
      let bound = 0;
      await fc.assert(
        fc.asyncProperty(tight, async ({ device, design, poolIndex, share }) => {
          const choices = choicesOf(design, device);
          const program = packProgram(choices, design, device);
          if (choices.requests.some(({ candidates }) => candidates.length === 0)) return;
          const loose = await solvePack(program, { deadlineMs: provingMs });
          const { name, unitsPerBlock } = device.pools[poolIndex]!;
          const taken = loose.spending.spent[poolIndex]! / unitsPerBlock;
          const blocks = { [name]: Math.floor(taken * share) };
          const cut = packProgram(choices, { ...design, limits: { blocks, luts: null } }, device);
          const highs = await solvePack(cut, { engine: "highs", deadlineMs: provingMs });
          const other = await solvePack(cut, { engine: "javascript-lp-solver", deadlineMs: provingMs });
          // A proven value is a bound on every plan, proven or not.
          if (highs.proven && other.spending.overrun === highs.spending.overrun) {
            expect(other.spending.objectives.blocks).toBeGreaterThanOrEqual(highs.spending.objectives.blocks);
          }
          if (!highs.proven || !other.proven) return;
          compared += 1;
          if (worth(highs).some((value, index) => value !== worth(loose)[index])) bound += 1;
          expect(worth(other)).toEqual(worth(highs));
        }),
        { numRuns: 200 },
      );
      // Many are closed by both, and the budgets bind in some of them.
      expect(compared).toBeGreaterThan(20);
      expect(bound).toBeGreaterThan(5);
    },
    PATIENCE,
  );
});
