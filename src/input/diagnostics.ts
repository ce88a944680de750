import type { SourceRange } from "../model/index.js";

/** What sort of problem a diagnostic is about; scripts and tests may branch on it. */
export type DiagnosticCode =
  /** The file cannot be read, or is not UTF-8 text. */
  | "unreadable-file"
  /** The text, a count or a size is over a fixed limit of this program. */
  | "over-limit"
  /** Not YAML 1.2. */
  | "yaml-syntax"
  /** A key stands twice in one mapping. */
  | "duplicate-key"
  /** An alias that names nothing, names its own parent, or is one of too many. */
  | "bad-alias"
  /** An infinite number or not-a-number. */
  | "not-finite"
  /** A key that has to be there is not. */
  | "missing-key"
  /** A key that the form does not have. */
  | "unknown-key"
  /** A value of another type than the form has, for example text for a number. */
  | "wrong-type"
  /** A value of the right type that is not allowed, for example a width of 0. */
  | "wrong-value"
  /** A value that is none of a closed list of names. */
  | "unknown-name"
  /** Two things that need different names have the same. */
  | "duplicate-name"
  /** Ports, lanes, clocks or widths of one memory contradict each other. */
  | "port-rule"
  /** Members of a lockstep or exclusive group contradict each other. */
  | "group-rule"
  /** Figures of a device file contradict each other. */
  | "device-rule"
  /** A saved plan of another format version. */
  | "plan-format"
  /** Figures of a saved plan do not add up. */
  | "plan-figures"
  /** The device has no legal home for a memory; found when packing. */
  | "nothing-legal"
  /** A memory cannot be wrapped as asked: its contents, its behaviour on collisions or its clocks. */
  | "cannot-wrap";

/** A problem of the user's text, as data. */
export interface Diagnostic {
  readonly code: DiagnosticCode;
  /** An error stops the work, a warning does not. */
  readonly severity: "error" | "warning";
  /** What was expected and what was found, in one sentence without a full stop. */
  readonly message: string;
  /** The place in the text; null where it is about the file as a whole. */
  readonly range: SourceRange | null;
  /** The file as the user named it. */
  readonly file: string;
}

/** A text with the name of the file that it came from. */
export interface Source {
  /** As the user named it; used only to print. */
  readonly file: string;
  readonly text: string;
}

/** Thrown where a caller asked for a value and the text has errors. `diagnostics` holds all of them. */
export class InputError extends Error {
  readonly diagnostics: readonly Diagnostic[];
  readonly source: Source;

  constructor(source: Source, diagnostics: readonly Diagnostic[]) {
    const first = diagnostics.find((d) => d.severity === "error") ?? diagnostics[0];
    super(`${source.file}: ${first?.message ?? "not usable"}`);
    this.name = "InputError";
    this.diagnostics = diagnostics;
    this.source = source;
  }
}

/** True where at least one of the diagnostics stops the work. */
export function hasErrors(diagnostics: readonly Diagnostic[]): boolean {
  return diagnostics.some((d) => d.severity === "error");
}
