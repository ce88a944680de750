/**
 * The structures that an architect writes: caches, register files, predictors, queues. In: a mapping of a design
 * file. Out: memory requests, each with the formula that gave its depth and width, and warnings. One file a
 * structure, which owns the schema of its parameters; a new one is such a file and a line in the list below.
 * Imports the model alone.
 */
import { branchTargetBuffer } from "./branch-target-buffer.js";
import { cache } from "./cache.js";
import { directionPredictor } from "./direction-predictor.js";
import { fifo } from "./fifo.js";
import { lineBuffer } from "./line-buffer.js";
import { registerFile } from "./register-file.js";
import { returnStack } from "./return-stack.js";
import { rom } from "./rom.js";
import { scratchpad } from "./scratchpad.js";
import type { StructureDefinition } from "./structure.js";
import { tlb } from "./tlb.js";

export * from "./fields.js";
export { REPLACEMENTS, type Replacement, type ReplacementState, replacementState } from "./replacement.js";
export type { Derived, StructureDefinition } from "./structure.js";
export { TRANSLATION_MODES } from "./tlb.js";

/** Every structure that a design file can have. */
export const STRUCTURES: readonly StructureDefinition[] = [
  cache,
  registerFile,
  directionPredictor,
  branchTargetBuffer,
  returnStack,
  tlb,
  fifo,
  lineBuffer,
  scratchpad,
  rom,
];
