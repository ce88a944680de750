/**
 * From a request and a device to the ways of holding it. In: memory requests and a device, as the model states them.
 * Out: candidates (tilings, copies, LUT memory, registers) and layouts of groups, pruned to those that no other beats.
 * Imports only the model.
 */
export { type Alternative, alternativesOf, roomOf } from "./alternatives.js";
export * from "./block-use.js";
export * from "./candidate.js";
export * from "./classes.js";
export type { Fragment, StackDemand } from "./fragment.js";
export type { GroupConfig, StackClass } from "./group.js";
export type { Stack } from "./piece.js";
export { placeStack, type StackPlace } from "./stack-rows.js";
export type { StackRule, TileOption } from "./tile-option.js";
export type { Tiling } from "./tiling.js";
export type { Part } from "./word.js";
