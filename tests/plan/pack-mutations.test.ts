import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { findDevice, loadDesign } from "../../src/input/index.js";
import type { Design, Device, Plan } from "../../src/model/index.js";
import { checkPlan, VIOLATION_LIMIT } from "../../src/plan/check.js";
import { NothingLegalError } from "../../src/plan/nothing-legal.js";
import { pack } from "../../src/plan/pack.js";
import { anyCase } from "../support/random-designs.js";
import { CORRUPTION_NAMES, mutations } from "./mutations.js";

/** Names of the corruptions that a plan offers a place for, after each was seen to be caught by one of its codes. */
function expectAllCaught(plan: Plan, design: Design, device: Device): string[] {
  expect(checkPlan(plan, design.requests, device)).toEqual([]);
  return mutations(plan, design.requests, device).map(({ name, codes, ...mutation }) => {
    const found = checkPlan(mutation.plan, mutation.requests, device, mutation.clockMHz).map(
      ({ code }) => code,
    );
    // A corruption that breaks very many tenants may fill the report before its own code is reached.
    if (found.length === VIOLATION_LIMIT) return name;
    expect(
      codes.filter((code) => found.includes(code)),
      `${name}: found ${[...new Set(found)].join(", ") || "nothing"}, expected one of ${codes.join(", ")}`,
    ).not.toEqual([]);
    return name;
  });
}

describe("corruptions of packed plans are caught", () => {
  it.each(["weather-mast", "dish-controller", "correlator-array"])("%s", async (name) => {
    const { design } = loadDesign(`designs/${name}.yaml`);
    const device = findDevice(design.device!);
    const plan = await pack(design, device);
    const tried = expectAllCaught(plan, design, device);
    expect(tried.length).toBeGreaterThan(CORRUPTION_NAMES.length / 2);
  });

  it("random designs, and together they offer a place for nearly every corruption", async () => {
    const tried = new Set<string>();
    await fc.assert(
      fc.asyncProperty(anyCase({ most: 3, deepest: 2500 }), async ({ design, device }) => {
        let plan: Plan;
        try {
          plan = await pack(design, device, { deadlineMs: 100 });
        } catch (error) {
          if (error instanceof NothingLegalError) return;
          throw error;
        }
        if (plan.blocks.length === 0) return;
        for (const name of expectAllCaught(plan, design, device)) tried.add(name);
      }),
      { numRuns: 60 },
    );
    expect(tried.size).toBeGreaterThan(CORRUPTION_NAMES.length * 0.9);
  });
});
