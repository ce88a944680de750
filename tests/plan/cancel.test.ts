import { describe, expect, test } from "vitest";
import { findDevice, pack, readDesign, reshape, sweep } from "../../src/index.js";
import { largeSystem, tightened } from "../bench/systems.js";

/** Runs a job with a signal that fires once the job is at work, after some turns of the event loop. */
async function cancelled(job: (signal: AbortSignal) => Promise<unknown>, turns: number): Promise<unknown> {
  const control = new AbortController();
  const reason = new Error("the user has left");
  const later = (left: number) => {
    if (left === 0) control.abort(reason);
    else setImmediate(() => later(left - 1));
  };
  later(turns);
  return job(control.signal).then(
    () => "done",
    (error) => (error === reason ? "the reason" : error),
  );
}

describe("a packing that is cancelled rejects with the reason", () => {
  const { design, device } = largeSystem(120, "xczu7ev");

  test("before it begins", async () => {
    expect(await cancelled((signal) => pack(design, device, { signal }), 0)).toBe("the reason");
    const reason = new Error("never");
    await expect(pack(design, device, { signal: AbortSignal.abort(reason) })).rejects.toBe(reason);
  });

  // Candidates alone take many turns of 20 ms; a deadline of an hour would not end a job that goes on.
  test.each([1, 2, 5, 10])("after %i turns", async (turns) => {
    expect(await cancelled((signal) => pack(design, device, { signal, deadlineMs: 3_600_000 }), turns)).toBe(
      "the reason",
    );
  });

  test("while it searches for a plan that keeps tight budgets", async () => {
    const { design, device } = largeSystem(1000, "xczu7ev");
    const free = await pack(design, device, { deadlineMs: 1000 });
    const tight = tightened(design, device, free);
    const job = pack(tight, device, { signal: AbortSignal.timeout(4000), deadlineMs: 3_600_000 });
    await expect(job).rejects.toMatchObject({ name: "TimeoutError" });
  });

  test("and without an abort the plan is the same with a signal as without", async () => {
    const { signal } = new AbortController();
    const small = { ...design, requests: design.requests.slice(0, 12) };
    const [bare, watched] = [await pack(small, device), await pack(small, device, { signal })];
    expect({ ...watched, solver: null }).toEqual({ ...bare, solver: null });
  });
});

/** Invented. */
const SOURCE = {
  file: "growing.yaml",
  text: "design: growing\ndevice: ecp5-25f\nmemories:\n  - { name: a, depth: 1030, width: 18, ports: 1rw }\n",
};

describe("longer jobs", () => {
  const read = readDesign(SOURCE);
  if (!read.ok) throw new Error("the design has errors");
  const device = findDevice("ecp5-25f");

  test("a reshape rejects with the reason, and tells how far it is", async () => {
    const control = new AbortController();
    const steps: { done: number; total: number }[] = [];
    const onProgress = (step: { done: number; total: number }) => {
      steps.push(step);
      if (step.done === 3) control.abort("enough");
    };
    await expect(reshape(read, device, { signal: control.signal, onProgress })).rejects.toBe("enough");
    expect(steps.map(({ done }) => done)).toEqual([0, 1, 2, 3]);
    steps.length = 0;
    await reshape(read, device, { onProgress: (step) => steps.push(step) });
    const total = steps[0]!.total;
    expect(steps.map(({ done }) => done)).toEqual(Array.from({ length: total + 1 }, (_, i) => i));
  });

  test("a sweep returns what is done", async () => {
    const axes = [{ path: "a.depth", values: Array.from({ length: 200 }, (_, i) => 100 + i) }];
    const control = new AbortController();
    const onOutcome = () => control.abort();
    const swept = await sweep({
      source: SOURCE,
      axes,
      devices: [device],
      jobs: 1,
      onOutcome,
      signal: control.signal,
    });
    expect(swept.interrupted).toBe(true);
    expect(swept.rows.length).toBeLessThan(200);
    expect(swept.rows.length).toBeGreaterThan(0);
  });
});
