import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Candidate, type Choices, choicesOf, type Fragment } from "../../src/candidates/index.js";
import { type MemoryRequest, memoryRequest, parsePorts } from "../../src/model/index.js";
import { packChoices } from "../../src/plan/pack.js";
import { blocksForFragments } from "../../src/program/index.js";
import { designOf } from "../support/random-designs.js";
import { NINTHS, tinyDevice } from "../support/tiny-device.js";

const LIMIT = 9999;

/** Nothing lies in logic, and so many blocks at most. */
const limited = (requests: readonly MemoryRequest[], blocks: Record<string, number>) =>
  designOf(requests, { limits: { blocks, luts: null }, small: { lutDepth: 0, registerBits: 0 } });

interface Drawn {
  readonly depth: number;
  readonly width: number;
  readonly members: number;
}

/** One exclusive group of these parts in so many copies, and a memory beside it. */
function requestsOf(parts: readonly Drawn[], copies: number): MemoryRequest[] {
  const ports = parsePorts("1rw")!;
  const group = parts.map(({ depth, width, members }, index) =>
    memoryRequest({
      name: `m${index}`,
      depth,
      width,
      ports,
      instances: members * copies,
      exclusive: { group: "g", members },
    }),
  );
  return [...group, memoryRequest({ name: "beside", depth: 3, width: 5, ports })];
}

/** What a set of candidates comes to, blocks that are shared left out. */
interface Cost {
  readonly units: number;
  readonly luts: number;
  readonly cascade: number;
  readonly fragments: readonly Fragment[];
}

const NOTHING: Cost = { units: 0, luts: 0, cascade: 0, fragments: [] };

function plus(a: Cost, { units, luts, cascade, fragments }: Candidate): Cost {
  return {
    units: a.units + units,
    luts: a.luts + luts,
    cascade: a.cascade + Math.max(0, cascade - 1),
    fragments: [...a.fragments, ...fragments],
  };
}

/** What tells one cost from another. */
function keyOf({ units, luts, cascade, fragments }: Cost): string {
  const shared = fragments.map(({ shareKey, extent }) => `${shareKey} ${extent}`).sort();
  return JSON.stringify([units, luts, cascade, shared]);
}

const distinct = (costs: readonly Cost[]) => [...new Map(costs.map((cost) => [keyOf(cost), cost])).values()];

/** Every layout of one copy: each member into a new stack or one that there is, each stack in every way. */
function layoutsOfCopy({ groups, requests }: Choices): Cost[] {
  const group = groups[0]!;
  const members = group.parts.flatMap((part, index) => Array<number>(part.members).fill(index));
  const found: Cost[] = [];
  const ways = (stack: readonly number[]): readonly Candidate[] => {
    if (stack.length === 1) return requests[group.requests[stack[0]!]!]!.candidates;
    const counts = group.parts.map((_, part) => stack.filter((held) => held === part).length);
    return group.stacks.find((sort) => sort.members.join() === counts.join())!.candidates;
  };
  const grow = (index: number, stacks: readonly (readonly number[])[]) => {
    const part = members[index];
    if (part === undefined) {
      found.push(
        ...stacks.reduce(
          (costs, stack) =>
            distinct(costs.flatMap((cost) => ways(stack).map((candidate) => plus(cost, candidate)))),
          [NOTHING],
        ),
      );
      return;
    }
    stacks.forEach((_, at) => {
      grow(
        index + 1,
        stacks.map((stack, other) => (other === at ? [...stack, part] : stack)),
      );
    });
    grow(index + 1, [...stacks, [part]]);
  };
  grow(0, []);
  return distinct(found);
}

type Value = readonly [blocks: number, luts: number, cascade: number];

const before = (a: Value, b: Value) => a[0] - b[0] || a[1] - b[1] || a[2] - b[2];

/** The best over every choice of a layout for each copy and of a candidate for the memory beside them. */
function best(choices: Choices, copies: number): Value {
  const layouts = layoutsOfCopy(choices);
  const { candidates } = choices.requests.at(-1)!;
  let found: Value | null = null;
  const choose = (copy: number, from: number, cost: Cost) => {
    if (copy < copies) {
      for (let at = from; at < layouts.length; at++) {
        const { units, luts, cascade, fragments } = layouts[at]!;
        choose(copy + 1, at, {
          units: cost.units + units,
          luts: cost.luts + luts,
          cascade: cost.cascade + cascade,
          fragments: [...cost.fragments, ...fragments],
        });
      }
      return;
    }
    const keys = new Map<string, Fragment[]>();
    for (const fragment of cost.fragments) {
      keys.set(fragment.shareKey, [...(keys.get(fragment.shareKey) ?? []), fragment]);
    }
    const blocks = [...keys.values()].reduce(
      (sum, list) =>
        sum +
        blocksForFragments(
          list.map(({ extent }) => ({ extent, count: 1 })),
          list[0]!.cells,
        ),
      cost.units,
    );
    const value: Value = [blocks, cost.luts, cost.cascade];
    if (found === null || before(value, found) < 0) found = value;
  };
  for (const candidate of candidates) choose(0, 0, plus(NOTHING, candidate));
  return found!;
}

const part = fc.record({
  depth: fc.integer({ min: 1, max: 6 }),
  width: fc.integer({ min: 1, max: 6 }),
  members: fc.integer({ min: 1, max: 2 }),
});

describe("layouts of an exclusive group, chosen stack by stack", () => {
  it("come to what enumeration of every layout of every copy finds, with and without a budget that binds", async () => {
    let stacked = 0;
    let several = 0;
    await fc.assert(
      fc.asyncProperty(
        fc
          .array(part, { minLength: 2, maxLength: 3 })
          .filter((parts) => parts.reduce((sum, { members }) => sum + members, 0) <= 4),
        fc.integer({ min: 1, max: 2 }),
        fc.boolean(),
        async (parts, copies, bound) => {
          const device = tinyDevice([NINTHS], [LIMIT]);
          const free = limited(requestsOf(parts, copies), {});
          const choices = choicesOf(free, device);
          const layouts = layoutsOfCopy(choices).length;
          fc.pre(layouts ** copies * choices.requests.at(-1)!.candidates.length < 60_000);
          const [blocks, luts, cascade] = best(choices, copies);
          const design = bound ? limited(free.requests, { N: blocks }) : free;
          const packed = await packChoices(design, device, choices);
          expect(packed.plan.objective).toEqual({
            value: blocks,
            bound: blocks,
            proven: true,
            nothingFits: false,
            lutsBound: luts,
          });
          expect(packed.plan.totals.luts).toBe(luts);
          expect(packed.cascade).toBe(cascade);
          const shared = packed.plan.blocks.some(
            ({ tenants }) => new Set(tenants.map(({ ports }) => ports.join())).size < tenants.length,
          );
          if (shared) stacked += 1;
          if (copies > 1 && shared) several += 1;
          if (bound && blocks > 0) {
            const tight = limited(free.requests, { N: blocks - 1 });
            expect((await packChoices(tight, device, choices)).plan.status).toBe("over-budget");
          }
        },
      ),
      { numRuns: 100, seed: 3 },
    );
    // Stacks have to come up, in one copy and in several, or the test shows little.
    expect(stacked).toBeGreaterThan(15);
    expect(several).toBeGreaterThan(5);
  });
});
