/**
 * The public library. What is not exported here is private.
 *
 * A design goes through it like this: `loadDesign` or `readDesign`, `findDevice`, `checkAgainstDevice`, `pack`
 * (which runs `checkPlan` on what it returns), then a report. `sweep` takes the text of a design through all of that for
 * many values of its keys.
 */

export * from "./advise/index.js";
export { CandidateMemo } from "./candidates/index.js";
export {
  checkAgainstDevice,
  type DesignEdit,
  type DesignRead,
  type DeviceSearch,
  type Diagnostic,
  type DiagnosticCode,
  type EditedDesign,
  type EditValue,
  type EntryEdit,
  editDesign,
  findDevice,
  hasErrors,
  InputError,
  type JsonSchema,
  jsonSchema,
  type KeyEdit,
  listDevices,
  loadDesign,
  loadPlan,
  printDiagnostics,
  type ReadDesign,
  type ReadPlan,
  readDesign,
  readDevices,
  readPlan,
  SCHEMA_NAMES,
  type SchemaName,
  type Source,
} from "./input/index.js";
export * from "./model/index.js";
export { checkPlan, type Violation, type ViolationCode } from "./plan/check.js";
export { checkFigures } from "./plan/check-figures.js";
export { type Homeless, NothingLegalError } from "./plan/nothing-legal.js";
export { BrokenPlanError, type PackOptions, pack } from "./plan/pack.js";
export * from "./report/index.js";
export {
  LANGUAGES,
  type Language,
  MANIFEST,
  type Manifest,
  type ManifestMemory,
  type ManifestModule,
  type ManifestPort,
  type RtlFile,
  type WrapOptions,
  type WrapOutcome,
  type WrapProblem,
  wrap,
} from "./rtl/index.js";
