/**
 * Wrappers in hardware description languages. In: a plan, the design and the device that it is for. Out: files as data
 * (a path below a folder, and text); nothing is written here. May import everything up to `plan`, and no report.
 */
export { LANGUAGES, type Language } from "./wrap/language.js";
export {
  MANIFEST,
  type Manifest,
  type ManifestMemory,
  type ManifestModule,
  type ManifestPort,
} from "./wrap/manifest.js";
export type { RtlFile } from "./wrap/rtl-file.js";
export { type WrapOptions, type WrapOutcome, type WrapProblem, wrap } from "./wrap/wrap.js";
