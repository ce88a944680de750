import { describe, expect, it } from "vitest";
import { checkPlan } from "../../src/plan/check.js";
import { CORRUPTION_NAMES, mutations } from "./mutations.js";
import { cases } from "./plan-fixtures.js";

describe("corrupted plans", () => {
  for (const { name, plan, requests, device, clockMHz } of cases) {
    it.each(mutations(plan, requests, device, clockMHz))(`${name}: $name`, (mutation) => {
      const codes = checkPlan(mutation.plan, mutation.requests, device, mutation.clockMHz).map(
        ({ code }) => code,
      );
      expect(mutation.codes.filter((code) => codes.includes(code))).not.toEqual([]);
    });
  }

  it("every corruption was tried on some plan", () => {
    const tried = new Set(
      cases.flatMap((c) => mutations(c.plan, c.requests, c.device, c.clockMHz)).map(({ name }) => name),
    );
    expect(CORRUPTION_NAMES.filter((name) => !tried.has(name))).toEqual([]);
  });
});
