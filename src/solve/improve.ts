import { type IntegerProgram, objectiveValue, restricted, spread } from "../program/integer-program.js";
import { type EngineOptions, solveWith } from "./engine.js";
import { Neighbourhoods } from "./neighbourhoods.js";
import type { Outcome } from "./outcome.js";
import { type ReducedPrices, variablesWithin } from "./reduced-prices.js";
import type { Excerpt, Ties } from "./ties.js";
import { solveInTwoWays } from "./two-ways.js";
import { tasksAtOnce } from "./worker-host.js";

/** Neighbourhoods that are looked at at most, and after how many in turn that have nothing much better the proof is begun: a second or so together. */
const MOST_LOOKS = 32;
const PATIENCE = 16;

/** What is much better: by this part of what the value is above the bound. */
const MUCH = 0.02;

/** Iterations of the simplex method that each is looked at with. */
const WORK = 400;

/** The part of the owners that choose anew at first and at most, and how it changes where highs had come to its end, or had not. */
const SHARE = { first: 0.2, most: 0.35, whole: 1.05, late: 0.7 };

/** How many neighbourhoods of a solution are looked at before the best of what they have is taken: at once, where the machine has room. */
const TOGETHER = 2;

/** A program with what is known of it. */
export interface KnownProgram {
  readonly program: IntegerProgram;
  readonly reduced: ReducedPrices;
  /** What values of the objective are multiples of. */
  readonly step: number;
  readonly ties: Ties;
  /** No solution is worth less. */
  readonly bound: number;
}

/** A solution of it, a value a variable, and what that is worth. */
export interface Solution {
  readonly x: readonly number[];
  readonly value: number;
}

/**
 * Betters a solution: the program is solved again with highs where a few owners choose anew, neighbourhood after neighbourhood, until
 * several in turn have nothing better. Stops where a signal fires or time is up, with what it has. Never rejects.
 */
export async function bettered(
  { program, reduced, step, ties, bound }: KnownProgram,
  known: Solution,
  { deadlineMs, signal, enough, mode }: EngineOptions,
): Promise<Solution> {
  const stopAt = Date.now() + deadlineMs;
  const isStopped = () => Date.now() >= stopAt || enough?.aborted || signal?.aborted;
  const isAtOnce = (await tasksAtOnce()) >= TOGETHER;
  const neighbourhoods = new Neighbourhoods(ties);
  let best = known;
  let place = 0;
  let share = SHARE.first;
  for (let idle = 0; idle < PATIENCE && place < MOST_LOOKS && best.value > bound && !isStopped(); ) {
    const from = best;
    const open = new Set(variablesWithin(reduced, from.value - step, step));
    const look = async () => {
      const part = neighbourhoods.next(from.x, (variable) => open.has(variable), share);
      if (part === null) return null;
      const outcome = await solveWith("highs", part.program, {
        deadlineMs: stopAt - Date.now(),
        signal,
        enough,
        mode,
        incumbent: from.value - step,
        work: WORK,
        seed: place++,
      });
      return {
        isWhole: outcome.status === "optimal" || outcome.status === "infeasible",
        next: better(program, from, outcome, part),
      };
    };
    const looks = [];
    for (let i = 0; i < TOGETHER; i++) {
      const next = look();
      if (!isAtOnce) await next;
      looks.push(next);
    }
    for (const look of await Promise.all(looks)) {
      if (look === null) return best;
      const { isWhole, next } = look;
      if (next.value < best.value) best = next;
      share = Math.min(SHARE.most, share * (isWhole ? SHARE.whole : SHARE.late));
    }
    idle = from.value - best.value > MUCH * (from.value - bound) ? 0 : idle + TOGETHER;
  }
  return best;
}

/** The better of a solution and what a run on a part came to. */
function better(
  program: IntegerProgram,
  known: Solution,
  outcome: Outcome,
  part: Pick<Excerpt, "spread">,
): Solution {
  if (outcome.status !== "optimal" && outcome.status !== "feasible") return known;
  if (outcome.value >= known.value) return known;
  const x = part.spread(outcome.x);
  return x === null ? known : { value: objectiveValue(program, x), x };
}

/**
 * Betters a solution, and then seeks the proof that nothing is better still, on the variables that are left for that. With highs. Never rejects.
 *
 * @param options of the proof, which begins from no solution whatever they say: with one it takes a tenth longer
 */
export async function improveAndProve(
  known: KnownProgram,
  solution: Solution,
  options: EngineOptions,
): Promise<Outcome> {
  const { program, reduced, step } = known;
  const stopAt = Date.now() + options.deadlineMs;
  const first = await bettered(known, solution, options);
  const variables = variablesWithin(reduced, first.value - step, step);
  const outcome = await solveInTwoWays(restricted(program, variables), {
    ...options,
    deadlineMs: stopAt - Date.now(),
    start: undefined,
    incumbent: first.value - step,
  });
  const { value, x } = better(program, first, outcome, {
    spread: (values) => spread(program, variables, values),
  });
  switch (outcome.status) {
    // None is better, or the best of those that are was found.
    case "infeasible":
    case "optimal":
      return { status: "optimal", value, x, bound: value };
    case "feasible":
      return { status: "feasible", value, x, bound: outcome.bound };
    case "out-of-time":
      return { status: "feasible", value, x, bound: null };
    case "failed":
      return outcome;
  }
}
