/** Thrown where the package with the grammar is not installed. */
export class NoGrammarError extends Error {
  constructor() {
    super("the package tree-sitter-systemverilog, which reads the sources, is not installed: npm install it");
    this.name = "NoGrammarError";
  }
}
