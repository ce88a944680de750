/** Sweeps: a design packed with every combination of some values of its keys. */
export { type Axis, type AxisValue, readAxis } from "./axis.js";
export type { SweepTrace } from "./cache-figures.js";
export type { Values } from "./combinations.js";
export {
  type Journal,
  type JournalProblem,
  journalHead,
  journalLine,
  readJournal,
  sweepHash,
} from "./journal.js";
export type { Metric } from "./metric.js";
export { OptionError } from "./option-error.js";
export type { CacheFigures, PackedRow, SweepProblem, SweepRow } from "./row.js";
export { type Sweep, type SweepOptions, type SweepOutcome, sweep } from "./sweep.js";
export type { Usage } from "./usage.js";
