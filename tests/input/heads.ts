import { type Diagnostic, printDiagnostics, type Source } from "../../src/input/index.js";

/** The first line of each diagnostic as printed, `file:line:column: severity: message`, without the excerpts. */
export function heads(source: Source, diagnostics: readonly Diagnostic[]): string[] {
  return diagnostics.map((d) => printDiagnostics(source, [d]).split("\n")[0]!);
}

/** A design with one memory a line, the first on line 3. */
export function memories(...entries: string[]): string {
  return ["design: d", "memories:", ...entries.map((entry) => `  - {${entry}}`), ""].join("\n");
}

/** A design with one structure a line, the first on line 3. */
export function structures(...entries: string[]): string {
  return ["design: d", "structures:", ...entries.map((entry) => `  - {${entry}}`), ""].join("\n");
}
