import type { FlatProgram } from "./flat-program.js";
import type { Tried } from "./outcome.js";

/** The general solvers that an integer program can be given to. */
export type Engine = "javascript-lp-solver" | "highs";

/**
 * What highs spends its time on:
 * - `tree`: what is best where blocks are shared by two at most: no searches for solutions beside its tree.
 * - `search`: all its searches too, which pays where solutions are harder to find than to prove best.
 * - `aim`: the same searches, and a tree as for proofs: where few solutions, if any, are as good as what is sought.
 * - `proof`: that nothing is better than what is in hand.
 */
export type Mode = "tree" | "search" | "aim" | "proof";

/** What the worker is asked: one program, one engine. Plain data, copied into the worker's thread. */
export interface Task {
  readonly engine: Engine;
  readonly program: FlatProgram;
  /** false: the relaxation, whose variables need not be whole. */
  readonly whole: boolean;
  /** Whether variables that are whole wherever the others are need not be whole on the way. For highs only. */
  readonly loose: boolean;
  /** How far apart value and bound may be when the engine stops, so that no better value lies between. */
  readonly gap: number;
  /** Solutions that cost more than this are not sought; null: all are. For highs only. */
  readonly cutoff: number | null;
  /** What highs is to be good at. */
  readonly mode: Mode;
  /**
   * Variables that a relaxation is to be tried with: for each whose value in it is not whole, what it is worth with that variable at the whole numbers below it, and
   * above; null: none. For highs only.
   */
  readonly tried: readonly number[] | null;
  /** Where highs has a choice that makes no difference to what it proves, which it takes. */
  readonly seed: number;
  /** Iterations of the simplex method after which highs stops with what it has; null: no limit. */
  readonly work: number | null;
  /** A solution in hand that highs searches near, a value a variable; null: none. */
  readonly start: readonly number[] | null;
  /** When the engine should stop by itself: milliseconds since 1970. The host does not rely on it. */
  readonly stopAt: number;
  /** Its first word is no longer 0 when the answer is not needed any more; null: it always is. The host does not rely on it. */
  readonly enough: Int32Array | null;
}

/**
 * What an engine says, not yet believed: see judge.ts. `value` is its own count of the objective, `bound` its
 * lower bound (null where it gives none).
 */
export type Claim =
  | ({ readonly status: "optimal" } & ClaimedSolution)
  | ({ readonly status: "feasible" } & ClaimedSolution)
  | { readonly status: "infeasible" }
  | { readonly status: "out-of-time" }
  | { readonly status: "failed"; readonly reason: string };

interface ClaimedSolution {
  readonly x: readonly number[];
  readonly value: number;
  readonly bound: number | null;
  /** Row duals of a relaxation, where the engine tells. */
  readonly duals?: readonly number[];
  /** What it is worth where variables are limited, where the task asks for that and the engine tells. */
  readonly tries?: readonly Tried[];
}

/** What the worker posts: any number of better answers on the way, then its last word. */
export interface Message {
  readonly last: boolean;
  readonly claim: Claim;
}
