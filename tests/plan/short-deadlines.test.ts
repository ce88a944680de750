import { expect, it } from "vitest";
import { findDevice } from "../../src/input/index.js";
import type { Design, Plan } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { memoriesOf } from "../bench/memories.js";
import { randomFrom } from "../bench/random.js";
import { designOf } from "../support/random-designs.js";

/** Invented systems, every third memory of which may be pumped, with and without half of the blocks that they take. */
const systems = Array.from({ length: 8 }, (_, seed) => {
  const device = findDevice(["generic-10k", "xczu7ev", "mpf300t", "5ceba4"][seed % 4]!);
  const mix = { count: 14 + 3 * seed, scale: 0.1, deepest: 65_536, twoPorts: true, asynchronous: false };
  const requests = memoriesOf(randomFrom(seed), mix).map((request, index) => {
    const { lockstep, exclusive, clocks, read } = request;
    const alone = lockstep === null && exclusive === null && clocks === 1 && read === "sync";
    return alone && index % 3 === 0 ? { ...request, pump: 2 } : request;
  });
  const small = { lutDepth: null, registerBits: 512 };
  return { device, design: designOf(requests, { clockMHz: 100, small }) };
});

function halved(design: Design, { totals }: Plan): Design {
  const blocks = Object.fromEntries(
    Object.entries(totals.blocks).map(([name, used]) => [name, Math.floor(used / 2)]),
  );
  return { ...design, limits: { blocks, luts: null } };
}

/** What a plan that had little time claims, against one that is proven. */
function expectTrue({ objective, totals, status }: Plan, proven: Plan): void {
  if (status !== "over-budget") expect(proven.status).toBe("optimal");
  if (objective.nothingFits) expect(proven.status).toBe("over-budget");
  if (proven.status !== status) return;
  if (status === "feasible") {
    expect(objective.bound).toBeLessThanOrEqual(proven.objective.value);
    expect(objective.value).toBeGreaterThanOrEqual(proven.objective.value);
  }
  if (objective.lutsBound === null) return;
  expect(objective.value).toBe(proven.objective.value);
  expect(objective.lutsBound).toBeLessThanOrEqual(proven.totals.luts);
  expect(totals.luts).toBeGreaterThanOrEqual(proven.totals.luts);
}

it("what is claimed after a short time holds", { timeout: 300_000 }, async () => {
  const seen = { nothingFits: 0, optimal: 0 };
  for (const { design, device } of systems) {
    const free = await pack(design, device, { deadlineMs: 20_000 });
    for (const limited of [design, halved(design, free)]) {
      const proven = await pack(limited, device, { deadlineMs: 20_000 });
      if (!proven.objective.proven) continue;
      for (const deadlineMs of [60, 120, 250, 500, 1000]) {
        const plan = await pack(limited, device, { deadlineMs });
        expectTrue(plan, proven);
        if (plan.objective.nothingFits) seen.nothingFits += 1;
        if (plan.status === "optimal") seen.optimal += 1;
      }
    }
  }
  expect(seen.nothingFits).toBeGreaterThan(10);
  expect(seen.optimal).toBeGreaterThan(5);
});
