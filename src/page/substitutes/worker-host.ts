import type { Claim, Engine, Task } from "../../solve/protocol.js";
import type { RunLimits, UnaddressedTask } from "../../solve/worker-host.js";

/** @see engines of src/solve/engine-worker.js */
const engines: Record<
  Engine,
  () => Promise<{ run(task: Task, report: (claim: Claim) => void): Promise<Claim> }>
> = {
  highs: () => import("../../solve/highs-engine.js"),
  "javascript-lp-solver": () => import("../../solve/javascript-lp-solver-engine.js"),
};

/** There is one thread. */
export async function tasksAtOnce(): Promise<number> {
  return 1;
}

/**
 * Stands in for src/solve/worker-host.ts in a page, which packs in a worker already: the engine runs in this very thread.
 * An engine that does not stop by itself is ended with the whole worker, by the page (see app/packer.ts).
 */
export async function runTask(
  engine: Engine,
  task: UnaddressedTask,
  { deadlineMs, signal, enough, onBetter }: RunLimits,
): Promise<Claim> {
  if (!(deadlineMs > 0) || signal?.aborted || enough?.aborted) return { status: "out-of-time" };
  let best: Claim = { status: "out-of-time" };
  try {
    const { run } = await engines[engine]();
    const claim = await run({ ...task, engine, stopAt: Date.now() + deadlineMs, enough: null }, (better) => {
      best = better;
      onBetter?.(better);
    });
    return claim.status === "out-of-time" ? best : claim;
  } catch (error) {
    return { status: "failed", reason: String(error) };
  }
}
