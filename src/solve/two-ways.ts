import { type IntegerProgram, objectiveValue } from "../program/integer-program.js";
import { type EngineOptions, solveWith } from "./engine.js";
import { judge } from "./judge.js";
import type { Outcome } from "./outcome.js";
import type { Claim } from "./protocol.js";
import { msUntil } from "./time-left.js";
import { tasksAtOnce } from "./worker-host.js";

/** Seed of the second way: any other than that of the first. */
const SECOND_SEED = 1;

/** How long the first way goes on alone, in milliseconds: what ends by then needs no second one. */
const ALONE_MS = 200;

/** How long the first way then has for a solution as good: a part of the time that the proof took, and so many milliseconds at least. */
const PATIENCE = { part: 0.1, leastMs: 250 };

/** A solution, and that none is better. */
type Proven = Extract<Outcome, { readonly status: "optimal" }>;

/** A program on its way. */
interface Way {
  readonly outcome: Promise<Outcome>;
  /** The first solution met that is worth so much; null: none was. */
  firstWorth(value: number): readonly number[] | null;
}

/**
 * Begins a way. Of solutions that are worth the same the first counts: what an engine holds for better by some billionths, which it may find
 * later or be stopped before, is not.
 */
function begin(program: IntegerProgram, options: EngineOptions, onBetter: () => void): Way {
  const { start } = options;
  const claims: Claim[] = [];
  const told = (claim: Claim) => {
    claims.push(claim);
    onBetter();
    options.onBetter?.(claim);
  };
  return {
    outcome: solveWith("highs", program, { ...options, onBetter: told }),
    firstWorth: (value) => {
      if (start !== undefined && objectiveValue(program, start) === value) return start;
      for (const claim of claims) {
        const found = judge(program, claim);
        if ((found.status === "feasible" || found.status === "optimal") && found.value === value)
          return found.x;
      }
      return null;
    },
  };
}

/** The outcome with the first solution that is worth as much. */
async function ended(way: Way): Promise<Outcome> {
  const outcome = await way.outcome;
  if (outcome.status !== "optimal") return outcome;
  return { ...outcome, x: way.firstWorth(outcome.value) ?? outcome.x };
}

/** What the second way is, and when it is begun. */
interface SecondWay {
  /** It may go about it otherwise than the first one; by default it differs in its seed. */
  readonly secondly?: (options: EngineOptions) => Promise<Outcome>;
  /** Resolves when nothing else goes on beside the first way: it is not begun before, unless that has ended; by default there is nothing. */
  readonly alone?: Promise<unknown>;
}

/** Solves a program with highs; of the best solutions the one that it met first. Never rejects. */
export function solveInOneWay(program: IntegerProgram, options: EngineOptions): Promise<Outcome> {
  return ended(begin(program, options, () => {}));
}

/**
 * Solves a program with highs in two ways at once, where the machine has room for two: with another seed it takes as long, or a fifth
 * of that, or five times. The solution is always that of the first way, so that it does not depend on which one is sooner: what the
 * second proves ends the first as soon as that has a solution as good. Only where the first has none after a quarter of a second more, or a tenth of
 * that time if that is longer, or at the deadline, is the second one's taken. Never rejects.
 */
export async function solveInTwoWays(
  program: IntegerProgram,
  options: EngineOptions,
  { secondly = (late) => solveWith("highs", program, late), alone = Promise.resolve() }: SecondWay = {},
): Promise<Outcome> {
  if ((await tasksAtOnce()) < 2) return solveInOneWay(program, options);
  const [stopFirst, stopSecond] = [new AbortController(), new AbortController()];
  const stop = () => {
    stopFirst.abort();
    stopSecond.abort();
  };
  options.enough?.addEventListener("abort", stop);
  const since = performance.now();
  const stopAt = Date.now() + options.deadlineMs;
  let timer: NodeJS.Timeout | undefined;
  let patience: NodeJS.Timeout | undefined;
  try {
    return await new Promise<Outcome>((resolve) => {
      let proven: Proven | null = null;
      /** Ends both where the first way has a solution as good as what the second one proves best. */
      const compare = () => {
        const x = proven === null ? null : first.firstWorth(proven.value);
        if (x !== null) resolve({ ...proven!, x });
      };
      const first = begin(program, { ...options, enough: stopFirst.signal }, compare);
      const late = (): EngineOptions => ({
        ...options,
        deadlineMs: msUntil(stopAt),
        enough: stopSecond.signal,
        seed: SECOND_SEED,
      });
      let second: Promise<Outcome> | null = null;
      timer = setTimeout(() => {
        second = Promise.race([alone, first.outcome]).then(() => secondly(late()));
        void second.then((outcome) => {
          if (outcome.status === "infeasible") resolve(outcome);
          if (outcome.status === "optimal") {
            proven = outcome;
            // Not what keeps the process: it may come after all is over.
            patience = setTimeout(
              () => resolve(outcome),
              Math.max(PATIENCE.part * (performance.now() - since), PATIENCE.leastMs),
            ).unref();
          }
          compare();
        });
      }, ALONE_MS);
      void ended(first).then(async (outcome) => {
        // With the time up the second one may still have proven what the first did not.
        const isSure = outcome.status === "optimal" || outcome.status === "infeasible";
        resolve(isSure || second === null ? outcome : betterOf(outcome, await second));
      });
    });
  } finally {
    clearTimeout(timer);
    clearTimeout(patience);
    options.enough?.removeEventListener("abort", stop);
    stop();
  }
}

/** What two ways come to of which the first proved nothing. */
function betterOf(first: Outcome, second: Outcome): Outcome {
  if (second.status === "optimal") return second;
  if (first.status !== "feasible") return second.status === "failed" ? first : second;
  if (second.status !== "feasible") return first;
  const bounds = [first, second].flatMap(({ bound }) => (bound === null ? [] : [bound]));
  const better = second.value < first.value ? second : first;
  return { ...better, bound: bounds.length === 0 ? null : Math.max(...bounds) };
}
