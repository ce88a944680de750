/**
 * Text of the user in, checked data out. In: the text of a design or device file. Out: a design (its structures
 * turned into memory requests) or a device, or diagnostics, each with its place in the text; or an edited text.
 * May import: model and structures. Nothing here prints; `printDiagnostics` gives the text to print.
 */
export { checkAgainstDevice } from "./check-against-device.js";
export { type DesignData, derive } from "./derive.js";
export { type DesignRead, type HomeName, loadDesign, type ReadDesign, readDesign } from "./design.js";
export type { DesignFile, MemoryEntry, StructureParameters } from "./design-schema.js";
export { type ReadDevices, readDevices } from "./device.js";
export { type Diagnostic, type DiagnosticCode, hasErrors, InputError, type Source } from "./diagnostics.js";
export {
  type DesignEdit,
  type EditedDesign,
  type EntryEdit,
  type EntryList,
  editDesign,
  type KeyEdit,
} from "./edit-design.js";
export { type DeviceSearch, findDevice, listDevices } from "./find-device.js";
export { type JsonSchema, jsonSchema } from "./json-schema.js";
export * from "./limits.js";
export { nearestName, suggestion } from "./nearest.js";
export { loadPlan, looksLikePlan, MAX_PLAN_BYTES, planRanges, type ReadPlan, readPlan } from "./plan.js";
export { type Position, positionOf, printDiagnostics } from "./print.js";
export { readSource } from "./read-source.js";
export { MAX_TEXT_BYTES, type Ranges, type Read, readYaml } from "./read-yaml.js";
export { SCHEMA_NAMES, type SchemaName } from "./schema-names.js";
export { type EditValue, flowText } from "./yaml-value.js";
