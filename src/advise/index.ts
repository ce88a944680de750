/**
 * Advice: what a design would take if it were another. In: designs, devices, traces. Out: rows of figures, each from a
 * design that was packed. May import: model, structures, input, candidates, program, solve and plan.
 */
export * from "./cache-simulator/index.js";
export * from "./compare/index.js";
export * from "./explain/index.js";
export * from "./reshape/index.js";
export * from "./sweep/index.js";
