import { describe, expect, it, vi } from "vitest";
import type { EngineOptions } from "../../src/solve/engine.js";
import { MANY_COLUMNS, solveSizedWhole } from "../../src/solve/sized-run.js";
import { lateRun } from "./late-run.js";
import { enumerate, program } from "./small-programs.js";

const seen = vi.hoisted(() => ({ runs: [] as EngineOptions[] }));
vi.mock(import("../../src/solve/worker-host.js"), async (original) => ({
  ...(await original()),
  tasksAtOnce: async () => 2,
}));
// The first way comes to nothing, so that all rests on the second.
vi.mock(import("../../src/solve/engine.js"), async (original) => {
  const others = await original();
  return {
    ...others,
    solveWith: (engine, program, options) => {
      if ((options.seed ?? 0) === 0) return lateRun(options);
      seen.runs.push(options);
      return others.solveWith(engine, program, options);
    },
  };
});

const DEADLINE_MS = 20_000;

/** Things of 3, 5 and 7 of which there are to be 11: 3 + 3 + 5 costs 10. */
const covering = program([3, 4, 7], [[[3, 5, 7], 11, null]], 4);
const best = enumerate(covering)!;

async function told(incumbent: number | undefined, least: number | null) {
  seen.runs = [];
  const options = { deadlineMs: DEADLINE_MS, ...(incumbent === undefined ? {} : { incumbent }) };
  const large = { program: covering, columns: MANY_COLUMNS + 1 };
  const outcome = await solveSizedWhole(large, options, least);
  return { value: "value" in outcome ? outcome.value : null, status: outcome.status };
}

describe("the second way of a large run", () => {
  it("first seeks what is worth no more than the bound, and has then found the best", async () => {
    expect(await told(best + 5, best)).toEqual({ status: "optimal", value: best });
    expect(seen.runs.map(({ incumbent }) => incumbent)).toEqual([best]);
  });

  it("seeks what is better than what is in hand where nothing is worth the bound", async () => {
    expect(await told(best + 5, best - 1)).toEqual({ status: "optimal", value: best });
    expect(seen.runs.map(({ incumbent }) => incumbent)).toEqual([best - 1, best + 5]);
  });

  it("is for a proof at once where no bound is known, what is in hand is worth it, or nothing is in hand", async () => {
    for (const [incumbent, least] of [
      [best, null],
      [best, best],
      [undefined, best],
    ] as const) {
      expect(await told(incumbent, least)).toEqual({ status: "optimal", value: best });
      expect(seen.runs.map(({ incumbent, mode }) => [incumbent, mode])).toEqual([[incumbent, "proof"]]);
    }
  });
});
