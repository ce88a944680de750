import { type IntegerProgram, objectiveValue, restricted, spread } from "../program/integer-program.js";
import { type EngineOptions, solveWith } from "./engine.js";
import { solveInParts } from "./in-parts.js";
import { Neighbourhoods } from "./neighbourhoods.js";
import { type Outcome, upTo } from "./outcome.js";
import { atOrAbove, type ReducedPrices, variablesWithin } from "./reduced-prices.js";
import type { Excerpt, Ties } from "./ties.js";
import { msUntil } from "./time-left.js";
import { solveInOneWay } from "./two-ways.js";
import { tasksAtOnce } from "./worker-host.js";

/** How long a solution is bettered. */
export interface Looks {
  /** Neighbourhoods that are looked at at most. */
  readonly most: number;
  /** After how many in turn that have nothing much better that ends. */
  readonly patience: number;
}

/** Half a second or so together. */
const BEFORE_PROOF: Looks = { most: 32, patience: 8 };

/** What is much better: by this part of what the value is above the bound. */
const MUCH = 0.02;

/** Iterations of the simplex method that each is looked at with. */
const WORK = 400;

/** The part of the owners that choose anew at first and at most, and how it changes where highs had come to its end, or had not. */
const SHARE = { first: 0.2, most: 0.35, whole: 1.05, late: 0.7 };

/** The parts of the way from the bound to the solution in hand up to which the best is sought, one after the other, while that is bettered. */
const LOWS = [0.3, 0.65];

/** The part of the variables of the next one above which such a search is not worth making: it takes as long. */
const ALIKE = 0.9;

/** Iterations of the simplex method that each such search has: what is not found by then seldom is in time. */
const LOW_WORK = 22_000;

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
 *
 * @param together how many neighbourhoods of a solution are looked at before the best of what they have is taken: at once, where the machine has room
 */
export async function bettered(
  { program, reduced, step, ties, bound }: KnownProgram,
  known: Solution,
  { deadlineMs, signal, enough, mode }: EngineOptions,
  together: number,
  { most, patience }: Looks = BEFORE_PROOF,
): Promise<Solution> {
  const stopAt = Date.now() + deadlineMs;
  const isStopped = () => Date.now() >= stopAt || enough?.aborted || signal?.aborted;
  const isAtOnce = (await tasksAtOnce()) >= together;
  const neighbourhoods = new Neighbourhoods(ties);
  let best = known;
  let place = 0;
  let share = SHARE.first;
  for (let idle = 0; idle < patience && place < most && best.value > bound && !isStopped(); ) {
    const from = best;
    const open = new Set(variablesWithin(reduced, from.value - step, step));
    const look = async () => {
      const part = neighbourhoods.next(from.x, (variable) => open.has(variable), share);
      if (part === null) return null;
      const outcome = await solveWith("highs", part.program, {
        deadlineMs: msUntil(stopAt),
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
    for (let i = 0; i < together; i++) {
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
    idle = from.value - best.value > MUCH * (from.value - bound) ? 0 : idle + together;
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

/** The values up to which the best is sought from a solution worth `value`, from low to high: without those that let in nearly all variables of the next one. */
export function lowValues(
  { reduced, step, bound }: Pick<KnownProgram, "reduced" | "step" | "bound">,
  value: number,
): number[] {
  const values = LOWS.map((part) => Math.min(atOrAbove(bound + part * (value - bound), step), value - step));
  const sizes = values.map((low) => variablesWithin(reduced, low, step).length);
  return values.filter((_, at) => at === values.length - 1 || sizes[at]! <= ALIKE * sizes[at + 1]!);
}

/** The best solution up to a value; `none`: there is none; null: none was proven best. Never rejects. */
async function bestUpTo(
  { program, reduced, step }: KnownProgram,
  value: number,
  options: EngineOptions,
): Promise<Solution | "none" | null> {
  const variables = variablesWithin(reduced, value, step);
  const outcome = await solveInOneWay(restricted(program, variables), {
    ...options,
    incumbent: value,
    work: LOW_WORK,
  });
  if (upTo(outcome, value).status === "infeasible") return "none";
  if (outcome.status !== "optimal") return null;
  return { x: spread(program, variables, outcome.x), value: outcome.value };
}

/**
 * Betters a solution, and then seeks the proof that nothing is better still, part by part, on the variables that are left for that. Beside that, where the
 * machine has room, the best of what is much better is sought: few variables can be part of it. With highs. Never rejects.
 *
 * @param options of the proof, which begins from no solution whatever they say: with one it takes a tenth longer
 */
export async function improveAndProve(
  known: KnownProgram,
  solution: Solution,
  options: EngineOptions,
): Promise<Outcome> {
  const { step } = known;
  const stopAt = Date.now() + options.deadlineMs;
  const deadline = () => ({ deadlineMs: msUntil(stopAt) });
  const [wholeStop, betterStop] = [new AbortController(), new AbortController()];
  const stop = () => {
    wholeStop.abort();
    betterStop.abort();
  };
  options.enough?.addEventListener("abort", stop);
  let low = null as Solution | null;
  const lows = lowValues(known, solution.value);
  const lowRun = async () => {
    for (const value of lows) {
      const its = { ...options, ...deadline(), start: undefined, enough: wholeStop.signal };
      const found = await bestUpTo(known, value, its);
      if (found === "none") continue;
      low = found;
      break;
    }
    if (low !== null) betterStop.abort();
    return low;
  };
  const isAtOnce = (await tasksAtOnce()) > 1;
  try {
    const beside = isAtOnce ? lowRun() : null;
    const first = await bettered(known, solution, { ...options, enough: betterStop.signal }, 1);
    const lowest = beside ?? lowRun();
    if (!isAtOnce) await lowest;
    if (low !== null) return provenBest(low);
    const proof = provenFrom(known, first, (program, incumbent) => {
      const its = { ...options, ...deadline(), start: undefined, incumbent, enough: wholeStop.signal };
      return solveInParts(program, its, step, lowest);
    });
    const found = await Promise.race([proof, lowest]);
    if (found !== null && !("status" in found)) return provenBest(found);
    const outcome = await proof;
    if (outcome.status !== "optimal" || outcome.value > lows.at(-1)!) return outcome;
    // Of two that are as good always the one that is sought beside the proof, whichever came first.
    const same = await lowest;
    return same === null ? outcome : provenBest(same);
  } finally {
    options.enough?.removeEventListener("abort", stop);
    stop();
  }
}

/** A solution that nothing is better than. */
function provenBest({ value, x }: Solution): Outcome {
  return { status: "optimal", value, x, bound: value };
}

/**
 * Seeks what is better than a solution, on the variables that such can use. Never rejects where the engine does not.
 *
 * @param solve the engine: is given the program on those variables, and the value that solutions are to have at most
 * @returns the best solution that is known then, with what is proven of it
 */
export async function provenFrom(
  { program, reduced, step }: Pick<KnownProgram, "program" | "reduced" | "step">,
  known: Solution,
  solve: (part: IntegerProgram, incumbent: number) => Promise<Outcome>,
): Promise<Outcome> {
  const incumbent = known.value - step;
  const variables = variablesWithin(reduced, incumbent, step);
  const outcome = await solve(restricted(program, variables), incumbent);
  const best = better(program, known, outcome, { spread: (x) => spread(program, variables, x) });
  switch (outcome.status) {
    // None is better, or the best of those that are was found.
    case "infeasible":
    case "optimal":
      return provenBest(best);
    case "feasible":
      return { status: "feasible", ...best, bound: outcome.bound };
    case "out-of-time":
      return { status: "feasible", ...best, bound: null };
    case "failed":
      return outcome;
  }
}
