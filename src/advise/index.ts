/**
 * Advice: what a design would take if it were another. In: designs and devices. Out: changes and rows of figures, each
 * from a design that was packed as a whole. May import: model, structures, input, candidates, program, solve and plan.
 */
export * from "./reshape/index.js";
