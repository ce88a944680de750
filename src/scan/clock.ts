import type { Scope } from "./scope.js";
import type { Signals } from "./signals.js";
import type { Timing } from "./walk.js";

/** A clock of a module: a signal and the edge of it that counts. */
export interface Clock {
  /** Equal for equal clocks of a module. */
  readonly key: string;
  /** The clock's signal as an expression, named as {@link Signals.text} does. */
  readonly signal: string;
  readonly edge: string;
}

/** The clock of a timing; null where it has none. */
export function clockOf(timing: Timing, scope: Scope, signals: Signals): Clock | null {
  if (timing.sort !== "clocked") return null;
  let { clock } = timing;
  let edge: string = timing.edge;
  while (clock.op === "unary" && (clock.sign === "~" || clock.sign === "!")) {
    clock = clock.of;
    edge = edge === "posedge" ? "negedge" : "posedge";
  }
  const signal = signals.text(clock, scope);
  return { key: `${edge} ${signal}`, signal, edge };
}
