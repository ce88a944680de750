import type { Engine } from "./protocol.js";

/** How long and with what a pack program may be solved. */
export interface PackSolveOptions {
  /** Default `auto`. */
  readonly engine?: "auto" | Engine | undefined;
  /** Milliseconds for all stages together, and in `pack` for making candidates as well; default 10,000. */
  readonly deadlineMs?: number | undefined;
  /** Ends the packing, which then rejects with the signal's reason. Default: none. */
  readonly signal?: AbortSignal | undefined;
}

/** Milliseconds that packing has where nothing else is asked for. */
export const USUAL_DEADLINE_MS = 10_000;
