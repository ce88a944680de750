import type { IntegerProgram } from "../program/integer-program.js";
import { divided } from "./divide.js";
import type { EngineOptions } from "./engine.js";
import { type Outcome, upTo } from "./outcome.js";
import { Runs } from "./runs.js";
import { solveInTwoWays } from "./two-ways.js";
import { tasksAtOnce } from "./worker-host.js";

/** Programs of fewer variables are solved whole, in the time that it takes to divide them. */
const LEAST_VARIABLES = 400;

/** A part with what it is solved for. */
interface PartRun {
  readonly program: IntegerProgram;
  /** Solutions are to be worth this at most. */
  readonly value: number;
}

/**
 * Solves a program with highs part by part, as `divided` tells them, two at once where the machine has room. In each only what is better than the best of all
 * parts but the one before it and those after it is sought, so that nothing depends on which of two ends first. Never rejects.
 *
 * @param options with the value that solutions are to have at most
 * @param step what values of the objective are multiples of
 * @param isFree resolves when nothing else runs: until then one part at a time
 */
export async function solveInParts(
  program: IntegerProgram,
  options: EngineOptions & { readonly incumbent: number },
  step: number,
  isFree: Promise<unknown>,
): Promise<Outcome> {
  const { incumbent, signal, enough } = options;
  const stopAt = Date.now() + options.deadlineMs;
  const left = () => ({ ...options, deadlineMs: Math.max(1, stopAt - Date.now()) });
  const isSmall = program.variables.length < LEAST_VARIABLES;
  const parts = isSmall ? [program] : await divided(program, incumbent, left());
  let best: Extract<Outcome, { readonly status: "optimal" | "feasible" }> | null = null;
  const most = () => (best === null ? incumbent : best.value - step);
  let atOnce = 1;
  /** Resolves when there may be room for another part; null: it has. */
  let room: Promise<void> | null = isFree.then(async () => {
    atOnce = await tasksAtOnce();
    room = null;
  });
  /** What solutions are to be worth at most once so many parts have been told. */
  const told = [most()];
  const runs = await Runs.of<PartRun>(
    ({ program, value }, stop, alone) => {
      const its = {
        ...left(),
        incumbent: value,
        enough: AbortSignal.any(enough === undefined ? [stop] : [stop, enough]),
      };
      const second = { alone: Promise.all([alone, isFree]) };
      return solveInTwoWays(program, its, second).then((outcome) => upTo(outcome, value));
    },
    () => false,
  );
  const isLate = () => Date.now() >= stopAt || signal?.aborted || enough?.aborted;
  let begun = 0;
  let isSure = true;
  try {
    for (let next: ReturnType<typeof runs.next> | null = null; ; ) {
      while (begun < parts.length && begun < told.length - 1 + atOnce && !isLate()) {
        await runs.begin({ program: parts[begun]!, value: told[Math.max(0, begun - 1)]! });
        begun += 1;
      }
      if (runs.isEmpty) break;
      next ??= runs.next(begun === parts.length || isLate());
      const ended = await (room === null ? next : Promise.race([next, room]));
      if (ended === undefined) continue;
      next = null;
      const { outcome } = ended;
      if (outcome.status === "failed") return outcome;
      if (outcome.status !== "optimal" && outcome.status !== "infeasible") isSure = false;
      if ("value" in outcome && outcome.value <= most()) best = outcome;
      told.push(most());
    }
  } finally {
    runs.stop();
  }
  if (!isSure || begun < parts.length) {
    return best === null ? { status: "out-of-time" } : { ...best, status: "feasible", bound: null };
  }
  return best === null ? { status: "infeasible" } : { ...best, status: "optimal", bound: best.value };
}
