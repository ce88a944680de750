import { type IntegerProgram, objectiveValue, violatedRows } from "../program/integer-program.js";
import { objectiveStep, roundUpBound } from "./bound.js";
import type { Outcome } from "./outcome.js";
import type { Claim } from "./protocol.js";

/** How far an engine's figure may lie from the exact one: from a whole number, or relative to a value. */
const CLAIM_TOLERANCE = 1e-5;

/** The part of a step of the objective that the engine's own count of a value may be off, for its proof to be believed. */
const PROOF_TOLERANCE = 0.25;

/**
 * Turns what an engine says into an outcome that holds: x is rounded to whole numbers, then feasibility and value
 * are recomputed exactly from the program. "failed" where the claim does not stand. A claim of "optimal" whose
 * bound lies below its value becomes "feasible"; one that gives no bound, and "infeasible", rest on the engine's
 * search and cannot be rechecked here. Where the values of the objective have a step, a bound closes the search only when
 * it rounds up to the value, and the engine must have counted that value to within a quarter of a step: it may have left
 * out better solutions else.
 */
export function judge(program: IntegerProgram, claim: Claim): Outcome {
  if (claim.status !== "optimal" && claim.status !== "feasible") return claim;

  const x = program.variables.map((_, v) => Math.round(claim.x[v] ?? Number.NaN) + 0);
  const value = objectiveValue(program, x);
  const tolerance = CLAIM_TOLERANCE * (1 + Math.abs(value));
  const step = objectiveStep(program);
  const near = (figure: number) => Math.abs(value - figure) <= PROOF_TOLERANCE * step;
  const bound = claim.bound === null ? null : near(claim.bound) ? value : roundUpBound(program, claim.bound);

  if (
    claim.x.length !== x.length ||
    x.some((whole, v) => !(Math.abs(whole - claim.x[v]!) <= CLAIM_TOLERANCE))
  ) {
    return { status: "failed", reason: "the engine's answer is not whole" };
  }
  const [violated] = violatedRows(program, x);
  if (violated !== undefined) {
    return { status: "failed", reason: `the engine's answer violates "${violated}"` };
  }
  if (!(Math.abs(value - claim.value) <= tolerance)) {
    return { status: "failed", reason: `the engine says ${claim.value} where its answer is worth ${value}` };
  }
  if (bound !== null && bound > value + tolerance) {
    return { status: "failed", reason: `the engine's bound ${bound} lies above its own answer, ${value}` };
  }
  const closed =
    bound === null
      ? claim.status === "optimal"
      : step === 0
        ? bound >= value - tolerance
        : near(claim.value) && bound === value;
  if (closed) return { status: "optimal", x, value, bound: value };
  return { status: "feasible", x, value, bound: bound !== null && bound > value ? null : bound };
}
