import type { MemoryRequest, SourceRange } from "../model/index.js";
import type { Diagnostic, DiagnosticCode } from "./diagnostics.js";

/** A memory request and where the keys of its entry stand. */
export interface Located {
  readonly request: MemoryRequest;
  /** Range of the value of a key of the entry; that of the entry's name where the entry lacks the key. */
  readonly at: (key: string) => SourceRange | null;
}

/** An error of a design, but for the name of its file. */
export type Problem = Omit<Diagnostic, "file">;

/** An error at a place. */
export function problem(code: DiagnosticCode, range: SourceRange | null, message: string): Problem {
  return { code, severity: "error", message, range };
}
