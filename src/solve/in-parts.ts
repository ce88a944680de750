import type { IntegerProgram } from "../program/integer-program.js";
import { divided } from "./divide.js";
import type { EngineOptions } from "./engine.js";
import { type Outcome, upTo } from "./outcome.js";
import { Runs } from "./runs.js";
import { msUntil } from "./time-left.js";
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

/** What the parts that have been told so far come to. */
class Told {
  private best: Extract<Outcome, { readonly status: "optimal" | "feasible" }> | null = null;
  private isSure = true;
  /** What solutions are to be worth at most once so many parts have been told. */
  private readonly mostAfter: number[];

  constructor(
    incumbent: number,
    private readonly step: number,
  ) {
    this.mostAfter = [incumbent];
  }

  /** How many parts. */
  get parts(): number {
    return this.mostAfter.length - 1;
  }

  /** What solutions of a part are to be worth at most: better than all parts had but the one before it, which may go on beside it, and those after it. */
  mostIn(part: number): number {
    return this.mostAfter[Math.max(0, part - 1)]!;
  }

  add(outcome: Outcome): void {
    if (outcome.status !== "optimal" && outcome.status !== "infeasible") this.isSure = false;
    const most = this.mostAfter.at(-1)!;
    const isBetter = "value" in outcome && outcome.value <= most;
    if (isBetter) this.best = outcome;
    this.mostAfter.push(isBetter ? outcome.value - this.step : most);
  }

  /** What the program comes to, of so many parts. */
  of(parts: number): Outcome {
    const { best } = this;
    if (!this.isSure || this.parts < parts) {
      return best === null ? { status: "out-of-time" } : { ...best, status: "feasible", bound: null };
    }
    return best === null ? { status: "infeasible" } : { ...best, status: "optimal", bound: best.value };
  }
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
  const left = () => ({ ...options, deadlineMs: msUntil(stopAt) });
  const isSmall = program.variables.length < LEAST_VARIABLES;
  const parts = isSmall ? [program] : await divided(program, incumbent, left());
  const told = new Told(incumbent, step);
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
  let atOnce = 1;
  /** Resolves when there may be room for another part; null: it has. */
  let room: Promise<void> | null = isFree.then(async () => {
    atOnce = await tasksAtOnce();
    room = null;
  });
  const isLate = () => Date.now() >= stopAt || signal?.aborted || enough?.aborted;
  let begun = 0;
  try {
    for (let next: ReturnType<typeof runs.next> | null = null; ; ) {
      while (begun < parts.length && begun < told.parts + atOnce && !isLate()) {
        await runs.begin({ program: parts[begun]!, value: told.mostIn(begun) });
        begun += 1;
      }
      if (runs.isEmpty) return told.of(parts.length);
      next ??= runs.next(begun === parts.length || isLate());
      const ended = await (room === null ? next : Promise.race([next, room]));
      if (ended === undefined) continue;
      if (ended.outcome.status === "failed") return ended.outcome;
      next = null;
      told.add(ended.outcome);
    }
  } finally {
    runs.stop();
  }
}
