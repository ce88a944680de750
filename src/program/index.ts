/**
 * From candidates to the integer program. In: choices (candidates and group layouts), the design's limits and the
 * device's counts. Out: columns, costs, budgets, and for each stage an integer program as plain data. Imports model
 * and candidates.
 */
export * from "./integer-program.js";
export * from "./luts.js";
export * from "./outdone-columns.js";
export * from "./pack-program.js";
export * from "./patterns.js";
export * from "./patterns-in-use.js";
export * from "./share-rows.js";
export * from "./spend.js";
export * from "./stage.js";
export * from "./stage-program.js";
