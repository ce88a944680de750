/**
 * Changes of a design that would save blocks or give capacity for nothing. In: a design that was read, and a device. Out:
 * changes, each with what packing the whole design again came to: nothing is claimed that was not packed.
 */
export type { BestOptions, Sequence, Step } from "./best.js";
export { CHANGE_KINDS, type Change, type ChangeKind, type Effect } from "./change.js";
export {
  type FailedChange,
  type Reshaped,
  type ReshapeOptions,
  type ReshapeRow,
  reshape,
  UnknownPathError,
} from "./reshape.js";
export type { Figures } from "./trial.js";
