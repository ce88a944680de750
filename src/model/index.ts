/**
 * The vocabulary of the project: devices, memory requests, designs and plans as readonly data, with small pure
 * functions on them. Imports nothing of ours; every other folder imports it.
 */
export * from "./apportion.js";
export * from "./design.js";
export * from "./device.js";
export * from "./logic.js";
export * from "./plan.js";
export * from "./ports.js";
export * from "./request.js";
export * from "./shape.js";
export * from "./units.js";
