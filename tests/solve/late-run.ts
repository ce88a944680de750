import type { EngineOptions } from "../../src/solve/engine.js";
import type { Outcome } from "../../src/solve/outcome.js";

/** A run of an engine that comes to nothing before it is stopped or time is up. */
export function lateRun({ deadlineMs, enough }: EngineOptions): Promise<Outcome> {
  return new Promise((resolve) => {
    const end = () => resolve({ status: "out-of-time" });
    if (enough?.aborted) end();
    setTimeout(end, deadlineMs);
    enough?.addEventListener("abort", end);
  });
}
