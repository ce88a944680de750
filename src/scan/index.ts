/**
 * Hardware sources in, memories out. In: texts in Verilog-2005 or SystemVerilog. Out: the memories under a top module
 * with ports, lanes and instances as their use shows them, questions about what the sources do not say, and the text of
 * a design file. May import: model and input. In order: preprocess, grammar (a tree-sitter grammar as WebAssembly),
 * read-* (tree to syntax.ts), library, elaborate (parameters, generate blocks), walk and signals (what processes do),
 * accesses, read-style, ports, lane (what an array needs), hierarchy (how often, which clocks are one), gather.
 */
export { designText } from "./design-text.js";
export { NoGrammarError } from "./no-grammar.js";
export type { QuestionCode } from "./question.js";
export type {
  FilePlace,
  ScanMemory,
  ScanQuestion,
  ScanResult,
  ScanUnread,
  ScanUnsized,
} from "./result.js";
export { REGISTERS_BELOW, type ScanOptions, type ScanOutcome, scan } from "./scan.js";
export type { Note } from "./source-map.js";
