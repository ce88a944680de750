/**
 * The public library. What is not exported here is private. Nothing here prints or ends the process; data is readonly, and
 * only what is called `load`, `find` or `list` reads files. Long work (`pack`, `reshape`, `sweep`) takes an AbortSignal.
 *
 * A design goes through it like this: `loadDesign`, `readDesign` or `derive`, `loadDevice`, `checkAgainstDevice`, `pack`
 * (which runs `checkPlan` on what it returns), then a report. `sweep` takes the text of a design through all of that for
 * many values of its keys.
 *
 * Errors of the user are {@link InputError} (with all diagnostics), {@link NothingLegalError}, {@link OptionError},
 * {@link TraceError} and {@link UnknownPathError}; others are faults of ours.
 *
 * @packageDocumentation
 */

export * from "./advise/index.js";
export { CandidateMemo } from "./candidates/index.js";
export {
  checkAgainstDevice,
  type DesignData,
  type DesignEdit,
  type DesignRead,
  type DeviceSearch,
  type Diagnostic,
  type DiagnosticCode,
  derive,
  type EditedDesign,
  type EditValue,
  type EntryEdit,
  editDesign,
  findDevice,
  findDevice as loadDevice,
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
export * from "./scan/index.js";
