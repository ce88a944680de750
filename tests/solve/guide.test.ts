import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { type Design, type Device, memoryRequest, parsePorts } from "../../src/model/index.js";
import {
  OBJECTIVES,
  type PackProgram,
  packProgram,
  spendingOf,
  stageProgram,
} from "../../src/program/index.js";
import { components } from "../../src/solve/components.js";
import { guide, searchWithin } from "../../src/solve/guide.js";
import { limitByLimit, oneLimitEach } from "../../src/solve/limit-by-limit.js";
import { rowPricesOf } from "../../src/solve/one-limit.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { variablesWithin } from "../../src/solve/reduced-prices.js";
import { rounded } from "../../src/solve/rounding.js";
import { stageModel, weightedCosts } from "../../src/solve/stage-model.js";
import { sumOf } from "../../src/solve/weighted-sum.js";
import { plainProgram, solvePlain } from "../bench/plain-program.js";
import { designOf } from "../support/random-designs.js";
import { BINARY, NINTHS, tinyDevice } from "../support/tiny-device.js";

const memories = (most: number) =>
  fc.array(
    fc.record({
      depth: fc.integer({ min: 1, max: 12 }),
      width: fc.integer({ min: 1, max: 9 }),
      ports: fc.constantFrom("1rw", "1rw", "1r1w"),
      instances: fc.integer({ min: 1, max: 2 }),
    }),
    { minLength: 2, maxLength: most },
  );

type Memory = ReturnType<typeof memories> extends fc.Arbitrary<(infer M)[]> ? M : never;

function tinyDesign(list: readonly Memory[]): Design {
  return designOf(
    list.map(({ depth, width, ports, instances }, index) =>
      memoryRequest({ name: `m${index}`, depth, width, ports: parsePorts(ports)!, instances }),
    ),
  );
}

/** Every choice in which all instances of a memory are held alike or one is held otherwise, with what it comes to. */
function* choices(pack: PackProgram): Generator<number[]> {
  const lists = pack.columnsOf.requests.map((columns, owner) => {
    const { instances } = pack.choices.requests[owner]!.request;
    return columns.flatMap((one) =>
      columns.flatMap((other) =>
        (one === other ? [0] : [1])
          .filter((apart) => apart < instances)
          .map((apart) => [one, instances - apart, other, apart]),
      ),
    );
  });
  const counts = pack.columns.map(() => 0);
  const choose = function* (owner: number): Generator<number[]> {
    if (owner === lists.length) {
      yield [...counts];
      return;
    }
    for (const [one, items, other, apart] of lists[owner]!) {
      counts[one!]! += items!;
      counts[other!]! += apart!;
      yield* choose(owner + 1);
      counts[one!]! -= items!;
      counts[other!]! -= apart!;
    }
  };
  yield* choose(0);
}

/** The relaxation's guidance on the whole of a design, and what the sum of objectives comes to. */
async function guided(design: Design, device: Device) {
  const pack = packProgram(choicesOf(design, device), design, device);
  const task = {
    pack,
    objective: "blocks",
    settled: [],
    budgets: true,
    stopAt: Date.now() + 20_000,
    cuts: [],
  } as const;
  const model = stageModel({ ...task, pause: async () => {} }, components(pack));
  const { aims } = sumOf(model, OBJECTIVES)!;
  const stage = {
    minimise: aims,
    settled: [],
    atLeast: null,
    budgets: "hard",
    owners: null,
    columns: null,
  } as const;
  const staged = stageProgram(pack, stage);
  const weights = OBJECTIVES.map((objective, index) => ({ objective, weight: aims[index]!.weight }));
  const guidance = await guide(pack, model.parts, staged, searchWithin(model, weights), {
    deadlineMs: 20_000,
  });
  const worth = (counts: readonly number[]) => {
    const { overrun, objectives } = spendingOf(pack, counts);
    const value = weights.reduce((sum, { objective, weight }) => sum + weight * objectives[objective], 0);
    return overrun > 0 ? null : value;
  };
  return { pack, model, costs: weightedCosts(pack, weights), staged, guidance, worth };
}

/** Enumeration is the check: what is found keeps the budgets, and no choice as good uses a column that is left out. */
describe("the relaxation of tiny systems", () => {
  it("tells a choice that fits, a bound, and the columns of all choices as good", async () => {
    const found = { fitted: 0, best: 0, left: 0, raised: 0, fewer: 0 };
    await fc.assert(
      fc.asyncProperty(
        memories(3),
        fc.integer({ min: 0, max: 8 }),
        fc.integer({ min: 0, max: 8 }),
        async (list, ninths, binary) => {
          const design = tinyDesign(list);
          const { pack, model, costs, staged, guidance, worth } = await guided(
            design,
            tinyDevice([NINTHS, BINARY], [ninths, binary]),
          );
          const all = [...choices(pack)].flatMap((counts) => {
            const value = worth(counts);
            return value === null ? [] : [{ counts, value }];
          });
          if (guidance === null) {
            expect(all).toEqual([]);
            return;
          }
          const { reduced } = guidance;
          const counts = await guidance.near(async () => true);
          expect(all.filter((other) => other.value < reduced.bound - 0.01)).toEqual([]);
          if (counts === null) return;
          pack.columnsOf.requests.forEach((columns, owner) => {
            const held = columns.map((column) => counts[column]!);
            expect(Math.min(...held)).toBeGreaterThanOrEqual(0);
            expect(held.reduce((sum, items) => sum + items)).toBe(design.requests[owner]!.instances);
          });
          const value = worth(counts);
          expect(value).not.toBeNull();
          const within = new Set(
            variablesWithin(reduced, value!, 1).map((variable) => staged.columnOf[variable]!),
          );
          const leftOut = all.filter(
            (other) =>
              other.value <= value! && other.counts.some((items, column) => items > 0 && !within.has(column)),
          );
          expect(leftOut).toEqual([]);
          const relaxations = oneLimitEach(model, costs, rowPricesOf(model, staged, guidance.duals));
          const kept = limitByLimit(model, relaxations, within, value!);
          expect(Math.min(...all.map((other) => other.value))).toBeGreaterThan(kept.bound - 0.01);
          const leftOutByLimits = all.filter(
            (other) =>
              other.value <= value! &&
              other.counts.some((items, column) => items > 0 && !kept.columns.has(column)),
          );
          expect(leftOutByLimits).toEqual([]);
          if (kept.bound > reduced.bound + 0.01) found.raised += 1;
          if (kept.columns.size < within.size) found.fewer += 1;
          found.fitted += 1;
          if (all.every((other) => other.value >= value!)) found.best += 1;
          if (pack.columns.some((_, column) => !within.has(column))) found.left += 1;
        },
      ),
      { numRuns: 80, seed: 5 },
    );
    // Where nothing is found or left out, nothing was shown.
    expect(found.fitted).toBeGreaterThan(30);
    expect(found.best).toBeGreaterThan(0.8 * found.fitted);
    expect(found.left).toBeGreaterThan(20);
    expect(found.raised).toBeGreaterThan(10);
    expect(found.fewer).toBeGreaterThan(10);
  });
});

/** HiGHS on the plain program, which knows nothing of the relaxation's guidance, is the reference. */
describe("systems large enough to be guided", () => {
  it.each([1, 2, 3, 4, 5, 6])(
    "have the values that a general-purpose solver proves: seed %i",
    async (seed) => {
      const [list] = fc.sample(
        fc.array(
          memories(2).map(([first]) => first!),
          { minLength: 40, maxLength: 40 },
        ),
        { numRuns: 1, seed },
      );
      const design = tinyDesign(list!);
      const ample = tinyDevice([NINTHS, BINARY], [999, 999]);
      const free = await solvePack(packProgram(choicesOf(design, ample), design, ample), {
        deadlineMs: 60_000,
      });
      const tight = free.spending.spent
        .slice(0, 2)
        .map((blocks, pool) => (pool === seed % 2 ? Math.floor(0.8 * blocks) : 999));
      const device = tinyDevice([NINTHS, BINARY], tight);
      const candidates = choicesOf(design, device);
      const pack = packProgram(candidates, design, device);
      expect(pack.columns.length).toBeGreaterThan(150);
      const ours = await solvePack(pack, { deadlineMs: 60_000 });
      expect(ours).toMatchObject({ proven: true, engine: "highs" });
      const plain = await solvePlain(plainProgram(candidates, design, device, false), 60_000);
      expect(plain).toMatchObject({ status: "optimal", values: ours.spending.objectives });
    },
  );
});

describe("a fractional choice is rounded", () => {
  it("so that every part has its items, whole ones as they are", () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(fc.integer({ min: 0, max: 3 }), { minLength: 1, maxLength: 5 }), {
          minLength: 1,
          maxLength: 4,
        }),
        fc.boolean(),
        (lists, whole) => {
          let next = 0;
          const parts = lists.map((list) => ({
            items: list.reduce((sum, count) => sum + count),
            requests: [list.map(() => next++)],
            configs: null,
          }));
          const exact = lists.flat();
          // As many items in all, but shared out evenly.
          const even = lists.flatMap((list) =>
            list.map(() => list.reduce((sum, n) => sum + n) / list.length),
          );
          const counts = rounded(next, parts, Float64Array.from(whole ? exact : even));
          if (whole) expect(counts).toEqual(exact);
          for (const { items, requests } of parts) {
            const held = requests[0]!.map((column) => counts[column]!);
            expect(held.reduce((sum, count) => sum + count)).toBe(items);
            for (const count of held)
              expect(Math.abs(count - items / held.length)).toBeLessThan(whole ? 16 : 1);
          }
        },
      ),
    );
  });

  it("the members of a group follow its layouts", () => {
    // Two copies; in the first layout both members stand alone, in the second none does.
    const parts = [
      {
        items: 2,
        requests: [[2, 3], [4]],
        configs: [
          { column: 0, alone: [1, 1] },
          { column: 1, alone: [0, 0] },
        ],
      },
    ];
    expect(rounded(5, parts, Float64Array.from([1.4, 0.6, 0.5, 0.9, 1.4]))).toEqual([1, 1, 0, 1, 1]);
  });
});
