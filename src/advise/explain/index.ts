/**
 * Why a memory lies where it does. In: a design, a device, the name of a memory. Out: its place in the plan, the other
 * ways to hold it with what the whole design takes with each, and what would rid it of its waste. May import: model,
 * candidates, program and plan.
 */
export * from "./explain.js";
export type { Geometry, Remedy } from "./remedies.js";
