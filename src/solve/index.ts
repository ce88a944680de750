/**
 * Solving: runs the general solvers on an integer program under a deadline that is enforced.
 * In: an integer program (plain data). Out: an outcome whose solution has been rechecked, or why there is none.
 * May import: program and what stands before it.
 */
export { objectiveStep, roundUpBound } from "./bound.js";
export { type EngineOptions, solveRelaxation, solveWith } from "./engine.js";
export type { Outcome, Relaxation } from "./outcome.js";
export type { Engine } from "./protocol.js";
