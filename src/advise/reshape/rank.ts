import type { Figures } from "./trial.js";

/** Blocks over the budgets, of all pools together. */
function overrun({ over }: Figures): number {
  return Object.values(over).reduce((sum, blocks) => sum + blocks, 0);
}

/** Floating point slack of weighed blocks. */
const SLACK = 1e-9;

/** A packed design and the logic that its changes need outside it. */
export interface Ranked {
  readonly figures: Figures;
  readonly extraLuts: number;
}

/**
 * Which of two packed designs takes less: fewer blocks over the budgets, then fewer blocks by weight, then less logic
 * (LUTs and registers together). Below 0: the first does; 0: neither.
 */
export function compare(a: Ranked, b: Ranked): number {
  const blocks = a.figures.weightedBlocks - b.figures.weightedBlocks;
  const logic = ({ figures, extraLuts }: Ranked) => figures.luts + figures.registers + extraLuts;
  return (
    overrun(a.figures) - overrun(b.figures) || (Math.abs(blocks) > SLACK ? blocks : 0) || logic(a) - logic(b)
  );
}

/** True where the first takes fewer blocks than the second, over the budgets or by weight. */
export function savesBlocks(a: Figures, b: Figures): boolean {
  return (
    overrun(a) < overrun(b) || (overrun(a) === overrun(b) && a.weightedBlocks < b.weightedBlocks - SLACK)
  );
}
