/**
 * Reports: plans, requests and devices as text or JSON. Every function is pure and returns the whole report.
 * In: data of the model. Out: a string that ends with a line end. May import: model, advise, and what stands before them.
 */
export { type BlockPicture, blockPictures, type Filling, type Patch } from "./block-picture.js";
export { compareJson, compareTable } from "./compare.js";
export { compareMarkdown } from "./compare-markdown.js";
export { deriveJson, deriveTable } from "./derive.js";
export { deviceJson, devicesJson, devicesTable, deviceTable } from "./devices.js";
export { explainJson, explainText } from "./explain.js";
export type { TextOptions } from "./grid.js";
export { planJson } from "./json.js";
export { type BrokenLimit, brokenLimits, limitsJson, limitsText } from "./limits.js";
export { blockMap } from "./map.js";
export { type PageStart, pageHtml } from "./page.js";
export { reshapeJson, reshapeTable } from "./reshape.js";
export { sweepJson, sweepTable } from "./sweep.js";
export { sweepCsv } from "./sweep-csv.js";
export { ESTIMATE_NOTE, planTable } from "./table.js";
export { type Budget, budgets } from "./totals.js";
export { type WasteReason, worstMemories } from "./why.js";
