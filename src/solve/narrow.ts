import type { IntegerProgram } from "../program/integer-program.js";
import type { StagedProgram } from "../program/stage-program.js";
import { objectiveStep, ROUNDING } from "./bound.js";
import { solveRelaxation, solveWith } from "./engine.js";
import { Runs } from "./runs.js";

/** The part of a step of the objective by which a variable has to miss a value to be left out: far above rounding errors. */
const MARGIN = 0.01;

/** How far below nothing the reduced price of a variable without upper limit may be: an engine's own tolerance. */
const PRICE_TOLERANCE = 1e-6;

/** How many times farther above the bound the value is that is tried next. */
export const RAISE = 3;

/** The part of the bound by which the value is raised at least: as many variables are let in by less, a run takes as long and tells less. */
const LEAST_RAISE = 0.002;

/** The part of the variables of which those that are left out are not worth a run without them. */
const NEARLY_ALL = 0.8;

/** A lower bound on a program, and how much dearer every solution gets, at least, that uses a variable. */
export interface ReducedPrices {
  readonly bound: number;
  /** By variable; below 0 where using it lowers the bound to what it is. */
  readonly prices: Float64Array;
}

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
 * The bound that prices of a program's rows prove (Lagrangian duality), and the reduced prices of its variables. Any prices will do: a price with
 * the wrong sign for its row counts as none. Null where the prices bound nothing.
 */
export function pricesFromDuals(program: IntegerProgram, duals: readonly number[]): ReducedPrices | null {
  const prices = Float64Array.from(program.variables, ({ objective }) => objective);
  let bound = 0;
  let size = 0;
  const add = (term: number) => {
    bound += term;
    size += Math.abs(term);
  };
  for (const [index, { terms, lower, upper }] of program.rows.entries()) {
    const dual = duals[index]!;
    const limit = dual > 0 ? lower : upper;
    if (dual === 0 || limit === null) continue;
    add(dual * limit);
    for (const { variable, coefficient } of terms) prices[variable]! -= dual * coefficient;
  }
  for (const [variable, { upper }] of program.variables.entries()) {
    const price = prices[variable]!;
    if (price >= 0) continue;
    if (upper !== null) add(price * upper);
    else if (price < -PRICE_TOLERANCE) return null;
  }
  return { bound: bound - ROUNDING * size, prices };
}

/** The variables that a solution of the given value or better may use; `step`: what values of the objective are multiples of. */
export function variablesWithin({ bound, prices }: ReducedPrices, value: number, step: number): number[] {
  const most = value - bound + MARGIN * step;
  return [...prices.keys()].filter((variable) => prices[variable]! <= most);
}

/** The columns that a solution of the given value or better may use; `step`: what values of the objective are multiples of. */
export function columnsOfValue(
  { columnOf }: StagedProgram,
  reduced: ReducedPrices,
  value: number,
  step: number,
): Set<number> {
  const within = variablesWithin(reduced, value, step);
  return new Set(within.map((variable) => columnOf[variable]!).filter((column) => column >= 0));
}

/** The least multiple of `step` that a solution can be worth which is worth no less than a bound that prices prove. */
export function atOrAbove(bound: number, step: number): number {
  return step * Math.ceil(bound / step - MARGIN) + 0;
}

/** The program with some of its variables only, the others at 0. */
function restricted(program: IntegerProgram, variables: readonly number[]): IntegerProgram {
  const placeOf = new Map(variables.map((variable, place) => [variable, place]));
  return {
    variables: variables.map((variable) => program.variables[variable]!),
    rows: program.rows.map((row) => ({
      ...row,
      terms: row.terms.flatMap(({ variable, coefficient }) => {
        const place = placeOf.get(variable);
        return place === undefined ? [] : [{ variable: place, coefficient }];
      }),
    })),
  };
}

/** Some variables of a program, with all that solutions up to a value may use among them. */
interface Rung {
  readonly value: number;
  readonly variables: readonly number[];
  /** The value of a solution in hand when it was begun; null: there was none. */
  readonly incumbent: number | null;
}

/**
 * The variables that a program is solved on, one set after the other, each chosen by how good the best in hand was when
 * the last but one had been solved (`leasts[n]` for the n-th): ever more of them.
 */
function* rungsOf(
  program: IntegerProgram,
  reduced: ReducedPrices,
  start: number,
  step: number,
  leasts: readonly number[],
): Generator<Rung> {
  const inOrder = Float64Array.from(reduced.prices).sort();
  const enough = Math.min(program.variables.length, Math.max(1, program.rows.length));
  const first = Math.max(0, inOrder[enough - 1]!);
  let bound = start;
  let value = Math.max(bound, atOrAbove(reduced.bound + first, step));
  for (let runs = 0; ; runs++) {
    const least = leasts[runs]!;
    if (bound >= least) return;
    value = Math.min(value, least - step);
    let variables = variablesWithin(reduced, value, step);
    const all = variablesWithin(reduced, least - step, step);
    if (variables.length > NEARLY_ALL * all.length) {
      value = least - step;
      variables = all;
    }
    yield { value, variables, incumbent: Number.isFinite(least) ? least : null };
    bound = value + step;
    const next = Math.max(
      reduced.bound + RAISE * (value + step - reduced.bound),
      value + LEAST_RAISE * Math.abs(reduced.bound),
    );
    value = atOrAbove(next, step);
  }
}

/**
 * Solves a program with highs on the variables that good solutions can use. The relaxation's duals tell how much dearer a solution
 * gets with each variable (reduced cost fixing, from memory); those that would bring it above a value are left out. What is best
 * on the others is best of all if it is no more than a step above that value; otherwise the value is raised: the next
 * one is begun while the one before it is still being solved. The first value lets in about as many variables as there
 * are rows. Nothing rests on the relaxation but the choice of prices, and its word that the program has no solution.
 *
 * @param incumbent the value of a solution in hand: only better ones are sought
 * @param atLeast a lower bound that is known beforehand
 */
export async function solveNarrowed(
  program: IntegerProgram,
  incumbent: number | null,
  atLeast: number | null,
  limits: { readonly stopAt: number; readonly signal?: AbortSignal | undefined },
): Promise<Narrowed> {
  const unknown: Narrowed = { best: null, bound: null, infeasible: false, failure: null, reduced: null };
  const left = () => ({ deadlineMs: Math.max(1, limits.stopAt - Date.now()), signal: limits.signal });
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
  const found = (failure: string | null = null): Narrowed => ({
    best,
    bound,
    infeasible: false,
    failure,
    reduced,
  });
  const leasts = [least()];
  const rungs = rungsOf(program, reduced, bound, step, leasts);
  const runs = await Runs.of(({ variables, incumbent }: Rung, enough) =>
    solveWith("highs", restricted(program, variables), {
      ...left(),
      enough,
      search: true,
      ...(incumbent === null ? {} : { incumbent }),
    }),
  );
  const isLate = () => Date.now() >= limits.stopAt;
  let isEnd = false;
  try {
    while (bound < least()) {
      leasts.push(least());
      while (!isEnd && !isLate() && (await runs.wantsMore())) {
        const { done, value } = rungs.next();
        if (done) isEnd = true;
        else await runs.begin(value);
      }
      if (runs.isEmpty) break;
      const { run, outcome } = await runs.next();
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
        const x = program.variables.map(() => 0);
        for (const [place, variable] of variables.entries()) x[variable] = outcome.x[place]!;
        best = { x, value: outcome.value };
      }
      const proven = outcome.status === "optimal" ? outcome.value : atOrAbove(outcome.bound ?? bound, step);
      // Solutions with other variables are worth a step more than the value at least.
      bound = Math.max(bound, Math.min(proven, value + step, least()));
    }
  } finally {
    runs.stop();
  }
  return found();
}
