import { describe, expect, test } from "vitest";
import type { IntegerProgram } from "../../src/program/integer-program.js";
import { solveRelaxation, solveWith } from "../../src/solve/index.js";
import { FAULTS, FIRST_LIMIT } from "./faulty-engines/faults.js";
import { program } from "./small-programs.js";

/** Minimise 3 a + 2 b with a + b >= 4, a <= 3: x = (0, 4), value 8. */
const small = program([3, 2], [[[1, 1], 4, null]], [3, null]);
const deadlineMs = 20_000;

const workerFile = new URL("./faulty-engines/faulty-engine.js", import.meta.url);

/** The same for the faulty worker, which takes its orders from the second variable's upper limit. */
function faulty(fault: string): IntegerProgram {
  expect(FAULTS).toContain(fault);
  const upper = FIRST_LIMIT + FAULTS.indexOf(fault);
  return { ...small, variables: [small.variables[0]!, { ...small.variables[1]!, upper }] };
}

describe("an answer that does not hold is refused", () => {
  test.each([
    ["breaks a row", /violates "row 0"/],
    ["breaks an upper limit", /violates "v0"/],
    ["is negative", /violates "v0"/],
    ["is fractional", /not whole/],
    ["is not a number", /not whole/],
    ["is too short", /not whole/],
    ["misstates its value", /says 7 where its answer is worth 8/],
    ["has a bound above its value", /bound 9 lies above/],
  ])("an answer that %s", async (fault, reason) => {
    const outcome = await solveWith("highs", faulty(fault), { deadlineMs, workerFile });
    expect(outcome).toEqual({ status: "failed", reason: expect.stringMatching(reason) });
  });

  test("an answer above its own bound is not called optimal", async () => {
    const outcome = await solveWith("highs", faulty("calls a worse answer optimal"), {
      deadlineMs,
      workerFile,
    });
    expect(outcome).toEqual({ status: "feasible", x: [1, 3], value: 9, bound: 8 });
  });
});

test("no solution is a failure where one is in hand, as the caller says", async () => {
  const none = program([3, 2], [[[1, 1], 4, null]], [1, 1]);
  expect(await solveWith("highs", none, { deadlineMs })).toEqual({ status: "infeasible" });
  expect(await solveWith("highs", none, { deadlineMs, start: [2, 2] })).toEqual({
    status: "failed",
    reason: "it finds no solution where one is in hand",
  });
});

describe("an engine that breaks", () => {
  test.each([
    ["throws", /out of memory/],
    ["exits", /code 3/],
  ])("one that %s has failed, and a new one takes its place", async (fault, reason) => {
    for (let time = 0; time < 3; time += 1) {
      const outcome = await solveWith("highs", faulty(fault), { deadlineMs, workerFile });
      expect(outcome).toEqual({ status: "failed", reason: expect.stringMatching(reason) });
      const next = await solveWith("highs", faulty("none"), { deadlineMs, workerFile });
      expect(next).toMatchObject({ status: "optimal", value: 8 });
    }
  });

  test("one whose file does not exist has failed", async () => {
    const missing = new URL("./faulty-engines/missing.js", import.meta.url);
    const outcome = await solveWith("highs", small, { deadlineMs, workerFile: missing });
    expect(outcome).toMatchObject({ status: "failed" });
  });

  test("one that never returns is ended at the deadline, and a new one takes its place", async () => {
    for (let time = 0; time < 3; time += 1) {
      const outcome = await solveWith("highs", faulty("never returns"), { deadlineMs: 200, workerFile });
      expect(outcome).toEqual({ status: "out-of-time" });
      const next = await solveWith("highs", faulty("none"), { deadlineMs, workerFile });
      expect(next).toMatchObject({ status: "optimal", value: 8 });
    }
    expect(await solveRelaxation(faulty("never returns"), { deadlineMs: 200, workerFile })).toEqual({
      status: "out-of-time",
    });
  });

  test("what it had found is kept when it is ended", async () => {
    const program = faulty("finds an answer, then never returns");
    const outcome = await solveWith("highs", program, { deadlineMs: 2000, workerFile });
    // Its bound of 7.5 is rounded up, since every value of the objective is whole, and so meets the value.
    expect(outcome).toEqual({ status: "optimal", x: [0, 4], value: 8, bound: 8 });
  });

  test("the signal ends it before the deadline", async () => {
    const signal = AbortSignal.timeout(50);
    const options = { deadlineMs: 3_600_000, signal, workerFile };
    const outcome = await solveWith("highs", faulty("never returns"), options);
    expect(outcome).toEqual({ status: "out-of-time" });
    expect(await solveWith("highs", small, { deadlineMs, signal })).toEqual({ status: "out-of-time" });
  });

  test("one that does not stop when its answer is not needed any more is ended", async () => {
    for (let time = 0; time < 3; time += 1) {
      const enough = AbortSignal.timeout(50);
      const options = { deadlineMs: 3_600_000, enough, workerFile };
      const outcome = await solveWith("highs", faulty("never returns"), options);
      expect(outcome).toEqual({ status: "out-of-time" });
      const next = await solveWith("highs", faulty("none"), { deadlineMs, workerFile });
      expect(next).toMatchObject({ status: "optimal", value: 8 });
    }
  });

  test("several at once do not disturb each other", async () => {
    const outcomes = await Promise.all([
      solveWith("highs", faulty("never returns"), { deadlineMs: 200, workerFile }),
      solveWith("highs", small, { deadlineMs }),
      solveWith("highs", small, { deadlineMs }),
      solveWith("javascript-lp-solver", small, { deadlineMs }),
    ]);
    expect(outcomes.map(({ status }) => status)).toEqual(["out-of-time", "optimal", "optimal", "optimal"]);
  });
});
