/** How a solve ended. `x` gives each variable of the program its whole value; `value` is the objective there. */
export type Outcome =
  /** No better solution exists: `bound`, the proven lower bound, equals `value`. */
  | {
      readonly status: "optimal";
      readonly x: readonly number[];
      readonly value: number;
      readonly bound: number;
    }
  /** Time ran out with a solution in hand. `bound` is the proven lower bound; null where there is none. */
  | {
      readonly status: "feasible";
      readonly x: readonly number[];
      readonly value: number;
      readonly bound: number | null;
    }
  /** No solution exists within the rows, limits on the objective included. */
  | { readonly status: "infeasible" }
  /** The deadline passed, or the signal fired, before any solution was found. */
  | { readonly status: "out-of-time" }
  /** The engine crashed, gave up, or gave an answer that does not hold. */
  | { readonly status: "failed"; readonly reason: string };

/** What a solve tells of solutions up to a value, where only these were sought: dearer ones that it met do not count. */
export function upTo(outcome: Outcome, value: number): Outcome {
  if (!("value" in outcome) || outcome.value <= value) return outcome;
  const isNone = outcome.bound !== null && outcome.bound > value;
  return { status: isNone ? "infeasible" : "out-of-time" };
}

/** Why an engine that says "infeasible" has failed where a solution is known. */
export const FINDS_NONE = "it finds no solution where one is in hand";

/** What a relaxation is worth where a variable that is not whole in it is limited to whole numbers. */
export interface Tried {
  readonly variable: number;
  /** Its value in the relaxation. */
  readonly x: number;
  /** Where it is less; infinite: there is no solution. */
  readonly below: number;
  /** Where it is more. */
  readonly above: number;
}

/** How the solve of a relaxation ended: the variables of `x` need not be whole. */
export type Relaxation =
  /** `value` is a lower bound of every whole solution, within the engine's floating point. */
  | {
      readonly status: "optimal";
      readonly x: readonly number[];
      readonly value: number;
      /** What one unit more on the right of each row is worth; empty where the engine does not tell. */
      readonly duals: readonly number[];
      /** Of the variables that were to be tried, those that are not whole; empty where the engine does not tell. */
      readonly tries: readonly Tried[];
    }
  | { readonly status: "infeasible" }
  | { readonly status: "out-of-time" }
  | { readonly status: "failed"; readonly reason: string };
