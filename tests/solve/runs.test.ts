import { describe, expect, it, vi } from "vitest";
import type { Outcome } from "../../src/solve/outcome.js";
import { type Ended, Runs } from "../../src/solve/runs.js";

const host = vi.hoisted(() => ({ atOnce: 2 }));
vi.mock(import("../../src/solve/worker-host.js"), async (original) => ({
  ...(await original()),
  tasksAtOnce: async () => host.atOnce,
}));

const found: Outcome = { status: "optimal", x: [1], value: 5, bound: 5 };
const none: Outcome = { status: "infeasible" };

/** Runs that end when they are told to; `stopped` are those that were stopped, `alone` those that were told to be. */
async function controlled(saysNone?: (later: Ended<typeof low>, before: typeof low) => boolean) {
  const ends = new Map<string, (outcome: Outcome) => void>();
  const stopped: string[] = [];
  const alone: string[] = [];
  const runs = await Runs.of<typeof low>(({ name }, enough, isAlone) => {
    void isAlone.then(() => alone.push(name));
    enough.addEventListener("abort", () => stopped.push(name));
    return new Promise((resolve) => ends.set(name, resolve));
  }, saysNone);
  return { runs, stopped, alone, end: (name: string, outcome: Outcome) => ends.get(name)!(outcome) };
}

const low = { name: "low", value: 5 };
const high = { name: "high", value: 9 };

describe("runs of an engine", () => {
  it("are told in their order, whichever ends first", async () => {
    const { runs, end, stopped } = await controlled();
    await runs.begin(low);
    await runs.begin(high);
    end("high", found);
    const told = runs.next();
    await Promise.resolve();
    expect(runs.first).toBeNull();
    end("low", none);
    expect(await told).toEqual({ run: low, outcome: none });
    expect(runs.first).toEqual({ run: high, outcome: found });
    expect(await runs.next()).toEqual({ run: high, outcome: found });
    expect(runs.isEmpty).toBe(true);
    expect(stopped).toEqual([]);
  });

  it("stop where a later one tells that they have no solution", async () => {
    const { runs, end, stopped } = await controlled();
    await runs.begin(low);
    await runs.begin(high);
    const told = runs.next();
    end("high", none);
    expect(await told).toEqual({ run: low, outcome: none });
    expect(stopped).toEqual(["low"]);
    expect(await runs.next()).toEqual({ run: high, outcome: none });
  });

  it("stop where the best of a later one is worth more, and not where it is worth as little", async () => {
    for (const [value, expected] of [
      [6, ["low"]],
      [5, []],
    ] as const) {
      const { runs, end, stopped } = await controlled();
      await runs.begin(low);
      await runs.begin(high);
      const told = runs.next();
      end("high", { ...found, value });
      await new Promise((resume) => setTimeout(resume));
      expect(stopped).toEqual(expected);
      end("low", none);
      expect(await told).toEqual({ run: low, outcome: none });
    }
  });

  it("stop where a later one makes them needless, by a rule of their own", async () => {
    for (const isNeedless of [true, false]) {
      const { runs, end, stopped } = await controlled((later, before) => {
        expect(later).toEqual({ run: high, outcome: none });
        expect(before).toBe(low);
        return isNeedless;
      });
      await runs.begin(low);
      await runs.begin(high);
      const told = runs.next();
      end("high", none);
      await new Promise((resume) => setTimeout(resume));
      expect(stopped).toEqual(isNeedless ? ["low"] : []);
      end("low", found);
      expect(await told).toEqual({ run: low, outcome: isNeedless ? none : found });
    }
  });

  it("are told when they are alone, and not before: none goes on beside them, and none is begun", async () => {
    for (const isEnd of [true, false]) {
      const { runs, end, alone } = await controlled();
      await runs.begin(low);
      await runs.begin(high);
      const told = runs.next(isEnd);
      await new Promise((resume) => setTimeout(resume));
      expect(alone).toEqual([]);
      end("high", found);
      await new Promise((resume) => setTimeout(resume));
      // Both were begun and none was told, so that there is no room for another one.
      expect(alone).toEqual(["low"]);
      end("low", none);
      await told;
    }
    for (const isEnd of [true, false]) {
      const { runs, end, alone } = await controlled();
      await runs.begin(low);
      const told = runs.next(isEnd);
      await new Promise((resume) => setTimeout(resume));
      expect(alone).toEqual(isEnd ? ["low"] : []);
      end("low", none);
      await told;
    }
  });

  it("stop when nobody needs them any more, but for those that have ended", async () => {
    const { runs, end, stopped } = await controlled();
    await runs.begin(low);
    await runs.begin(high);
    end("low", found);
    await Promise.resolve();
    runs.stop();
    expect(stopped).toEqual(["high"]);
    expect(runs.isEmpty).toBe(true);
  });

  it.each([1, 2])("are begun while there is room for %i", async (atOnce) => {
    host.atOnce = atOnce;
    const { runs } = await controlled();
    for (let n = 0; n < atOnce; n++) {
      expect(await runs.wantsMore()).toBe(true);
      await runs.begin({ name: String(n), value: n });
    }
    expect(await runs.wantsMore()).toBe(false);
  });

  it("are not begun beside one that ends at once", async () => {
    host.atOnce = 2;
    const { runs, end } = await controlled();
    await runs.begin(low);
    const more = runs.wantsMore();
    end("low", none);
    expect(await more).toBe(false);
    await runs.next();
    expect(await runs.wantsMore()).toBe(true);
  });
});
