/**
 * What changed between two plans. In: two plans, each packed from a design or saved before, and what may be gained.
 * Out: the figures of both beside each other and the memories that are not as they were. May import: the model.
 */
export * from "./compare.js";
