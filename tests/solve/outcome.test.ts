import { expect, it } from "vitest";
import { type Outcome, upTo } from "../../src/solve/outcome.js";

it("tells of solutions up to a value only what is known of them", () => {
  const x = [1];
  const best: Outcome = { status: "optimal", x, value: 7, bound: 7 };
  const met = (value: number, bound: number | null): Outcome => ({ status: "feasible", x, value, bound });
  for (const value of [7, 8]) expect(upTo(best, value)).toBe(best);
  expect(upTo(best, 6)).toEqual({ status: "infeasible" });
  expect(upTo(met(9, 7), 9)).toEqual(met(9, 7));
  // Met on the way to what was sought, which may be there or not.
  expect(upTo(met(9, 5), 6)).toEqual({ status: "out-of-time" });
  expect(upTo(met(9, 6), 6)).toEqual({ status: "out-of-time" });
  expect(upTo(met(9, null), 6)).toEqual({ status: "out-of-time" });
  expect(upTo(met(9, 7), 6)).toEqual({ status: "infeasible" });
  for (const status of ["infeasible", "out-of-time"] as const)
    expect(upTo({ status }, 6)).toEqual({ status });
});
