/**
 * Wrappers in hardware description languages. In: a plan, the design and the device that it is for. Out: files as data
 * (a path below a folder, and text); nothing is written here. May import everything up to `plan`, and no report.
 */
export { LANGUAGES, type Language } from "./language.js";
export { MANIFEST, type Manifest, type ManifestMemory, type ManifestModule } from "./manifest.js";
export type { RtlFile } from "./rtl-file.js";
export { type WrapOptions, type WrapOutcome, type WrapProblem, wrap } from "./wrap.js";
