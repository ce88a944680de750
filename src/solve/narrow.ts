import { type IntegerProgram, restricted, spread } from "../program/integer-program.js";
import { objectiveStep } from "./bound.js";
import { type EngineOptions, solveRelaxation, solveWith } from "./engine.js";
import { improveAndProve, provenFrom } from "./improve.js";
import { LONGEST_TIMER } from "./longest-timer.js";
import { type Outcome, upTo } from "./outcome.js";
import { atOrAbove, pricesFromDuals, type ReducedPrices } from "./reduced-prices.js";
import { type Known, type Rung, rungsOf } from "./rungs.js";
import { type Ended, Runs } from "./runs.js";
import type { Ties } from "./ties.js";
import { msUntil } from "./time-left.js";
import { solveInOneWay, solveInTwoWays } from "./two-ways.js";

/** Iterations of the simplex method that an engine has for a sketch: some seconds at most. Counted, so that what is found does not depend on the clock. */
const SKETCH_WORK = 3000;

/** Where a value is aimed at, another seed than for sketches and proofs: of twelve systems one has its blocks in a quarter of the time by it, and none takes twice as long. */
const AIM_SEED = 1;

/** What is known of a program after it was solved on few of its variables. */
export interface Narrowed {
  /** The best solution met, whole program; null: none as good as was asked for. */
  readonly best: { readonly x: readonly number[]; readonly value: number } | null;
  /** No solution is worth less than this; null: nothing is known. */
  readonly bound: number | null;
  /** Whether an engine found no solution at all. */
  readonly infeasible: boolean;
  /** Why an engine failed; null: none did. */
  readonly failure: string | null;
  /** null: the relaxation gave none. */
  readonly reduced: ReducedPrices | null;
}

/**
 * Whether one run makes another before it needless. Solutions that are dearer than a run's value change what comes after it, so the best of all has
 * to be known, and to be dearer than what would make the run the last one.
 */
function isNeedless(before: Rung, { run, outcome }: Ended<Rung>, step: number): boolean {
  if (outcome.status === "infeasible") return before.kind !== "sketch";
  if (outcome.status !== "optimal") return false;
  return outcome.value <= run.value + step && outcome.value > before.value + step;
}

/** The prices of some variables. */
function somePrices({ bound, prices }: ReducedPrices, variables: readonly number[]): ReducedPrices {
  return { bound, prices: Float64Array.from(variables, (variable) => prices[variable]!) };
}

/** The ties of some variables. */
function someTies({ owners, excerptOf }: Ties, variables: readonly number[]): Ties {
  return {
    owners: variables.map((variable) => owners[variable]!),
    excerptOf: (choices) => {
      const excerpt = excerptOf(choices.map((choice) => variables[choice]!));
      const spread = (x: readonly number[]) => {
        const all = excerpt.spread(x);
        return all === null ? null : variables.map((variable) => all[variable]!);
      };
      return { program: excerpt.program, spread };
    },
  };
}

/** What is known of a program before it is solved. */
export interface Beforehand {
  /** The value of a solution in hand: only better ones are sought; null: there is none. */
  readonly incumbent: number | null;
  /** A lower bound; null: none is known. */
  readonly atLeast: number | null;
  /** The solution in hand, a value a variable, where highs is to search near it; null: it is not. */
  readonly start: readonly number[] | null;
  /** Variables without which good solutions are found sooner, so that some are looked for on few variables first; null: they are not. */
  readonly isIntricate: ((variable: number) => boolean) | null;
  /** Variables that follow from the others. */
  readonly isDerived: (variable: number) => boolean;
  /** What variables have to do with each other, so that the solution that highs begins from is bettered beside it; null: it is not. */
  readonly ties: Ties | null;
}

/** When to stop, in milliseconds as `Date.now()` gives them. */
export interface NarrowLimits {
  readonly stopAt: number;
  /** When to stop where no solution has been met by then; default: `stopAt`. */
  readonly giveUpAt?: number;
  readonly signal?: AbortSignal | undefined;
}

/**
 * Solves a program with highs on the variables that good solutions can use. The relaxation's duals tell how much dearer a solution
 * gets with each variable (reduced cost fixing, from memory); those that would bring it above a value are left out. What is best
 * on the others is best of all if it is no more than a step above that value; otherwise the value is raised: the next
 * one is begun while the one before it is still being solved. The first value lets in about as many variables as there
 * are rows; from a solution in hand, all that are left come next. Nothing rests on the relaxation but the choice of prices, and its word that the program has no solution.
 */
export async function solveNarrowed(
  program: IntegerProgram,
  { incumbent, atLeast, start, isIntricate, isDerived, ties }: Beforehand,
  limits: NarrowLimits,
): Promise<Narrowed> {
  const unknown: Narrowed = { best: null, bound: null, infeasible: false, failure: null, reduced: null };
  const left = () => ({ deadlineMs: msUntil(limits.stopAt), signal: limits.signal });
  const step = objectiveStep(program);
  const relaxation = await solveRelaxation(program, left());
  if (relaxation.status === "failed") return { ...unknown, failure: relaxation.reason };
  if (relaxation.status === "infeasible") return { ...unknown, infeasible: true };
  if (relaxation.status === "out-of-time") return unknown;
  const reduced = pricesFromDuals(program, relaxation.duals);
  if (reduced === null || step === 0) return unknown;
  let best: Narrowed["best"] = null;
  let bound = atOrAbove(Math.max(reduced.bound, atLeast ?? reduced.bound), step);
  const least = () => best?.value ?? incumbent ?? Number.POSITIVE_INFINITY;
  const bestKnown = (): Known => ({ value: least(), x: start === null ? null : (best?.x ?? start) });
  const found = (failure: string | null = null): Narrowed => ({
    best,
    bound,
    infeasible: false,
    failure,
    reduced,
  });
  const known = [bestKnown()];
  const rungs = rungsOf({ program, reduced, step, bound, isIntricate, isDerived }, known);
  const hasNone = new AbortController();
  const giveUp =
    incumbent === null && limits.giveUpAt !== undefined
      ? setTimeout(() => hasNone.abort(), Math.min(limits.giveUpAt - Date.now(), LONGEST_TIMER))
      : undefined;
  /** What the last run is for, begun with what is known once the others have ended. */
  const again = async (
    { variables, known: { value } }: Rung,
    part: IntegerProgram,
    late: EngineOptions,
  ): Promise<Outcome> => {
    // There may be better ones yet.
    if (best === null || best.value >= value) return solveWith("highs", part, { ...late, mode: "search" });
    const outcome = await provenFrom({ program, reduced, step }, best, (better, incumbent) =>
      solveWith("highs", better, { ...late, incumbent }),
    );
    return "x" in outcome ? { ...outcome, x: variables.map((variable) => outcome.x[variable]!) } : outcome;
  };
  /** Solutions up to a value, in two ways once the run is alone. */
  const aimed = async (
    part: IntegerProgram,
    value: number,
    options: EngineOptions,
    alone: Promise<void>,
  ): Promise<Outcome> => {
    const its = { ...options, incumbent: value, mode: "aim", seed: AIM_SEED } as const;
    const secondly = async (late: EngineOptions) =>
      upTo(await solveWith("highs", part, { ...late, mode: "proof", seed: 0 }), value);
    const outcome = await solveInTwoWays(part, its, { secondly, alone });
    return upTo(outcome, value);
  };
  const runs = await Runs.of(
    (rung: Rung, enough, alone) => {
      const { variables, kind } = rung;
      const isLast = kind === "last";
      const { value, x } = rung.known;
      const part = restricted(program, variables);
      // Near a solution in hand the tree finds what is better. Without one, few variables have told what there is: there mostly is nothing better.
      const isProof = x !== null || isLast;
      const options: EngineOptions = {
        ...left(),
        enough: AbortSignal.any([enough, hasNone.signal]),
        onBetter: () => clearTimeout(giveUp),
        mode: isProof ? "proof" : "search",
        ...(kind === "sketch" ? { work: SKETCH_WORK } : {}),
        ...(x === null ? {} : { start: variables.map((variable) => x[variable]!) }),
        ...(Number.isFinite(value) ? { incumbent: x === null && isLast ? value - step : value } : {}),
      };
      if (kind === "aimed") return aimed(part, rung.value, options, alone);
      if (start === null) {
        if (!isLast) return solveInOneWay(part, options);
        return solveInTwoWays(part, options, { secondly: (late) => again(rung, part, late), alone });
      }
      if (ties === null || options.start === undefined || !isLast) return solveInTwoWays(part, options);
      const itsTies = someTies(ties, variables);
      const known = { program: part, reduced: somePrices(reduced, variables), step, ties: itsTies, bound };
      const solution = { x: options.start, value };
      return improveAndProve(known, solution, options);
    },
    (later, before) => isNeedless(before, later, step),
  );
  const isLate = () => Date.now() >= limits.stopAt || hasNone.signal.aborted;
  let isEnd = false;
  const isAiming = () => runs.last?.kind === "aimed";
  /** Whether another run is to be begun: from a solution in hand one after the other, each from the best that is known. */
  const wantsMore = async () =>
    !isEnd && !isLate() && !isAiming() && (start === null ? await runs.wantsMore() : runs.isEmpty);
  try {
    while (bound < least()) {
      known.push(bestKnown());
      while (await wantsMore()) {
        const { done, value } = rungs.next();
        if (done) isEnd = true;
        else await runs.begin(value);
      }
      if (runs.isEmpty) break;
      const { run, outcome } = await runs.next(isEnd || isLate() || isAiming());
      const { value, variables } = run;
      if (outcome.status === "failed") return found(outcome.reason);
      if (outcome.status === "out-of-time") continue;
      if (outcome.status === "infeasible") {
        if (least() === Number.POSITIVE_INFINITY && variables.length === program.variables.length) {
          return { ...found(), infeasible: true };
        }
        bound = Math.max(bound, Math.min(value + step, least()));
        continue;
      }
      // Of those that are alike the one that is proven, whichever came first.
      if (outcome.value < least() || (outcome.status === "optimal" && outcome.value === best?.value)) {
        best = { x: spread(program, variables, outcome.x), value: outcome.value };
      }
      const proven = outcome.status === "optimal" ? outcome.value : atOrAbove(outcome.bound ?? bound, step);
      // Solutions with other variables are worth a step more than the value at least.
      bound = Math.max(bound, Math.min(proven, value + step, least()));
    }
  } finally {
    clearTimeout(giveUp);
    runs.stop();
  }
  return found();
}
